"""The demo's data, read once, and the cast it becomes."""

import datetime as dt
import json
import zoneinfo
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from crewlog.models import Company, Membership
from gear.models import GearItem
from jobs.models import Job, Sheet, Stem

DATA_FILE = Path(__file__).resolve().parent.parent.parent / "fixtures" / "demo.json"
Facts = dict[str, Any]


@cache
def demo_data() -> Facts:
    """What `fixtures/demo.json` says; days are counted from today."""
    return dict(json.loads(DATA_FILE.read_text(encoding="utf-8")))


@dataclass(slots=True)
class Cast:
    """One company of the demo with what was built of it so far. `today` is the company's date when it began."""

    company: Company
    today: dt.date
    members: dict[str, Membership] = field(default_factory=dict)
    items: dict[str, GearItem] = field(default_factory=dict)
    jobs: dict[str, Job] = field(default_factory=dict)
    stems: dict[str, Stem] = field(default_factory=dict)
    sheets: dict[str, Sheet] = field(default_factory=dict)

    def day(self, days: int) -> dt.date:
        """The date so many days from today."""
        return self.today + dt.timedelta(days=days)

    def moment(self, days: int, hour: int, minute: int = 0) -> dt.datetime:
        """A time of day in the company's zone, so many days from today."""
        return dt.datetime.combine(self.day(days), dt.time(hour, minute), zoneinfo.ZoneInfo(self.company.time_zone))


@dataclass(frozen=True, slots=True)
class Happening:
    """One thing that happened on a day; `order` keeps what follows from another behind it."""

    day: dt.date
    order: int
    tag: str
    enter: Callable[[], object]
