"""The sheets an item hung on between two days, for whoever looks back at what failed."""

import datetime as dt

from django.db.models import Q
from django.urls import reverse

from crewlog.quantities.display import percent_text
from gear.fitness.usage_since_pass import Work
from gear.models import GearItem, LoadRecord, LoadSource
from jobs.models import Assignment, DayRecord, Sheet

MOST_SHEETS = 200


def sheets_with(item: GearItem, since: dt.date | None, until: dt.date) -> list[Work]:
    """Issued sheets that listed an item, with what is on record of its use there. Three queries."""
    loads = {row.work_id: row for row in LoadRecord.objects.filter(item=item).standing()}
    hung = Assignment.objects.filter(item=item, rank=0).values("sheet")
    rows = Sheet.objects.issued().filter(Q(pk__in=hung) | Q(issue__record__in=list(loads)), day__lte=until)
    if since is not None:
        rows = rows.filter(day__gte=since)
    sheets = list(rows.select_related("stem__job", "issue").defer("issue__pdf", "issue__snapshot")[:MOST_SHEETS])
    recorded = set(DayRecord.objects.filter(sheet__in=sheets).values_list("sheet", flat=True))
    return [
        Work(
            on=sheet.day,
            title=f"Sheet {sheet.number}, revision {sheet.revision}, {sheet.stem.job.site_name}",
            url=reverse("sheet", args=[sheet.pk]),
            words=use_words(loads.get(sheet.issue.record_id), is_recorded=sheet.pk in recorded),
        )
        for sheet in sheets
    ]


def use_words(load: LoadRecord | None, *, is_recorded: bool) -> str:
    """What is known of an item's use on one sheet."""
    if load is None or load.source == LoadSource.NOT_USED:
        return "not used" if is_recorded else "what was done is not on record"
    if load.share_ratio is None:
        return "used, not measured"
    share = percent_text(load.share_ratio, direction="up")
    return f"used, {share} of its limit, {load.get_source_display().lower()}"
