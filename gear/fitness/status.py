"""The state of an item in the few words a list has room for."""

import datetime as dt
import re

from gear.fitness.dates import DUE_SOON_DAYS
from gear.fitness.reasons import STATUS_OF_CODE
from gear.fitness.statuses import Status
from gear.models import GearItem

NBSP = "\N{NO-BREAK SPACE}"
SAYS_ITS_DAY = re.compile(r" on \d{1,2}\s\w+\s\d{4}$")  # a newer reason than the day it went out of use


def short_day(day: dt.date, today: dt.date) -> str:
    """12 Nov, with the year when it is another one."""
    text = f"{day.day}{NBSP}{day:%b}"
    return text if day.year == today.year else f"{text}{NBSP}{day.year}"


def days_words(days: int) -> str:
    return f"{days}{NBSP}day" if days == 1 else f"{days}{NBSP}days"


def due_words(day: dt.date, today: dt.date, *, what: str = "Due") -> str:
    """Due today, due in 19 days, 14 days overdue."""
    left = (day - today).days
    if left < 0:
        late = f"{days_words(-left)} overdue"
        return late if what == "Due" else f"{what} {late}"
    return f"{what} today" if left == 0 else f"{what} in {days_words(left)}"


def status_of(item: GearItem, codes: tuple[str, ...], today: dt.date) -> Status:
    """Which of the STATUSES an item with these reasons against it stands in; `with_status` reads it off its days."""
    found = {STATUS_OF_CODE[code] for code in codes}
    gravest: tuple[Status, ...] = ("retired", "unfit", "overdue")
    for status in gravest:
        if status in found:
            return status
    dates = (item.next_due_on, item.remark_due_on, item.life_ends_on, item.due_back_on)
    ends = [day for day in dates if day is not None]
    return "due" if ends and (min(ends) - today).days <= DUE_SOON_DAYS else "in_service"


def status_words(item: GearItem, status: Status, codes: tuple[str, ...], today: dt.date) -> str:
    """Why it is in its state rather than the state's name, where there is room for one reason."""
    if status == "retired" and item.is_mistake:
        return "Entered by mistake"
    if status == "retired" and item.retired_on is not None:
        return f"Retired {short_day(item.retired_on, today)}"
    if status == "unfit":
        return unfit_words(item, codes, today)
    if status == "overdue":
        return overdue_words(item, codes, today)
    if status == "due":
        return soonest(item, today)
    return "In service"


def unfit_words(item: GearItem, codes: tuple[str, ...], today: dt.date) -> str:
    if "quarantined" in codes and item.quarantined_on is not None:
        what = item.quarantined_because.partition(":")[0]
        return what if SAYS_ITS_DAY.search(what) else f"{what} {short_day(item.quarantined_on, today)}"
    if "examination-pending" in codes and item.examination_pending_since is not None:
        what = item.examination_pending_because.partition(":")[0]
        return f"{what} {short_day(item.examination_pending_since, today)}"
    if "recall-unresolved" in codes and item.recalled_on is not None:
        return f"Recalled {short_day(item.recalled_on, today)}"
    if "life-ends" in codes:
        ended = item.life_ends_on
        return f"Life ended {short_day(ended, today)}" if ended is not None and ended < today else "Uses are up"
    plain = {
        "never-inspected": "Not examined yet",
        "dates-missing": "Date of life unknown",
        "marking-illegible": "Marking illegible",
        "unrated": "No rating",
        "part-unfit": "Part unfit or missing",
    }
    return next(words for code, words in plain.items() if code in codes)


def overdue_words(item: GearItem, codes: tuple[str, ...], today: dt.date) -> str:
    if "overdue" in codes:
        return "No interval set" if item.next_due_on is None else due_words(item.next_due_on, today)
    if "remark-overdue" in codes and item.remark_due_on is not None:
        return due_words(item.remark_due_on, today, what="Remark")
    assert item.due_back_on is not None  # noqa: S101 - the only other code of this status needs it
    return f"Was due back {short_day(item.due_back_on, today)}"


def soonest(item: GearItem, today: dt.date) -> str:
    """Which of inspection, remark, life and loan comes first."""
    dates = [
        (item.next_due_on, "Due"),
        (item.remark_due_on, "Remark due"),
        (item.life_ends_on, "Life ends"),
        (item.due_back_on, "Due back"),
    ]
    known = [(day, what) for day, what in dates if day is not None and (day - today).days <= DUE_SOON_DAYS]
    day, what = min(known, key=lambda pair: pair[0])
    return due_words(day, today, what=what)


def next_due_words(item: GearItem, codes: tuple[str, ...], today: dt.date) -> str:
    """What the next due column says: a day, or what comes before there can be one."""
    if item.retired_on is not None:
        return "None"
    if {"quarantined", "examination-pending", "never-inspected"} & set(codes):
        return "Examine first"
    if item.next_due_on is None:
        return "None"
    return f"{item.next_due_on.day}{NBSP}{item.next_due_on:%b}{NBSP}{item.next_due_on.year}"
