"""Who changed what since a form was opened, read from the records of the changes."""

import datetime as dt
import json
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Model, Q

from crewlog.dates import on_clock
from crewlog.evidence.subjects import about
from crewlog.models import Company, Record

RECORDS_READ = 200
BEFORE = dt.timedelta(minutes=1)  # a page is read a moment before it says when


@dataclass(frozen=True, slots=True)
class Change:
    """Who changed a field, and when in the company's time."""

    by: str
    when: str


def changes_since(company: Company, kinds: Iterable[str], row: Model | None, since: dt.datetime) -> dict[str, Change]:
    """Field name to its last change, of the records of these kinds about one row, or about the company. One query.

    A record says `{"changes": {name: [before, after]}}`, or the changes alone.
    """
    whose = Q(company=company) if row is None else about(type(row), [row.pk])
    records = Record.objects.filter(whose, kind__in=list(kinds), entered_at__gte=since - BEFORE)
    found: dict[str, Change] = {}
    for record in records.select_related("entered_by__details").order_by("-sequence")[:RECORDS_READ]:
        body = json.loads(record.body)
        change = Change(by=str(record.entered_by or "Somebody"), when=moment_words(record.entered_at, company))
        for name in body.get("changes", body):
            found.setdefault(name, change)
    return found


def moment_words(moment: dt.datetime, company: Company) -> str:
    """The time of day on the company's clocks; with its date where that is another day than today."""
    local = on_clock(moment, company.time_zone)
    return f"{local:%H:%M}" if local.date() == company.today() else f"{local:%H:%M} on {local:%-d %B}"
