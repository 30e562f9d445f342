"""How wide the tests run: every behaviour always, with few examples by default; all of them with CREWLOG_TESTS=full."""

import os
from typing import TypeVar

FULL = os.environ.get("CREWLOG_TESTS") == "full"
T = TypeVar("T")


def wide(full: T, few: T) -> T:
    """The whole width where the run asks for it, else the few."""
    return full if FULL else few
