"""Days as lists write them: ISO 8601 always, else as the company writes them; never guessed. Standard library only."""

import datetime as dt
import re

ORDERS = (("dmy", "Day first: 25/11/2026"), ("mdy", "Month first: 11/25/2026"))
EARLIEST, LATEST = dt.date(1900, 3, 1), dt.date(2100, 12, 31)
ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})", re.ASCII)
SLASHED = re.compile(r"(\d{1,2})([/.-])(\d{1,2})\2(\d{4})", re.ASCII)
SHORT_YEAR = re.compile(r"\d{1,2}[/.-]\d{1,2}[/.-]\d{2}", re.ASCII)
NAMED = re.compile(r"(\d{1,2})\.? ([A-Za-z]{3,9})\.?,? (\d{4})", re.ASCII)
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
MONTH_NAMES = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
    "december",
)  # fmt: skip


class NoDayError(ValueError):
    """Text that is no day; the message says what would be right."""


def read_day(text: str, order: str) -> dt.date:
    """A day from a cell's text; `order` is dmy, mdy or empty where the company has not said. Raises NoDayError."""
    text = " ".join(text.split())
    if found := ISO.fullmatch(text):
        return _within(_day(int(found[1]), int(found[2]), int(found[3])))
    if found := NAMED.fullmatch(text):
        return _within(_day(int(found[3]), _month(found[2]), int(found[1])))
    if found := SLASHED.fullmatch(text):
        return _within(_slashed(int(found[1]), int(found[3]), int(found[4]), order))
    if SHORT_YEAR.fullmatch(text):
        raise NoDayError("Write the year with four digits, such as 2026-11-25.")
    if re.fullmatch(r"\d{5}(\.\d+)?", text, re.ASCII):
        raise NoDayError(f"This is a spreadsheet's count of days. Write {serial_day(int(float(text)))}.")
    raise NoDayError("Write the day like 2026-11-25.")


def _slashed(first: int, second: int, year: int, order: str) -> dt.date:
    if order == "dmy":
        return _day(year, second, first)
    if order == "mdy":
        return _day(year, first, second)
    readings = {day for day in (_or_none(year, second, first), _or_none(year, first, second)) if day is not None}
    if len(readings) == 1:
        return readings.pop()
    if readings:
        either = " or ".join(day.isoformat() for day in sorted(readings))
        raise NoDayError(f"This could be {either}. Say below the columns whether the day or the month comes first.")
    raise NoDayError("There is no such day.")


def _day(year: int, month: int, day: int) -> dt.date:
    try:
        return dt.date(year, month, day)
    except ValueError:
        other = _or_none(year, day, month)
        cure = f" Is it {other.isoformat()}?" if other else ""
        raise NoDayError(f"There is no such day.{cure} Write the day like 2026-11-25.") from None


def _or_none(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None


def _month(name: str) -> int:
    name = name.casefold()
    if name in MONTHS or name in MONTH_NAMES or name == "sept":
        return MONTHS.index(name[:3]) + 1
    raise NoDayError("Write the day like 2026-11-25.")


def _within(day: dt.date) -> dt.date:
    if not EARLIEST <= day <= LATEST:
        raise NoDayError(f"The year {day.year} is out of range. Write the day like 2026-11-25.")
    return day


def serial_day(days: int) -> str:
    """The day a spreadsheet's count stands for, in its usual reckoning from 1900."""
    return (dt.date(1899, 12, 30) + dt.timedelta(days=days)).isoformat()
