"""The state of issued sheets, from rows that were fetched together; withdrawals that wait to be seen."""

import datetime as dt
from collections.abc import Iterable

from crewlog.models import Company, Person
from jobs.models import DayRecord, Sheet, SheetWithdrawal, Stem
from jobs.sheets.standing.rules import FELL, IssueFacts, Standing, is_over, standing_of
from jobs.wording.date_words import window_words


def standing(sheet: Sheet, siblings: Iterable[Sheet], today: dt.date) -> Standing:
    """State of an issued sheet among the sheets of its stem, on a day of the company."""
    later = [s.revision for s in siblings if s.number == sheet.number and s.revision > sheet.revision and is_issued(s)]
    day = recorded_day(sheet)
    ended = ended_by(sheet, day)
    withdrawals = list(sheet.withdrawals.all())
    facts = IssueFacts(
        day=sheet.day,
        window=window_words(sheet),
        withdrawn_because=[each.reason for each in withdrawals if ended is None or each.record_id < ended],
        withdrawn_after=[each.reason for each in withdrawals if ended is not None and each.record_id > ended],
        later_revision=max(later, default=None),
        result=day.result if day is not None else "",
        result_words=day.get_result_display() if day is not None else "",
    )
    return standing_of(facts, today)


def ended_by(sheet: Sheet, day: DayRecord | None) -> int | None:
    """The first record that said the work was over, where it is over; a day recorded again ended no later."""
    if day is None or not is_over(day.result):
        return None
    first: int = min(row.record_id for row in sheet.day_records.all() if is_over(row.result))
    return first


def is_felled(stem: Stem, sheets: Iterable[Sheet]) -> bool:
    """Whether a stem is down, from its sheets with their days; StemQuerySet.felled asks the database."""
    return stem.felled_on is not None or any(fell(sheet) for sheet in sheets)


def fell(sheet: Sheet) -> bool:
    """Whether the stem went as planned on the sheet's day."""
    day = recorded_day(sheet)
    return day is not None and day.result == FELL


def is_issued(sheet: Sheet) -> bool:
    return hasattr(sheet, "issue")


def recorded_day(sheet: Sheet) -> DayRecord | None:
    """The day as it stands recorded, from rows fetched with the sheet: the one that no other corrects."""
    rows = list(sheet.day_records.all())
    corrected = {row.record.corrects_id for row in rows}
    return next((row for row in rows if row.record_id not in corrected), None)


def unseen_withdrawals(company: Company, person: Person) -> Iterable[SheetWithdrawal]:
    """Withdrawals this person has not acknowledged, newest first. One query."""
    return (
        SheetWithdrawal.objects.filter(record__company=company, record__kind=SheetWithdrawal.record_kind)
        .exclude(seen_by__person=person)
        .select_related("record", "item", "sheet__stem__job__lead__details")
        .order_by("-record_id")
    )
