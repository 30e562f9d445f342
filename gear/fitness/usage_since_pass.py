"""Where an item that failed had been at work since it last passed: other apps say where they know it from."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from crewlog.models import Record
from crewlog.registry import Registry
from gear.catalogue.events import EXAMINATIONS, PASSING
from gear.models import GearItem, Inspection


@dataclass(frozen=True, slots=True)
class Work:
    """One piece of work an item was listed for, and what is known of its use there."""

    on: dt.date
    title: str
    url: str
    words: str


Supplier = Callable[[GearItem, dt.date | None, dt.date], list[Work]]

# Called with the item, the day it last passed (None: never) and the last day asked for.
suppliers: Registry[Supplier] = Registry()


@dataclass(frozen=True, slots=True)
class UsageSincePass:
    """The day an item last passed, and all its work since, the newest first."""

    since: dt.date | None
    work: tuple[Work, ...]


def last_pass(item: GearItem, before: Record | None = None) -> dt.date | None:
    """The day of the last examination that passed an item, of those entered before a record. One query."""
    passed = Inspection.objects.filter(item=item, kind__in=EXAMINATIONS, verdict__in=PASSING).standing()
    if before is not None:
        passed = passed.filter(record__sequence__lt=before.sequence)
    return passed.order_by("-examined_on").values_list("examined_on", flat=True).first()


def usage_since_pass(item: GearItem, *, until: dt.date, before: Record | None = None) -> UsageSincePass:
    """Every piece of work from an item's last pass to a day. A fixed number of queries."""
    since = last_pass(item, before)
    work = [each for supplier in suppliers for each in supplier(item, since, until)]
    return UsageSincePass(since, tuple(sorted(work, key=lambda each: (each.on, each.title), reverse=True)))


def has_failed(item: GearItem) -> bool:
    """Whether something took it out of use that no examination has settled, a recall among them."""
    return item.quarantined_on is not None or item.recall_unresolved or item.retired_on is not None
