"""The days on which an item's status turns for the worse. Standard library only.

The rule `fitness` as three days kept with each item, so that a query compares days instead of judging every item: what
is recorded lies in the past, so from today on an item only goes from in service to overdue, unfit and retired, until
somebody records something new.
"""

import bisect
import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from gear.fitness.rules import ItemFacts, fitness
from gear.fitness.statuses import Status

DUE_SOON_DAYS = 30
DUE_WINDOWS = (7, DUE_SOON_DAYS, 90)  # how far ahead pages offer to look
ALWAYS = dt.date(1, 1, 1)
NEVER = dt.date(9999, 12, 31)
ONE_DAY = dt.timedelta(days=1)
NOT_FIT: frozenset[Status] = frozenset({"unfit", "overdue"})


@dataclass(frozen=True, slots=True)
class StatusDates:
    """The first day an item is not fit for any reason, and the first for one graver than overdue; NEVER for none.

    `falls_due_on` is the earliest of next inspection, remark, end of life and end of a loan.
    """

    falls_due_on: dt.date
    overdue_from: dt.date
    unfit_from: dt.date


def status_dates_of(facts: ItemFacts) -> StatusDates:
    """When an item turns. Holds for every day on or after the last day that is recorded of it.

    On an earlier day an item that is not fit by these days is not fit by the rules either; one that is fit by them
    may not have been examined yet, or its parts may not.
    """
    days = turning_days(facts)
    retired = facts.retired_on or NEVER
    unfit = first_day(days, lambda day: "unfit" in statuses_on(facts, day))
    overdue = first_day(days, lambda day: bool(statuses_on(facts, day) & NOT_FIT))
    ends = (facts.next_due_on, facts.remark_due_on, facts.life_ends_on, facts.due_back_on)
    falls_due = min((day for day in ends if day is not None), default=NEVER)
    return StatusDates(falls_due, min(overdue, retired), min(unfit, retired))


def statuses_on(facts: ItemFacts, day: dt.date) -> set[Status]:
    return {reason.status for reason in fitness(facts, day)}


def turning_days(facts: ItemFacts) -> list[dt.date]:
    """The days on which a verdict can change, in order, from the first day on which item and parts may serve."""
    all_facts = (facts, *facts.parts)
    begun = max((f.pre_service_on for f in all_facts if f.pre_service_on is not None), default=ALWAYS)
    days = {begun}
    for fact in all_facts:
        turning = [fact.retired_on, fact.quarantined_on, fact.examination_pending_since]
        ending = [
            fact.pre_service_ends_on, fact.next_due_on, fact.remark_due_on, fact.life_ends_on, fact.due_back_on,
        ]  # fmt: skip
        days |= {day for day in turning if day is not None}
        days |= {day + ONE_DAY for day in ending if day is not None}
    return sorted(day for day in days if day >= begun)


def first_day(days: list[dt.date], is_so: Callable[[dt.date], bool]) -> dt.date:
    """The first of some days on which something is so that stays so once it is; NEVER when it never is."""
    place = bisect.bisect_left(days, True, key=is_so)
    return days[place] if place < len(days) else NEVER
