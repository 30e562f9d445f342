"""How the company that is being served writes numbers: with a decimal point, or with a decimal comma.

Like the time zone it is set for the length of a request; outside one it is the point. Boxes are read and filled by it,
and figures are shown by it, so that no box shows a number otherwise than it would be read. Where a number is written
with a comma, thousands are set off by a space, which neither way of reading takes for a decimal mark.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

POINT, COMMA = "point", "comma"
NBSP = "\u00a0"
_mark: ContextVar[str] = ContextVar("decimal_mark", default=POINT)


def decimal_mark() -> str:
    """The way numbers are written now: "point" or "comma"."""
    return _mark.get()


@contextmanager
def numbers_with(mark: str) -> Iterator[None]:
    """Read and show numbers with this decimal mark until the block ends."""
    if mark not in (POINT, COMMA):
        raise ValueError(f"numbers are written with a point or a comma, not {mark!r}")
    before = _mark.set(mark)
    try:
        yield
    finally:
        _mark.reset(before)


def shown(number: str) -> str:
    """A number made with a decimal point and thousands set off by commas, as it is written now."""
    if decimal_mark() == POINT:
        return number
    return number.replace(",", NBSP).replace(".", ",")
