"""Days to be reminded of: inspections, remarks, ends of life, and gear due back to its lender."""

import datetime as dt
from dataclasses import dataclass

from django.db.models import Q

from crewlog.models import Company
from gear.models import GearItem

MOST = 3000
WHATS = (
    ("inspection", "next_due_on", "inspection due"),
    ("remark", "remark_due_on", "remark to be mended"),
    ("life", "life_ends_on", "life ends"),
    ("back", "due_back_on", "due back"),
)


@dataclass(frozen=True, slots=True)
class Reminder:
    """One day of one item."""

    item_id: int
    tag: str
    description: str
    href: str
    what: str
    words: str
    day: dt.date
    detail: str


def reminders(company: Company, *, until: dt.date) -> list[Reminder]:
    """Every such day of gear in service up to a day, what is overdue included, the earliest first. One query."""
    asked = Q()
    for _, column, _ in WHATS:
        asked |= Q(**{f"{column}__lte": until})
    found = [
        reminder(item, what, words, day)
        for item in GearItem.objects.for_company(company).in_service().filter(asked)
        for what, column, words in WHATS
        if (day := getattr(item, column)) is not None and day <= until
    ]
    return sorted(found, key=lambda each: (each.day, each.tag, each.what))[:MOST]


def reminder(item: GearItem, what: str, words: str, day: dt.date) -> Reminder:
    details = {"remark": item.remark, "inspection": item.next_due_basis, "back": item.borrowed_from}
    return Reminder(
        item_id=item.pk,
        tag=item.tag,
        description=item.description,
        href=item.get_absolute_url(),
        what=what,
        words=f"{words} to {item.borrowed_from}" if what == "back" and item.borrowed_from else words,
        day=day,
        detail=details.get(what, ""),
    )
