"""The register by pages: what needs someone first, at a cost that does not grow with the store."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any

from crewlog.models import Company
from gear.fitness.statuses import STATUSES, Status
from gear.models import GearItem
from gear.models.querysets import GearItemQuerySet
from gear.register.search_index import found_keys

MOST_COUNTED = 1000


@dataclass(frozen=True, slots=True)
class StoreCounts:
    """How many items stand in each state."""

    unfit: int = 0
    overdue: int = 0
    due: int = 0
    in_service: int = 0
    retired: int = 0

    @property
    def everything(self) -> int:
        return sum(getattr(self, f.name) for f in fields(self))


@dataclass(frozen=True, slots=True)
class StoreFilter:
    """What the register is narrowed to; empty means all."""

    text: str = ""
    gear_class: str = ""
    place: str = ""
    status: Status | None = None
    due_within_days: int | None = None

    def apply(self, company: Company, on: dt.date) -> GearItemQuerySet[GearItem]:
        """Everything but the status, which the counts beside the filter need unfiltered."""
        rows: GearItemQuerySet[GearItem] = GearItem.objects.for_company(company)
        if self.text:
            rows = rows.search(company, self.text)
        if self.gear_class:
            rows = rows.of_class(self.gear_class)
        if self.place:
            rows = rows.at_place(self.place)
        if self.due_within_days is not None:
            rows = rows.falling_due_by(on + dt.timedelta(days=self.due_within_days))
        return rows


class StoreList:
    """Items of a company as a paginator takes them: counted, and cut into slices, state after state.

    Each state is read along its own index, so that a page costs what its rows cost. A search that finds more than a
    thousand items is not counted: a thousand of them are shown by tag, and the page asks for another word.
    """

    def __init__(self, company: Company, on: dt.date, narrow: StoreFilter | None = None) -> None:
        self.company, self.on, self.narrow = company, on, narrow or StoreFilter()

    @cached_property
    def narrowed(self) -> GearItemQuerySet[GearItem]:
        return self.narrow.apply(self.company, self.on)

    @cached_property
    def keys(self) -> list[int]:
        """Keys of what a search by words found, no more than one beyond those that are counted."""
        among = replace(self.narrow, text="").apply(self.company, self.on)
        return found_keys(self.company, among, self.narrow.text, MOST_COUNTED + 1)

    @property
    def is_broad(self) -> bool:
        """Whether a search by words finds more than are counted."""
        return bool(self.narrow.text) and len(self.keys) > MOST_COUNTED

    @cached_property
    def rows(self) -> GearItemQuerySet[GearItem]:
        """The items; those of a search by key, for which an index by state would be read to its end."""
        rows = self.narrowed
        if self.narrow.text:
            rows = GearItem.objects.filter(pk__in=self.keys[:MOST_COUNTED])
        return rows

    @cached_property
    def counts(self) -> StoreCounts:
        """Items by status, whichever is asked for. Six queries, all but one over what is not in service.

        That one counts all items: the index of a company's items alone is the smallest there is.
        """
        rows, live = self.rows.order_by(), self.rows.order_by().in_service()
        lapsed = live.unfit_on(self.on).count()  # unfit or overdue: nobody is unfit and not lapsed
        unfit = rows.needing("unfit", self.on).order_by().count()
        due = rows.needing("due", self.on).order_by().count()
        retired = rows.needing("retired", self.on).order_by().count()
        there = rows.count() - rows.filter(is_mistake=True).count()
        fit = there - retired - lapsed
        return StoreCounts(unfit=unfit, overdue=lapsed - unfit, due=due, in_service=fit - due, retired=retired)

    @property
    def statuses(self) -> tuple[Status, ...]:
        return (self.narrow.status,) if self.narrow.status else STATUSES

    @property
    def asked(self) -> GearItemQuerySet[GearItem]:
        """The rows in the state that is asked for, in no order."""
        rows = self.rows.needing(self.narrow.status, self.on) if self.narrow.status else self.rows.real()
        return rows.order_by()

    def count(self) -> int:
        if self.is_broad:
            return self.asked.count()
        return sum(getattr(self.counts, status) for status in self.statuses)

    def __getitem__(self, part: slice) -> list[Any]:
        """Items of a slice. At most one query for each state that it touches."""
        found = list(self._slice(part.start or 0, self.count() if part.stop is None else part.stop))
        for item in found:
            item.company = self.company  # all are of one company, which need not be read with each
        return found

    def _slice(self, start: int, stop: int) -> Iterator[Any]:
        if self.is_broad:
            yield from self.asked.order_by("tag", "pk")[start:stop]
            return
        for status in self.statuses:
            size = getattr(self.counts, status)
            if start < size and stop > 0:
                yield from self.rows.needing(status, self.on)[max(start, 0) : min(stop, size)]
            start, stop = start - size, stop - size


def store_counts(company: Company, on: dt.date, narrow: StoreFilter | None = None) -> StoreCounts:
    """Items by state. Six queries, each along an index."""
    return StoreList(company, on, replace(narrow, status=None) if narrow else None).counts
