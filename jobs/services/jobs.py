"""Opening and changing jobs, their anchors and hazards; each change leaves a record."""

from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.db.models import Model

from crewlog.evidence import Entry, append
from crewlog.models import Company, Person
from jobs.models import Anchor, Hazard, Job, Stem


def row_values(row: Model, names: Iterable[str]) -> dict[str, Any]:
    return {name: getattr(row, row._meta.get_field(name).attname) for name in names}  # type: ignore[union-attr]


def changed_values(before: dict[str, Any], after: dict[str, Any]) -> dict[str, list[Any]]:
    return {name: [before[name], after[name]] for name in after if before[name] != after[name]}


def record_change(company: Company, actor: Person, kind: str, *, subject: Model, changes: dict[str, Any]) -> None:
    """Leave a record of what was changed; nothing when nothing was."""
    if changes:
        append(company, kind, Entry(actor=actor), body={"row": subject.pk, "changes": changes})


def save_fields(*, actor: Person, company: Company, row: Model, facts: dict[str, Any], kind: str) -> None:
    """Set the fields, check every constraint, save, and record what changed."""
    names = list(facts)
    before = row_values(row, names) if row.pk is not None and not row._state.adding else {}
    for name, value in facts.items():
        setattr(row, name, value)
    row.full_clean()
    row.save()
    after = row_values(row, names)
    changes = changed_values(before, after) if before else {"added": after}
    record_change(company, actor, kind, subject=row, changes=changes)


@transaction.atomic
def create_job(*, actor: Person, company: Company, facts: dict[str, Any], crew: Iterable[Person] = ()) -> Job:
    """Open a job. Raises ValidationError by field."""
    job = Job(company=company)
    save_fields(actor=actor, company=company, row=job, facts=facts, kind="jobs.job-opened")
    job.crew.set(crew)
    return job


@transaction.atomic
def change_job(*, actor: Person, job: Job, facts: dict[str, Any], crew: Iterable[Person] | None = None) -> Job:
    save_fields(actor=actor, company=job.company, row=job, facts=facts, kind="jobs.job-changed")
    if crew is not None:
        job.crew.set(crew)
    return job


@transaction.atomic
def save_anchor(*, actor: Person, job: Job, facts: dict[str, Any], anchor: Anchor | None = None) -> Anchor:
    """Add an anchor to a job, or change one."""
    row = anchor or Anchor(job=job)
    kind = "jobs.anchor-changed" if anchor else "jobs.anchor-added"
    save_fields(actor=actor, company=job.company, row=row, facts=facts, kind=kind)
    return row


@transaction.atomic
def save_hazard(*, actor: Person, stem: Stem, facts: dict[str, Any], hazard: Hazard | None = None) -> Hazard:
    """Add a hazard seen from a stem, or change one."""
    row = hazard or Hazard(stem=stem)
    kind = "jobs.hazard-changed" if hazard else "jobs.hazard-added"
    save_fields(actor=actor, company=stem.job.company, row=row, facts=facts, kind=kind)
    return row
