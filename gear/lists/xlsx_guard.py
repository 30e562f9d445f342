"""A workbook's parts counted before the library builds them: rows of millions of cells, millions of texts."""

import zipfile
from collections.abc import Callable
from typing import NoReturn
from xml.parsers import expat

from gear.lists.faults import Unreadable
from gear.lists.limits import LIMITS_IN_WORDS, MAX_CELLS_IN_ROW, MAX_PARTS

CHUNK = 1 << 18
SHEETS = "xl/worksheets/"


def check_parts(packed: zipfile.ZipFile) -> None:
    """Raise Unreadable as soon as a row has more cells, or another part more elements, than any list needs."""
    for member in packed.infolist():
        count = count_cells() if member.filename.startswith(SHEETS) else count_elements()
        walk(packed, member, count)


def walk(packed: zipfile.ZipFile, member: zipfile.ZipInfo, count: Callable[[str], None]) -> None:
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler = lambda name, _: count(name)
    parser.EntityDeclHandler = refuse_entity
    try:
        with packed.open(member) as xml:
            while chunk := xml.read(CHUNK):
                parser.Parse(chunk, False)
            parser.Parse(b"", True)
    except expat.ExpatError:
        return  # the library says what is wrong with it


def refuse_entity(*_: object) -> NoReturn:
    raise Unreadable("The workbook is damaged. Save it again as .xlsx, or as CSV in UTF-8.")


def count_cells() -> Callable[[str], None]:
    cells = rows = 0

    def count(name: str) -> None:
        nonlocal cells, rows
        if name.endswith(" c") or name == "c":
            cells += 1
            if cells > MAX_CELLS_IN_ROW:
                raise Unreadable(f"Row {max(rows, 1)} has more than {MAX_CELLS_IN_ROW:,} cells. {LIMITS_IN_WORDS}")
        elif name.endswith(" row") or name == "row":
            cells, rows = 0, rows + 1

    return count


def count_elements() -> Callable[[str], None]:
    found = 0

    def count(name: str) -> None:
        nonlocal found
        found += 1
        if found > MAX_PARTS:
            raise Unreadable(f"The workbook has too many texts or styles. {LIMITS_IN_WORDS}")

    return count
