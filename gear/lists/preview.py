"""What the pages show of a list on its way in, as frozen rows."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice

from crewlog.models import Company
from crewlog.quantities.display import limit_text, quantity_text
from gear.catalogue.classes import BY_CODE
from gear.lists.checking import Report
from gear.lists.faults import Unreadable, shown
from gear.lists.headings import IN_CELL
from gear.lists.reading import Plan
from gear.lists.source import Source, rows_of

RATINGS = (("WLL", "working_load_limit_n"), ("MBS", "breaking_strength_n"), ("straight", "vertical_rating_n"))
SIZES = (("length", "length_m"), ("diameter_gear", "diameter_mm"))
SAMPLE_ROWS = 3


@dataclass(frozen=True, slots=True)
class SampleRow:
    """One row as it was understood."""

    number: int
    tag: str
    class_name: str
    description: str
    rated: str
    size: str


@dataclass(frozen=True, slots=True)
class ColumnRow:
    """What one column is taken for."""

    letter: str
    heading: str
    taken_for: str
    unit: str


def sample_rows(report: Report, company: Company) -> list[SampleRow]:
    """The first rows in the company's units, so that a wrong unit shows before it is registered."""
    units = company.unit_system
    rows = []
    for said in report.sample:
        rated = [f"{words} {limit_text(said[name], units)}" for words, name in RATINGS if said[name] is not None]
        size = [quantity_text(said[name], kind, units) for kind, name in SIZES if said[name] is not None]
        rows.append(
            SampleRow(
                number=said["row"],
                tag=said["tag"],
                class_name=BY_CODE[said["gear_class"]].name,
                description=said["description"],
                rated=", ".join(rated) or "None",
                size=", ".join(size) or "–",
            )
        )
    return rows


def column_rows(plan: Plan) -> list[ColumnRow]:
    """What each column is taken for, those left out last."""
    rows = []
    for column in plan.columns:
        declared = column.column
        unit = {"1": "part of one", IN_CELL: "in each cell", "": "–"}.get(column.unit, column.unit)
        taken_for = declared.heading if declared else "Kept from records" if column.is_reading_only else "Left out"
        rows.append(ColumnRow(column.letter, column.heading, taken_for, unit))
    return sorted(rows, key=lambda row: row.taken_for == "Left out")


def first_cells(source: Source, plan: Plan) -> dict[int, Sequence[str]]:
    """What stands under each heading in the first rows."""
    rows = rows_of(source, encoding=plan.encoding, sheet=plan.sheet)
    try:
        below = list(islice((row for row in rows if row.number > plan.heading_row), SAMPLE_ROWS))
    except Unreadable:  # the check says so, by row
        return {}
    return {
        column.index: [shown(row.cells[column.index]) for row in below if column.index < len(row.cells)]
        for column in plan.columns
    }
