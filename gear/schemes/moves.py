"""Which due dates a change of inspection schemes would move, worked out before it is saved."""

import datetime as dt
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from crewlog.models import Company
from gear.catalogue.classes import BY_CODE
from gear.fitness.history import due_after
from gear.fitness.inspection_rules import InspectionRules
from gear.fitness.refresh import CHUNK, life_facts, load_evidence
from gear.fitness.rules import Due
from gear.models import GearItem


@dataclass(frozen=True, slots=True)
class Move:
    """One item whose due date or its basis would change."""

    tag: str
    url: str
    description: str
    class_name: str
    now: Due | None
    then: Due | None
    today: dt.date

    @property
    def is_late_then(self) -> bool:
        """Overdue after the change and not before, or left without any interval."""
        return is_late(self.then, self.today) and not is_late(self.now, self.today)

    @property
    def is_earlier(self) -> bool:
        return self.then is not None and (self.now is None or self.then.on < self.now.on)

    @property
    def is_later(self) -> bool:
        return self.now is not None and (self.then is None or self.then.on > self.now.on)


def is_late(due: Due | None, on: dt.date) -> bool:
    return due is None or due.on < on


@dataclass(frozen=True, slots=True)
class Moves:
    """Every item a change would touch: what becomes overdue first, then by the date it would fall due."""

    rows: tuple[Move, ...]

    @property
    def late(self) -> int:
        return sum(row.is_late_then for row in self.rows)

    @property
    def earlier(self) -> int:
        return sum(row.is_earlier for row in self.rows)

    @property
    def later(self) -> int:
        return sum(row.is_later for row in self.rows)

    @property
    def by_class(self) -> list[tuple[str, int]]:
        return sorted(Counter(row.class_name for row in self.rows).items())


def moves_under(company: Company, book: InspectionRules) -> Moves:
    """What would change for a company's items in service under other rules. Four queries for each 500 items."""
    today = company.today()
    rows = list(moved_rows(company, book, today))
    rows.sort(key=lambda row: (not row.is_late_then, row.then.on if row.then else dt.date.min, row.tag))
    return Moves(tuple(rows))


def moved_rows(company: Company, book: InspectionRules, today: dt.date) -> Iterator[Move]:
    items = list(GearItem.objects.for_company(company).in_service().order_by("tag"))
    for start in range(0, len(items), CHUNK):
        chunk = items[start : start + CHUNK]
        evidence = load_evidence(chunk)
        for item in chunk:
            now = Due(item.next_due_on, item.next_due_basis) if item.next_due_on else None
            then = due_after(evidence[item.pk].examined, life_facts(item, book))
            if now == then:
                continue
            yield Move(
                tag=item.tag,
                url=item.get_absolute_url(),
                description=item.description,
                class_name=BY_CODE[item.gear_class].name,
                now=now,
                then=then,
                today=today,
            )
