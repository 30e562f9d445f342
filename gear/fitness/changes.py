"""Items that were fit, today or on the day of a sheet that lists them, and no longer are."""

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Self

from crewlog.models import Company
from gear.fitness.dependents import DependentSheet, dependents_of
from gear.fitness.facts import item_fitness
from gear.fitness.reasons import Reason
from gear.models import GearItem


@dataclass(frozen=True, slots=True)
class Loss:
    """An item that is not fit from a day on, and why."""

    item: GearItem
    words: str
    since: dt.date


@dataclass(frozen=True, slots=True)
class Watch:
    """Some items with the days that count for each, and why it was not fit on them when the watch began."""

    items: Sequence[GearItem]
    days: Mapping[int, Sequence[dt.date]]
    before: Mapping[tuple[int, dt.date], frozenset[str]]

    @classmethod
    def over(cls, company: Company, items: Sequence[GearItem], sheets: Mapping[int, Sequence[DependentSheet]]) -> Self:
        """Begin: the items as they are, judged for today and for the days of the sheets that list them or their set."""
        today = company.today()
        days, before = {}, {}
        for item in items:
            listed = (*sheets.get(item.pk, ()), *sheets.get(item.assembly_id or 0, ()))
            days[item.pk] = sorted({today, *(sheet.day for sheet in listed)})
            for day in days[item.pk]:
                before[item.pk, day] = frozenset(reason.code for reason in item_fitness(item, day))
        return cls(items, days, before)

    def losses(self) -> Iterator[Loss]:
        """What the items, as they are now, are no longer fit for; with a part goes the tackle set it is in."""
        for item in self.items:
            for day in self.days[item.pk]:
                new = [each for each in item_fitness(item, day) if each.code not in self.before[item.pk, day]]
                if new:
                    words = " ".join(reason.words for reason in told_once(new))
                    yield Loss(item, words, day)
                    if item.assembly is not None:
                        yield Loss(item.assembly, f"Part {item.tag}: {words}", day)
                    break


def watch(company: Company, items: Sequence[GearItem]) -> Watch:
    """Watch items for today and for every sheet in force. A fixed number of queries, and one for each tackle set."""
    return Watch.over(company, items, dependents_of(company))


def told_once(reasons: Sequence[Reason]) -> list[Reason]:
    """What took an item out of use also asks for an examination; saying the first says the second."""
    is_out = any(reason.code == "quarantined" for reason in reasons)
    return [reason for reason in reasons if not (is_out and reason.code == "examination-pending")]
