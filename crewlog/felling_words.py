"""Which words of felling the company that is being served uses: North American ones, or British ones.

Like the decimal mark it is set for the length of a request; outside one it is North American.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

NORTH_AMERICAN, BRITISH = "north_american", "british"
_words: ContextVar[str] = ContextVar("felling_words", default=NORTH_AMERICAN)


def felling_words() -> str:
    """The words used now: "north_american" or "british"."""
    return _words.get()


@contextmanager
def felling_words_of(setting: str) -> Iterator[None]:
    """Use these words of felling until the block ends. Raises ValueError for a setting there is none of."""
    if setting not in (NORTH_AMERICAN, BRITISH):
        raise ValueError(f"the words of felling are north_american or british, not {setting!r}")
    before = _words.set(setting)
    try:
        yield
    finally:
        _words.reset(before)
