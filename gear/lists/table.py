"""Writing a table out as CSV, workbook or JSON, a row at a time: memory does not grow with rows."""

import csv
import datetime as dt
import io
import json
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import IO, Any

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell

from gear.lists.days import EARLIEST
from gear.lists.guard import guarded, to_xml
from gear.lists.values import decimal_text

Value = str | int | float | bool | dt.date | dt.datetime | None
LONGEST_IN_WORKBOOK = 32_767  # of a cell; the library would cut it off without a word
TOO_LONG = "Too long for a workbook cell: export the list as CSV or JSON."
FORMATS = ("csv", "xlsx", "json")
CONTENT_TYPES = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "json": "application/json",
}
MARK = "\ufeff"  # by which spreadsheets know UTF-8


@dataclass(frozen=True, slots=True)
class Heading:
    """One column going out: the name for programs, the heading for people."""

    key: str
    words: str


@dataclass(frozen=True, slots=True)
class Table:
    """What goes out: rows come as they are asked for, values in the order of the headings."""

    title: str
    headings: Sequence[Heading]
    rows: Iterable[Sequence[Value]]
    about: Mapping[str, object]


def csv_text(value: Value) -> str:
    """A value as a cell of a CSV file: text guarded against being run, numbers plain, days and moments ISO 8601."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return decimal_text(value)
    if isinstance(value, dt.date):
        return value.isoformat()
    return guarded(value)


def csv_lines(table: Table) -> Iterator[str]:
    """The file in pieces, one a row."""
    line = io.StringIO(newline="")
    writer = csv.writer(line)
    yield MARK
    for cells in _with_headings(table):
        writer.writerow([csv_text(cell) for cell in cells])
        yield line.getvalue()
        line.seek(0)
        line.truncate()


def _with_headings(table: Table) -> Iterator[Sequence[Value]]:
    yield [heading.words for heading in table.headings]
    yield from table.rows


def workbook_file(table: Table) -> IO[bytes]:
    """A workbook on disk, at its beginning; the file goes when it is closed."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet(table.title[:31])
    sheet.freeze_panes = "B2"
    for cells in _with_headings(table):
        sheet.append([workbook_cell(sheet, cell) for cell in cells])
    file = tempfile.TemporaryFile()  # noqa: SIM115 - the response closes it
    book.save(file)
    file.seek(0)
    return file


def workbook_cell(sheet: Any, value: Value) -> Any:
    """A cell that stays what it is: text is marked as text, so that none is taken for a formula or a fault."""
    if isinstance(value, bool):
        value = "yes" if value else "no"
    if isinstance(value, dt.datetime) or (isinstance(value, dt.date) and value < EARLIEST):
        value = value.isoformat()
    if isinstance(value, dt.date):
        day = WriteOnlyCell(sheet, dt.datetime.combine(value, dt.time()))
        day.number_format = "yyyy-mm-dd"
        return day
    if isinstance(value, float):
        number = WriteOnlyCell(sheet, value)
        # the library would write 16 digits; a float needs up to 17 to come back
        number._value = repr(value)  # type: ignore[attr-defined]
        return number
    if not isinstance(value, str):
        return value
    text = to_xml(guarded(value))
    cell = WriteOnlyCell(sheet, text if len(text) <= LONGEST_IN_WORKBOOK else TOO_LONG)
    cell.data_type = "s"
    return cell


def json_lines(table: Table) -> Iterator[str]:
    """One object: what the list is, then `rows`, each an object by the columns' names."""
    about = json.dumps({**table.about, "headings": {h.key: h.words for h in table.headings}}, default=_iso)
    yield about[:-1] + ', "rows": ['
    parted = ""
    keys = [heading.key for heading in table.headings]
    for cells in table.rows:
        row = dict(zip(keys, cells, strict=True))
        yield f"{parted}\n{json.dumps(row, default=_iso, ensure_ascii=False, allow_nan=False)}"
        parted = ","
    yield "\n]}\n"


def _iso(value: object) -> str:
    if isinstance(value, dt.date):
        return value.isoformat()
    raise TypeError(f"{value!r} has no place in a list")
