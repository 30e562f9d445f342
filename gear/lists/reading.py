"""From a row of a list to the facts of one item, with what is wrong in it."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from gear.lists.columns import BY_NAME, NEEDED, RETIREMENT, USE_WORDS
from gear.lists.faults import Fault, shown
from gear.lists.headings import HeadedColumn
from gear.lists.source import Row
from gear.lists.values import Habits, NoValueError, read_cell

USE_COLUMNS = tuple(name for name, _ in USE_WORDS)
REFERENCES = ("assembly", "parent")
NOTE = "#"  # no tag begins with it: a row whose tag does is a note to the reader


@dataclass(frozen=True, slots=True)
class Plan:
    """How a list is read: what each column is taken for, and how its cells are written."""

    columns: tuple[HeadedColumn, ...]
    heading_row: int
    uses: tuple[str, ...] = ()
    habits: Habits = field(default_factory=Habits)
    encoding: str = ""
    sheet: str = ""

    def column_of(self, name: str) -> HeadedColumn | None:
        """The column a fact is read from."""
        wanted = {name, "uses"} if name in USE_COLUMNS else {name}
        return next((column for column in self.columns if column.target in wanted), None)

    def fault(self, row: Row, name: str, words: str) -> Fault:
        """A fault at a fact of a row, wherever that stands in the list."""
        column = self.column_of(name)
        if column is None:
            heading = BY_NAME[name].heading if name in BY_NAME else ""
            return Fault(row.number, "", heading, "", words)
        cell = row.cells[column.index] if column.index < len(row.cells) else None
        return Fault(row.number, column.letter, column.heading, shown(cell), words)

    @property
    def left_out(self) -> list[HeadedColumn]:
        """Columns with a heading that are not read, but for those our own lists add for the reader."""
        return [column for column in self.columns if not column.target and not column.is_reading_only]


@dataclass(slots=True)
class ReadRow:
    """One row as read. References to other items are tags still."""

    row: Row
    facts: dict[str, Any] = field(default_factory=dict)
    references: dict[str, str] = field(default_factory=dict)
    retirement: dict[str, Any] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    @property
    def tag(self) -> str:
        return str(self.facts.get("tag", ""))

    @property
    def is_note(self) -> bool:
        return self.tag.startswith(NOTE)


def read_row(plan: Plan, row: Row) -> ReadRow:
    """Read every column the plan names; what cannot be read is a fault at its cell."""
    result = ReadRow(row)
    uses: list[str] | None = None
    for column in plan.columns:
        declared = column.column
        if declared is None:
            continue
        cell = row.cells[column.index] if column.index < len(row.cells) else None
        try:
            value = read_cell(declared, column.unit, cell, plan.habits)
        except NoValueError as fault:
            result.faults.append(plan.fault(row, declared.name, str(fault)))
            continue
        if declared.kind == "uses":
            uses = value
        elif declared.name in REFERENCES:
            result.references[declared.name] = value
        elif declared.name in RETIREMENT:
            result.retirement[declared.name] = value
        else:
            result.facts[declared.name] = value
    if result.is_note:
        return ReadRow(row, facts={"tag": result.tag})
    _settle_uses(result, plan, uses)
    _check_needed(result, plan)
    return result


def _settle_uses(result: ReadRow, plan: Plan, listed: Sequence[str] | None) -> None:
    """The uses a row states, or those said for all rows that state none."""
    stated = [name for name in USE_COLUMNS if result.facts.get(name)] if listed is None else list(listed)
    for name in stated or plan.uses:
        result.facts[name] = True
    if listed is not None:
        for name in USE_COLUMNS:
            result.facts.setdefault(name, False)


def _check_needed(result: ReadRow, plan: Plan) -> None:
    wrong = {fault.column for fault in result.faults}
    for name in NEEDED:
        column = plan.column_of(name)
        if not result.facts.get(name) and column is not None and column.letter not in wrong:
            result.faults.append(plan.fault(result.row, name, "Fill this in; every item needs it."))


def retirement_faults(result: ReadRow, plan: Plan, today: dt.date) -> list[Fault]:
    """A retirement is a day, a reason and what became of the item, or none of them."""
    said = result.retirement
    on = said.get("retired_on")
    if not any(said.values()):
        return []
    if on is not None and on > today:
        return [plan.fault(result.row, "retired_on", "This day is in the future. Enter a retirement on its day.")]
    words = {
        "retired_on": "Say on which day it was retired, or leave all of its retirement empty.",
        "retired_because": "Say why it was retired.",
        "disposal": "Say what became of it.",
    }
    return [plan.fault(result.row, name, words[name]) for name in RETIREMENT if not said.get(name)]
