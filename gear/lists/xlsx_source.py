"""A list as a workbook, read a row at a time; what cannot be taken at its word is refused by cell."""

import io
import re
import warnings
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any
from xml.etree.ElementTree import ParseError

import openpyxl
from openpyxl.utils.exceptions import InvalidFileException

from gear.lists.faults import Unreadable
from gear.lists.guard import from_xml
from gear.lists.limits import LIMITS_IN_WORDS, MAX_MEMBERS, MAX_UNPACKED

MERGED = re.compile(rb"<(?:\w+:)?mergeCell\s[^>]*?ref=\"([A-Z]+\d+:[A-Z]+\d+)\"")
SCAN, OVERLAP = 1 << 20, 200
# What a damaged or hostile workbook makes the library raise; a bomb of entities is a ValueError.
DAMAGED = (
    AttributeError, IndexError, KeyError, LookupError, OSError, OverflowError, ParseError, TypeError, ValueError,
    EOFError, zipfile.BadZipFile, zlib.error, InvalidFileException, NotImplementedError, RuntimeError,
)  # fmt: skip
CODES = re.compile(r"0+")


@dataclass(frozen=True, slots=True)
class NotAValue:
    """A cell that holds no value of its own: a formula, or what a formula failed with."""

    text: str
    words: str

    def __str__(self) -> str:
        return self.text


class Workbook:
    """An .xlsx file. Each of its sheets may hold a list."""

    encoding = ""
    encoding_is_certain = True
    sample: Sequence[str] = ()

    def __init__(self, data: bytes) -> None:
        self.data = data
        book = self._open()
        try:
            self.sheets = [sheet.title for sheet in book.worksheets if sheet.sheet_state == "visible"]
        finally:
            book.close()
        if not self.sheets:
            raise Unreadable("The workbook has no sheet with a list.")

    @staticmethod
    def check_size(packed: zipfile.ZipFile) -> str:
        """Why the workbook is too large unpacked; empty when it is not. Sizes said here are kept to while reading."""
        members = packed.infolist()
        if len(members) > MAX_MEMBERS or sum(member.file_size for member in members) > MAX_UNPACKED:
            return f"The workbook is too large once unpacked. {LIMITS_IN_WORDS}"
        return ""

    def _open(self) -> Any:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                return openpyxl.load_workbook(io.BytesIO(self.data), read_only=True, keep_links=False)
        except DAMAGED as fault:
            raise Unreadable("The workbook is damaged. Save it again as .xlsx, or as CSV in UTF-8.") from fault

    def _sheet(self, book: Any, name: str) -> Any:
        return book[name] if name in self.sheets else book[self.sheets[0]]

    def faults(self, sheet: str) -> list[str]:
        """Merged cells, which hide what belongs to which row. Looked for in the text, for the reader drops them."""
        book = self._open()
        try:
            path = self._sheet(book, sheet)._worksheet_path
        finally:
            book.close()
        found: list[str] = []
        with zipfile.ZipFile(io.BytesIO(self.data)) as packed, packed.open(path.lstrip("/")) as xml:
            kept = b""
            while chunk := xml.read(SCAN):
                found += [ref.decode() for ref in MERGED.findall(kept + chunk)]
                kept = chunk[-OVERLAP:]
        merged = list(dict.fromkeys(found))
        if not merged:
            return []
        more = f" and {len(merged) - 10} more" if len(merged) > 10 else ""
        return [f"Cells {', '.join(merged[:10])}{more} are merged. Unmerge them, and write each value in its own row."]

    def raw_rows(self, *, encoding: str, sheet: str) -> Iterator[Sequence[object]]:
        book = self._open()
        try:
            worksheet = self._sheet(book, sheet)
            worksheet.reset_dimensions()  # what the file says of its size may be wrong
            rows = worksheet.iter_rows()
            while (row := _next(rows)) is not None:
                yield [cell_value(cell) for cell in row]
        except DAMAGED as fault:
            raise Unreadable("The workbook is damaged. Save it again as .xlsx, or as CSV in UTF-8.") from fault
        finally:
            book.close()


def _next(rows: Iterator[Any]) -> Any:
    """The next row, without the library's remarks about styles it does not know."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return next(rows, None)


def cell_value(cell: Any) -> object:
    """What a cell holds. A number shown with leading zeros is a code, and keeps them."""
    value = cell.value
    if value is None:
        return None
    if cell.data_type == "f":
        text = value if isinstance(value, str) else getattr(value, "text", "=") or "="
        return NotAValue(text, "A formula. Copy the cell and paste it as a value.")
    if cell.data_type == "e":
        return NotAValue(str(value), "A formula that failed. Write the value.")
    if isinstance(value, str):
        return from_xml(value)
    if isinstance(value, int) and not isinstance(value, bool) and CODES.fullmatch(cell.number_format or ""):
        return f"{value:0{len(cell.number_format)}d}"
    return value
