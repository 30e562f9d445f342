"""Lines of working as data: a row says what is shown of a figure and where its numbers come from; one evaluator."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import KW_ONLY, dataclass, replace
from typing import Generic, TypeVar

from jobs.mechanics.working.line import WorkingLine, shown, working_line

About = TypeVar("About")  # what the rows of a table are about: a plan, one stage of its tackle, one role
Kept = TypeVar("Kept")
Value = float | tuple[float, ...] | None

# The classes below have no slots: Python 3.11 cannot make a frozen one with slots as `Put[Work](...)`.


class NotAsked(LookupError):  # noqa: N818 - nothing is wrong
    """The plan has no such topic or figure: a row about it gives no line, a term of it is left out."""


def asked(value: Kept | None) -> Kept:
    """The value of what a plan may be without; raises NotAsked for None."""
    if value is None:
        raise NotAsked
    return value


@dataclass(frozen=True)
class Put(Generic[About]):
    """A number put into a formula, in SI: its symbol, its unit ("1" for a plain number) and where it comes from.

    None and NotAsked leave the term out; of several numbers each is a term of its own.
    """

    symbol: str
    unit: str
    value: Callable[[About], Value]


@dataclass(frozen=True)
class Rests(Generic[About]):
    """A default of the register that a figure rests on, and the value used in its place; None: none was needed."""

    name: str
    used: Callable[[About], float | None]


@dataclass(frozen=True)
class Row(Generic[About]):
    """One figure: what is shown of it, its unit in SI, its source, and where it and its terms come from.

    Where `explains` is None, `symbol` is the path of the one result of the interface that the row explains. In a
    table that is repeated, symbol and title may name the place ("{number}"). A result that is no number is worded.
    """

    symbol: str
    title: str
    formula: str
    unit: str
    _: KW_ONLY
    source: str
    result: Callable[[About], object]
    terms: tuple[Put[About], ...]
    rests: tuple[Rests[About], ...] = ()
    explains: tuple[str, ...] | None = None


@dataclass(frozen=True)
class Table(Generic[About]):
    """Rows under one heading."""

    group: str
    rows: tuple[Row[About], ...]

    def lines(self, about: About, **names: str) -> Iterator[WorkingLine]:
        """The lines of the rows, in order, without those that are not asked for.

        `names` are what group, symbol and title are filled in with. Raises KeyError for a default of no register.
        """
        for row in self.rows:
            try:
                value = row.result(about)
            except NotAsked:
                continue
            yield _line(row, about, value, group=self.group.format(**names), names=names)


def _line(row: Row[About], about: About, value: object, *, group: str, names: Mapping[str, str]) -> WorkingLine:
    symbol = row.symbol.format(**names)
    line = working_line(
        group,
        row.title.format(**names),
        row.formula,
        symbol_name=symbol,
        result=float(value) if isinstance(value, int | float) else 0.0,
        unit=row.unit,
        source=row.source,
        terms=[(put.symbol, float(number), put.unit) for put in row.terms for number in _numbers(put, about)],
        default_names={rests.name: used for rests in row.rests if (used := rests.used(about)) is not None},
    )
    if row.explains is None:
        return replace(line, path=symbol, explains=(without_numbers(symbol),), result_words=_words(value))
    return replace(line, explains=row.explains, result_words=_words(value))


def _numbers(put: Put[About], about: About) -> tuple[float, ...]:
    try:
        value = put.value(about)
    except NotAsked:
        return ()
    if value is None:
        return ()
    return value if isinstance(value, tuple) else (value,)


def without_numbers(path: str) -> str:
    """ "tackle.stages.0.cleat_force_n" as the interface names it: "tackle.stages.cleat_force_n"."""
    return ".".join(part for part in path.split(".") if not part.isdigit())


def _words(value: object) -> str:
    """What is no single number, in words; "" for a number."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None:
        return "none"
    if isinstance(value, str):
        return value.replace("_", " ")
    if isinstance(value, Mapping):
        return ", ".join(f"{name.replace('_', ' ')} {_short(item)}" for name, item in value.items()) or "none"
    if isinstance(value, tuple):
        return ", ".join(_short(item) for item in value) or "none"
    return ""


def _short(value: object) -> str:
    return shown(value) if isinstance(value, float) else str(value).replace("_", " ")
