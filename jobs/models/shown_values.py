"""What a job's forms show of the rows they edit, child rows included: plain values by the name of the field.

The names are those of the forms and of the services' facts, so that a save can be compared with what was shown.
"""

from collections.abc import Iterable

from django.db import models

from crewlog.models.fields import column_of
from jobs.models import Anchor, Assignment, Job, PullPlan, Sheet, Stem
from jobs.models.sheet import HANGS_AS
from jobs.models.values import Row, Shown

PLAN_NAMES = tuple(field.name for field in PullPlan._meta.concrete_fields if field.name not in ("id", "stem"))
STEM_NAMES = tuple(field.name for field in Stem._meta.concrete_fields if field.name not in ("id", "job"))
JOB_NAMES = tuple(field.name for field in Job._meta.concrete_fields if field.name not in ("id", "company", "closed_on"))
ANCHOR_NAMES = tuple(field.name for field in Anchor._meta.concrete_fields if field.name not in ("id", "job"))
POSITION_NAMES = ("item_id", "anchor_id", "not_used", *HANGS_AS)
WINDOW_NAMES = ("day", "starts_at", "ends_at")


def row_values(row: models.Model, names: Iterable[str]) -> Row:
    return {name: getattr(row, column_of(row, name).attname) for name in names}


def rows_as_values(rows: Iterable[models.Model]) -> list[Row]:
    return [
        {
            f.attname: getattr(row, f.attname)
            for f in row._meta.concrete_fields
            if not f.primary_key and not f.is_relation
        }
        for row in rows
    ]


def plan_values(
    plan: PullPlan, redirects: Iterable[models.Model] | None = None, places: Iterable[models.Model] | None = None
) -> Shown:
    """A plan with its redirects and places; those stored, where none are given. At most two queries."""
    saved = plan.pk is not None
    if redirects is None:
        redirects = plan.redirects.all() if saved else ()
    if places is None:
        places = plan.places.all() if saved else ()
    return {
        **row_values(plan, PLAN_NAMES),
        "redirects": rows_as_values(redirects),
        "places": rows_as_values(places),
    }


def stem_values(stem: Stem) -> Shown:
    """A stem with its sizes and the parts of its crown. Two queries."""
    saved = stem.pk is not None
    return {
        **row_values(stem, STEM_NAMES),
        "sections": rows_as_values(stem.sections.all() if saved else ()),
        "crown_parts": rows_as_values(stem.crown_parts.all() if saved else ()),
    }


def job_values(job: Job) -> Row:
    """A job with its crew. One query."""
    return row_values(job, JOB_NAMES) | {"crew": crew_keys(job)}


def crew_keys(job: Job) -> list[str]:
    """Who works on a job, by key in order. One query."""
    return sorted(str(key) for key in job.crew.values_list("pk", flat=True)) if job.pk is not None else []


def anchor_values(anchor: Anchor) -> Row:
    return row_values(anchor, ANCHOR_NAMES)


def window_values(sheet: Sheet) -> Row:
    return row_values(sheet, WINDOW_NAMES)


def position_values(sheet: Sheet, role: str) -> dict[str, Row]:
    """What a position holds, alternates included: by rank. One query."""
    return assignments_as_values(sheet.assignments.filter(role=role))


def assignments_as_values(rows: Iterable[Assignment]) -> dict[str, Row]:
    return {str(row.rank): {name: getattr(row, name) for name in POSITION_NAMES} for row in rows}
