"""What is wrong with a list, by row and column. Standard library only."""

from dataclasses import asdict, dataclass
from typing import Any

from crewlog.errors import RuleBroken

SHOWN = 60


class Unreadable(RuleBroken):
    """A file that is no list we can read; the message says what it is and what would be right."""

    code = "list-unreadable"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing to put right: the row as the spreadsheet numbers it, the column's letter and heading, what was read.

    A fault of the whole file has row 0; one of a whole row has no column.
    """

    row: int
    column: str
    heading: str
    read: str
    words: str

    def place(self) -> str:
        """Row 12, column C (WLL)."""
        row = f"Row {self.row}" if self.row else ""
        column = f"{', column' if row else 'Column'} {self.column}" if self.column else ""
        heading = f" ({self.heading})" if self.heading else ""
        return f"{row}{column}{heading}".strip()

    def line(self) -> str:
        """The fault on one line."""
        read = f" “{self.read}”:" if self.read else ""
        place = self.place()
        return f"{place}:{read} {self.words}" if place else self.words

    def as_dict(self) -> dict[str, Any]:
        return asdict(self)


def shown(value: object) -> str:
    """What a cell held, on one line and cut to what a message has room for."""
    text = " ".join(str(value if value is not None else "").split())
    return text if len(text) <= SHOWN else f"{text[: SHOWN - 1]}…"
