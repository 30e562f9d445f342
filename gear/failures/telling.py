"""When and how the employer was told of what an inspection found: in the inspection itself, or with its failure."""

import datetime as dt
from dataclasses import dataclass

from gear.failures.models import EmployerTold
from gear.models import Inspection


@dataclass(frozen=True, slots=True)
class ToldOf:
    """A telling on record."""

    at: dt.datetime
    how: str
    authority_copy: str = ""


def telling_of(inspection: Inspection) -> ToldOf | None:
    """The telling on record of an inspection; None while there is none. One query where it stands with a failure."""
    if inspection.employer_told_at is not None:
        return ToldOf(inspection.employer_told_at, inspection.employer_told_how, inspection.authority_copy)
    failure = inspection.failure
    if failure is None:
        return None
    rows = EmployerTold.objects.filter(failure__draft=failure.draft_id, item=failure.item_id)
    row = rows.filter(failure__gte=failure.root_id).order_by("record_id").first()
    return None if row is None else ToldOf(row.told_at, row.told_how, row.authority_copy)


def authority_copy_of(inspection: Inspection) -> str:
    """What is on record of the copy to the authority; empty where nothing is. As many queries as `telling_of`."""
    told = telling_of(inspection)
    return told.authority_copy if told is not None else inspection.authority_copy
