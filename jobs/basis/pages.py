"""The sources and the defaults of the mechanics as pages list them."""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.basis.defaults import all_defaults, uses
from jobs.mechanics.defaults import Default
from jobs.mechanics.sources import SOURCES, Source
from jobs.plans.presentation import Assumption
from jobs.plans.working_rows import assumption
from jobs.stems.species import all_species
from jobs.wording.felling import felling
from jobs.wording.figure import HAND_FORCE
from jobs.wording.unit_formatter import UnitFormatter

PANEL = "panel's judgement"
# In the order of how much a competent person has to look at them.
BASES = (PANEL, "from memory", "chosen", "common practice", "handbook", "standard")
BASIS_WORDS = {
    PANEL: "Agreed by four practitioners on paper, not published and not measured. A company may only be stricter.",
    "from memory": "Recalled without a document at hand; to be confirmed before it is relied on.",
    "chosen": "A decision of the model, conservative in the direction its note says.",
    "common practice": "What the trade commonly does.",
    "handbook": "Recalled from a handbook; to be confirmed in a copy.",
    "standard": "Recalled from a standard; to be confirmed in a copy.",
}
SMALL_LENGTH_M = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class DefaultRow:
    """One value with what it rests on and what rests on it, in the reader's units."""

    row: Assumption
    value: str
    used_by: tuple[str, ...]

    @property
    def name(self) -> str:
        return self.row.name.capitalize()

    @property
    def is_panel(self) -> bool:
        return self.row.basis == PANEL


@dataclass(frozen=True, slots=True, kw_only=True)
class BasisGroup:
    """All values of one basis."""

    key: str
    title: str
    words: str
    rows: tuple[DefaultRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceRow:
    """One source with the defaults that come from it."""

    id: str
    author: str
    title: str
    year: str
    where: str
    obtained: str
    defaults: int


def default_groups(unit_system: str) -> tuple[BasisGroup, ...]:
    """Every default and limit by its basis, in the reader's units."""
    write, used = UnitFormatter(unit_system), uses()
    found = []
    for basis in BASES:
        rows = tuple(
            default_row(assumption(default), write, tuple(felling(use.words) for use in used.get(default.name, ())))
            for default in all_defaults()
            if default.basis == basis
        )
        title = f"{basis[:1].upper()}{basis[1:]}"
        found.append(
            BasisGroup(key=basis.replace(" ", "-").replace("'", ""), title=title, words=BASIS_WORDS[basis], rows=rows)
        )
    return tuple(found)


def default_row(row: Assumption, write: UnitFormatter, used_by: tuple[str, ...]) -> DefaultRow:
    return DefaultRow(row=row, value=value_words(row, write), used_by=used_by)


def value_words(default: Assumption, write: UnitFormatter) -> str:
    """A value in the reader's units; what has none is a plain number or a share in per cent."""
    value, unit = default.value, default.unit
    match unit:
        case "m":
            return write.diameter(value) if value < SMALL_LENGTH_M else write.length(value)
        case "N":
            return write.quantity(value, HAND_FORCE)
        case "m/s":
            return speed_words(default, write)
        case "deg":
            return write.angle(value)
        case "kg/m3" | "J/m2" | "m/s2":
            return f"{value:g}\u00a0{unit.replace('3', '³').replace('2', '²')}"
        case "1":
            return f"{value:g}"
        case _ if unit.startswith("of "):
            return f"{value * 100:g}\u00a0% {unit}"
        case _:
            return f"{value:g}\u00a0{unit}"


def speed_words(default: Assumption, write: UnitFormatter) -> str:
    """A wind as winds are read; the speed of a rope as a length a second."""
    if default.id == "haul_speed":
        return f"{write.diameter(default.value)} a second"
    return write.wind(default.value)


def source_rows() -> tuple[SourceRow, ...]:
    """Every source the relations and the defaults cite."""
    counts = count_by_source(all_defaults())
    return tuple(source_row(source, counts.get(source.id, 0)) for source in SOURCES.values())


def count_by_source(defaults: Iterable[Default]) -> dict[str, int]:
    found: dict[str, int] = {}
    for default in defaults:
        found[default.source] = found.get(default.source, 0) + 1
    return found


def source_row(source: Source, defaults: int) -> SourceRow:
    return SourceRow(
        id=source.id,
        author=source.author,
        title=felling(source.title),
        year=source.year,
        where=source.where,
        obtained=source.obtained,
        defaults=defaults,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodSource:
    """A source of the species' figures, how it was obtained, and for how many figures it stands."""

    source: str
    how_obtained: str
    figures: int


def wood_sources() -> tuple[WoodSource, ...]:
    """The sources of the table of species, each once."""
    counts: dict[tuple[str, str], int] = {}
    for species in all_species():
        for basis in species.basis.values():
            key = (basis.source, basis.how_obtained)
            counts[key] = counts.get(key, 0) + 1
    return tuple(
        WoodSource(source=source, how_obtained=how, figures=count) for (source, how), count in sorted(counts.items())
    )
