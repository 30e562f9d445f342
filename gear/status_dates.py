"""The days on which an item's standing turns for the worse. Standard library only.

Lists of many items sort and count by these days instead of judging every item: what is recorded lies in the past, so
from today on an item only goes from in service to overdue and out of use, until somebody records something new.
"""

import bisect
import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from gear.rules import ItemFacts, fitness

DUE_SOON_DAYS = 30
DUE_WINDOWS = (7, DUE_SOON_DAYS, 90)  # how far ahead pages offer to look
ALWAYS = dt.date(1, 1, 1)
NEVER = dt.date(9999, 12, 31)
ONE_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class StatusDates:
    """The earliest day set for an item, and its first day overdue or worse and out of use; NEVER where there is none.

    `falls_due_on` is the earliest of next inspection, remark, end of life and end of a loan.
    """

    falls_due_on: dt.date
    overdue_from: dt.date
    unfit_from: dt.date


def status_dates_of(facts: ItemFacts) -> StatusDates:
    """When an item in service turns. Holds for every day on or after the last day that is recorded of it.

    Retirement is left out: a retired item stands apart in every list.
    """
    days = turning_days(facts)
    out = first_day(days, lambda day: "out" in marks_on(facts, day))
    over = first_day(days, lambda day: bool(marks_on(facts, day) & {"out", "over"}))
    ends = (facts.next_due_on, facts.remark_due_on, facts.life_ends_on, facts.due_back_on)
    return StatusDates(min((day for day in ends if day is not None), default=NEVER), over, out)


def marks_on(facts: ItemFacts, day: dt.date) -> set[str]:
    return {reason.mark for reason in fitness(facts, day)}


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
