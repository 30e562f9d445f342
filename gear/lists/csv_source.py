"""A list as text: its encoding and delimiter found, and read strictly. Standard library only."""

import codecs
import csv
import io
from collections.abc import Iterator, Sequence

from gear.lists.faults import Unreadable, shown
from gear.lists.limits import LIMITS_IN_WORDS, MAX_CELL

DELIMITERS = (",", ";", "\t", "|")
ENCODINGS = (
    ("utf-8", "UTF-8"),
    ("cp1252", "Windows-1252 (Western Europe)"),
    ("cp1250", "Windows-1250 (Central Europe)"),
    ("utf-16-le", "UTF-16"),
    ("utf-16-be", "UTF-16, big-endian"),
)
ENCODING_NAMES = dict(ENCODINGS)
BOMS = ((codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))
SAMPLE_BYTES = 64 * 1024
SAMPLE_LINES = 20
csv.field_size_limit(max(csv.field_size_limit(), 4 * MAX_CELL))


class TextList:
    """A CSV file. The encoding is certain when the file says it or is UTF-8; else it is to be confirmed."""

    sheets: Sequence[str] = ()

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.encoding, self.encoding_is_certain = found_encoding(data)
        self.sample = () if self.encoding_is_certain else odd_words(data, self.encoding)

    def faults(self, sheet: str) -> list[str]:
        return []

    def stream(self, encoding: str) -> io.TextIOWrapper:
        data = next((self.data[len(bom) :] for bom, _ in BOMS if self.data.startswith(bom)), self.data)
        return io.TextIOWrapper(io.BytesIO(data), encoding=encoding or self.encoding, newline="")

    def raw_rows(self, *, encoding: str, sheet: str) -> Iterator[Sequence[object]]:
        encoding = encoding or self.encoding
        number = 0
        try:
            delimiter = found_delimiter(self.stream(encoding).read(SAMPLE_BYTES))
            with self.stream(encoding) as lines:
                for row in csv.reader(lines, delimiter=delimiter, strict=True):
                    number += 1
                    yield row
        except UnicodeDecodeError as fault:
            name = ENCODING_NAMES.get(encoding, encoding)
            raise Unreadable(f"The file is not {name}. Choose another way of reading its letters.") from fault
        except csv.Error as fault:
            raise Unreadable(csv_words(str(fault), number + 1)) from fault


def csv_words(fault: str, row: int) -> str:
    """What the strict reader found, as a person would say it."""
    if "field larger" in fault:
        return f"Row {row} holds a cell that is too long, or a quotation mark that is never closed. {LIMITS_IN_WORDS}"
    if "unexpected end" in fault:
        return "The file ends inside a cell: a quotation mark is never closed. Save the list again as CSV."
    if "expected after" in fault:
        return f"Row {row} has a stray quotation mark. Write two of them inside a quoted cell, or save the list again."
    return f"Row {row} cannot be read. Save the list again as CSV in UTF-8."


def found_encoding(data: bytes) -> tuple[str, bool]:
    """The encoding, and whether it is certain. Raises Unreadable for what is no text."""
    for bom, encoding in BOMS:
        if data.startswith(bom):
            return encoding, True
    if b"\x00" in data[:SAMPLE_BYTES]:
        even, odd = data[:SAMPLE_BYTES:2].count(0), data[1:SAMPLE_BYTES:2].count(0)
        if max(even, odd) < len(data[:SAMPLE_BYTES]) // 8:
            raise Unreadable("This file is neither text nor a workbook. Import a CSV or .xlsx file.")
        return ("utf-16-be", False) if even > odd else ("utf-16-le", False)
    if is_in(data, "utf-8"):
        return "utf-8", True
    return "cp1252" if is_in(data, "cp1252") else "cp1250", False


def is_in(data: bytes, encoding: str) -> bool:
    decoder = codecs.getincrementaldecoder(encoding)()
    try:
        for start in range(0, len(data), SAMPLE_BYTES):
            decoder.decode(data[start : start + SAMPLE_BYTES])
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


def odd_words(data: bytes, encoding: str) -> tuple[str, ...]:
    """A few words with letters beyond the plain ones, as this encoding reads them, for the owner to judge."""
    text = data[: 16 * SAMPLE_BYTES].decode(encoding, errors="replace")
    words = (word.strip("\"',;|") for word in text.replace(";", " ").replace(",", " ").split())
    return tuple(dict.fromkeys(shown(word) for word in words if not word.isascii()))[:5]


def found_delimiter(sample: str) -> str:
    """The delimiter that parts the headings into most columns, and the rows below into as many."""
    best, best_score = ",", (0, 0)
    for delimiter in DELIMITERS:
        widths = []
        try:
            for row in csv.reader(io.StringIO(sample, newline=""), delimiter=delimiter):
                if row:
                    widths.append(len(row))
                if len(widths) == SAMPLE_LINES:
                    break
        except csv.Error:
            continue
        if not widths or widths[0] < 2:
            continue
        score = (sum(width == widths[0] for width in widths), widths[0])
        if score > best_score:
            best, best_score = delimiter, score
    return best
