"""The five states an item stands in, and the marks they bear on pages and in addresses. Standard library only."""

from collections.abc import Mapping
from typing import Literal

Status = Literal["unfit", "overdue", "due", "in_service", "retired"]
# The interface: classes of marks, and `?s=` of an address that somebody may have kept.
Mark = Literal["out", "over", "due", "ok", "gone"]

STATUSES: tuple[Status, ...] = ("unfit", "overdue", "due", "in_service", "retired")  # what needs someone comes first
MARKS: Mapping[Status, Mark] = {
    "unfit": "out",
    "overdue": "over",
    "due": "due",
    "in_service": "ok",
    "retired": "gone",
}


def status_of_mark(mark: str) -> Status | None:
    """The state that a mark or an address names; None for anything that is none."""
    return next((status for status, named in MARKS.items() if named == mark), None)
