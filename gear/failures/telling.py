"""When and how the employer was told of what an inspection found: in the inspection itself, or with its failure."""

import datetime as dt
import zoneinfo
from collections.abc import Iterable
from dataclasses import dataclass

from crewlog.models import Company
from gear.models import Inspection
from gear.models.failure import EmployerTold, FailureFound


@dataclass(frozen=True, slots=True)
class ToldOf:
    """A telling on record."""

    at: dt.datetime
    how: str
    authority_copy: str = ""


def tellings_of(inspections: Iterable[Inspection]) -> dict[int, ToldOf]:
    """The telling on record of each inspection by its key; none for one that has none yet.

    One query where some stand with a failure, which is to be fetched with its inspection.
    """
    told: dict[int, ToldOf] = {}
    failures: dict[int, FailureFound] = {}
    for row in inspections:
        if row.employer_told_at is not None:
            told[row.pk] = ToldOf(row.employer_told_at, row.employer_told_how, row.authority_copy)
        elif row.failure is not None:
            failures[row.pk] = row.failure
    if not failures:
        return told
    drafts, items = ({getattr(failure, name) for failure in failures.values()} for name in ("draft_id", "item_id"))
    rows = EmployerTold.objects.filter(failure__draft__in=drafts, item__in=items).select_related("failure")
    on_record = list(rows.order_by("record_id"))
    for key, failure in failures.items():
        about = (failure.draft_id, failure.item_id, failure.root_id)
        for telling in [each for each in on_record if covers(each, *about)][:1]:
            told[key] = ToldOf(telling.told_at, telling.told_how, telling.authority_copy)
    return told


def covers(told: EmployerTold, draft: int, item: int, root: int) -> bool:
    """Whether a telling is of an item's failure in a round that began with the record `root`."""
    return (told.failure.draft_id, told.item_id) == (draft, item) and told.failure_id >= root


def authority_copy_of(inspection: Inspection, told: ToldOf | None) -> str:
    """What is on record of the copy to the authority; empty where nothing is."""
    return told.authority_copy if told is not None else inspection.authority_copy


def day_in(company: Company, moment: dt.datetime) -> dt.date:
    return moment.astimezone(zoneinfo.ZoneInfo(company.time_zone)).date()
