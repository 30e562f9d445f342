"""A list as uploaded, told apart by what it holds rather than by its name, and read row by row."""

import datetime as dt
import io
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

from gear.lists.csv_source import TextList
from gear.lists.faults import Unreadable
from gear.lists.limits import LIMITS_IN_WORDS, MAX_BYTES, MAX_COLUMNS, MAX_ROWS
from gear.lists.xlsx_guard import check_parts
from gear.lists.xlsx_source import Workbook

Value = str | int | float | bool | dt.date | dt.datetime | None
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
SAVE_AS = "Save it as .xlsx or as CSV in UTF-8 and import that."


@dataclass(frozen=True, slots=True)
class Row:
    """One row with the number the spreadsheet gives it."""

    number: int
    cells: tuple[object, ...]

    @property
    def is_empty(self) -> bool:
        return all(cell is None or (isinstance(cell, str) and not cell.strip()) for cell in self.cells)


class Source(Protocol):
    """A list that can be read again and again."""

    @property
    def sheets(self) -> Sequence[str]: ...

    @property
    def encoding(self) -> str: ...

    @property
    def encoding_is_certain(self) -> bool: ...

    @property
    def sample(self) -> Sequence[str]: ...

    def faults(self, sheet: str) -> list[str]: ...

    def raw_rows(self, *, encoding: str, sheet: str) -> Iterator[Sequence[object]]: ...


def open_source(data: bytes) -> Source:
    """The reader of what a file holds. Raises Unreadable with what the file is and what to do."""
    if not data.strip(b"\x00 \t\r\n\xef\xbb\xbf\xff\xfe"):
        raise Unreadable("The file is empty. Choose the list itself.")
    if len(data) > MAX_BYTES:
        raise Unreadable(f"The file is too large: {len(data) / 1024 / 1024:.1f} MB. {LIMITS_IN_WORDS}")
    if data.startswith(OLE):
        if ENCRYPTED in data:
            raise Unreadable("The workbook is locked with a password. Remove the password and import it again.")
        raise Unreadable(f"This is an old Excel file (.xls), whatever its name says. {SAVE_AS}")
    if data.startswith(b"PK"):
        return open_packed(data)
    if data.startswith((b"%PDF", b"\x89PNG", b"\xff\xd8\xff", b"GIF8", b"Rar!", b"\x1f\x8b", b"7z\xbc\xaf")):
        raise Unreadable(f"This is a picture, a PDF or a packed file, not a list. {SAVE_AS}")
    return TextList(data)


def open_packed(data: bytes) -> Source:
    """A workbook, told from the other things that come packed in the same way."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            names = set(packed.namelist())
            what = packed.read("mimetype")[:80] if "mimetype" in names else b""
            kinds = packed.read("[Content_Types].xml")[:200_000] if "[Content_Types].xml" in names else b""
            check = Workbook.check_size(packed)
            if "xl/workbook.xml" in names and not check:
                check_parts(packed)
    except (
        zipfile.BadZipFile,
        KeyError,
        RuntimeError,
        NotImplementedError,
        OSError,
        ValueError,
        EOFError,
        zlib.error,
    ) as fault:
        raise Unreadable(f"The file is damaged and cannot be opened. {SAVE_AS}") from fault
    if b"opendocument" in what:
        raise Unreadable(f"This is an OpenDocument file (.ods), whatever its name says. {SAVE_AS}")
    if "xl/vbaProject.bin" in names or b"macroEnabled" in kinds:
        raise Unreadable(f"This workbook holds macros (.xlsm). {SAVE_AS}")
    if "xl/workbook.bin" in names:
        raise Unreadable(f"This is a binary workbook (.xlsb). {SAVE_AS}")
    if "xl/workbook.xml" not in names:
        raise Unreadable(f"This is a packed file, but no workbook. {SAVE_AS}")
    if check:
        raise Unreadable(check)
    return Workbook(data)


def rows_of(source: Source, *, encoding: str = "", sheet: str = "") -> Iterator[Row]:
    """Rows with something in them, with their numbers. Raises Unreadable past the limits."""
    for number, cells in enumerate(source.raw_rows(encoding=encoding, sheet=sheet), start=1):
        if number > MAX_ROWS + 1:
            raise Unreadable(
                f"The list goes on past row {MAX_ROWS + 1:,}. {LIMITS_IN_WORDS} "
                "Cut it in two, or clear what stands far below it."
            )
        if len(cells) > MAX_COLUMNS:
            used = [cell for cell in cells[MAX_COLUMNS:] if cell not in (None, "")]
            if used:
                raise Unreadable(f"Row {number} goes on past column {MAX_COLUMNS}. {LIMITS_IN_WORDS}")
        row = Row(number, tuple(cells[:MAX_COLUMNS]))
        if not row.is_empty:
            yield row
