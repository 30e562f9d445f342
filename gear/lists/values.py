"""From one cell to one fact of the register. A cell that cannot be read says what would be right."""

import datetime as dt
import re
import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from crewlog.quantities.kinds import kind_named
from crewlog.quantities.parse import QuantityTextError
from crewlog.quantities.typed import read_quantity
from gear.catalogue.classes import USES
from gear.lists.columns import PART_OF_ONE, Column
from gear.lists.days import NoDayError, read_day
from gear.lists.guard import unguarded
from gear.lists.headings import IN_CELL
from gear.lists.limits import MAX_CELL
from gear.lists.xlsx_source import NotAValue

BARE = re.compile(r"[+-]?[\d.,/ '_\u00a0-]*\d[\d.,/ '_\u00a0-]*", re.ASCII)
YES = {"yes", "y", "true", "x", "1", "✓", "✔"}
NO = {"no", "n", "false", "0", "-", ""}
PARTED = re.compile(r"[;,\n]")
DIGITS_KEPT = 15  # a spreadsheet keeps no more of a number


class NoValueError(ValueError):
    """A cell that cannot be read; the message says what would be right."""


@dataclass(frozen=True, slots=True)
class Habits:
    """How the company writes, and whom it knows: what reading a cell needs beside the cell."""

    date_order: str = ""
    unit_system: str = "metric"
    people: Mapping[str, Sequence[str]] = field(default_factory=dict)  # name or id, folded -> ids


def read_cell(column: Column, unit: str, cell: object, habits: Habits) -> Any:
    """The fact a cell states; None or empty where it states none. Raises NoValueError."""
    if isinstance(cell, NotAValue):
        raise NoValueError(cell.words)
    if isinstance(cell, str) and "\x00" in cell:
        raise NoValueError("Holds a character that is no letter. Write it again.")
    if column.kind == "figure":
        return _figure(column, unit, cell, habits)
    return READERS[column.kind](column, cell, habits)


def plain_text(cell: object) -> str:
    """A cell as text: whole numbers without a point, days in ISO 8601."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 10**DIGITS_KEPT:
        return str(int(cell))
    if isinstance(cell, int | float):
        return decimal_text(cell)
    if isinstance(cell, dt.datetime):
        return cell.date().isoformat() if cell.time() == dt.time() else cell.isoformat(" ")
    return unguarded(str(cell))


def decimal_text(number: float) -> str:
    """A number with every digit it has, without an exponent."""
    return f"{Decimal(repr(number)):f}"


def _text(column: Column, cell: object, habits: Habits) -> str:
    if isinstance(cell, int | float) and not isinstance(cell, bool) and abs(cell) >= 10**DIGITS_KEPT:
        raise NoValueError("The spreadsheet keeps 15 digits of a number. Format the column as text and write it again.")
    text = plain_text(cell)
    longest = min(column.longest, MAX_CELL)
    if len(text) > longest:
        raise NoValueError(f"Write at most {longest:,} characters; these are {len(text):,}.")
    return text


def _tag(column: Column, cell: object, habits: Habits) -> str:
    return plain_text(cell).strip()


def _chosen(column: Column, text: str) -> str:
    folded = text.casefold()
    for code, words in column.choices:
        if folded in (code, words.casefold()):
            return code
    several = ", ".join(words for _, words in column.choices)
    raise NoValueError(f"Write one of: {several}.")


def _choice(column: Column, cell: object, habits: Habits) -> str:
    text = plain_text(cell).strip()
    return _chosen(column, text) if text else ""


def _ends(column: Column, cell: object, habits: Habits) -> list[str]:
    return [_chosen(column, part.strip()) for part in PARTED.split(plain_text(cell)) if part.strip()]


def _uses(column: Column, cell: object, habits: Habits) -> list[str]:
    """Columns of the uses a cell lists."""
    known = {word.casefold(): name for code, name, words in USES for word in (code, name, words)}
    found = []
    for part in PARTED.split(plain_text(cell)):
        if not part.strip():
            continue
        if part.strip().casefold() not in known:
            raise NoValueError(f"Write one or more of: {'; '.join(words for _, _, words in USES)}.")
        found.append(known[part.strip().casefold()])
    return found


def _flag(column: Column, cell: object, habits: Habits) -> bool:
    text = plain_text(cell).strip().casefold()
    if text in YES:
        return True
    if text in NO:
        return False
    raise NoValueError("Write yes or no.")


def _whole(column: Column, cell: object, habits: Habits) -> int | None:
    text = plain_text(cell).strip()
    if not text:
        return None
    if not re.fullmatch(r"\d{1,7}", text, re.ASCII) or not 1 <= int(text) <= column.max_value:
        raise NoValueError(f"Write a whole number from 1 to {column.max_value:,}.")
    return int(text)


def _person(column: Column, cell: object, habits: Habits) -> str | None:
    text = plain_text(cell).strip()
    if not text:
        return None
    try:
        key = str(uuid.UUID(text))
    except ValueError:
        key = text.casefold()
    found = habits.people.get(key, ())
    if len(found) == 1:
        return found[0]
    if found:
        raise NoValueError("Several people here have this name. Write the id that our own list gives.")
    raise NoValueError("Nobody here has this name or id. Add the person under Crew first, or leave the cell empty.")


def _day(column: Column, cell: object, habits: Habits) -> dt.date | None:
    if isinstance(cell, dt.datetime):
        if cell.time() != dt.time():
            raise NoValueError(f"A day is wanted, without a time: {cell.date().isoformat()}.")
        cell = cell.date().isoformat()
    elif isinstance(cell, dt.date):
        cell = cell.isoformat()
    text = plain_text(cell).strip()
    if not text:
        return None
    try:
        return read_day(text, habits.date_order)
    except NoDayError as fault:
        raise NoValueError(str(fault)) from None


def _figure(column: Column, unit: str, cell: object, habits: Habits) -> float | None:
    """A figure in the stored unit; a bare number is in the column's unit, or refused where each cell should say it."""
    if isinstance(cell, bool | dt.date):
        raise NoValueError("Write a number with its unit.")
    text = plain_text(cell).strip()
    if not text:
        return None
    if column.needs_unit and BARE.fullmatch(text):
        if unit == IN_CELL:
            units = ", ".join(u.symbol for u in kind_named(column.quantity).units if u.symbol)
            raise NoValueError(f"A number without a unit. Write the unit behind it: {units}.")
        if unit != PART_OF_ONE:
            text = f"{text} {unit}" if unit not in ("°",) else f"{text}{unit}"
    try:
        value = read_quantity(text, column.quantity, habits.unit_system).value
    except QuantityTextError as fault:
        raise NoValueError(fault.message) from None
    if value <= 0:
        raise NoValueError("Write a figure above zero. Leave it empty when it is not known.")
    return value


READERS: dict[str, Callable[[Column, object, Habits], Any]] = {
    "text": _text,
    "tag": _tag,
    "item": _tag,
    "choice": _choice,
    "ends": _ends,
    "uses": _uses,
    "flag": _flag,
    "whole": _whole,
    "person": _person,
    "day": _day,
}
