"""Failures, mistakes and tellings of one item, for its history."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from crewlog.models import Record
from gear.failures.telling import day_in
from gear.fitness.reasons import moment_words
from gear.models import GearItem
from gear.models.failure import EmployerTold, FailureFound, FailureMistaken

PEOPLE = ("record__entered_by__details", "record__on_behalf_of__details", "record__corrects")


@dataclass(frozen=True, slots=True)
class FailureEvent:
    """One record about a failure, worded."""

    record: Record
    on: dt.date
    title: str
    lines: tuple[str, ...]
    is_grave: bool = False


def failure_events(item: GearItem) -> Iterator[FailureEvent]:
    """Everything recorded about an item's failures in rounds. Three queries."""
    zone = item.company.time_zone
    for found in FailureFound.objects.filter(item=item).select_related("draft", *PEOPLE):
        when = f"Answered {moment_words(found.record.happened_at, zone)}, in the round {found.draft.title}"
        yield FailureEvent(found.record, found.found_on, "Failed in a round: held", (found.reason, when), is_grave=True)
    for mistaken in FailureMistaken.objects.filter(item=item).select_related("failure", *PEOPLE):
        lines = (f"Looked at again. {mistaken.because}", f"The answer was: {mistaken.failure.reason}")
        yield FailureEvent(mistaken.record, local_day(item, mistaken.record), "Failure entered by mistake", lines)
    for told in EmployerTold.objects.filter(item=item).select_related(*PEOPLE):
        said = [f"{moment_words(told.told_at, zone)}: {told.told_how}", told.get_danger_display()]
        if told.authority_copy:
            said.append(f"Copy to the authority: {told.authority_copy}")
        yield FailureEvent(told.record, local_day(item, told.record), "Employer told", tuple(said))


def local_day(item: GearItem, record: Record) -> dt.date:
    return day_in(item.company, record.happened_at)
