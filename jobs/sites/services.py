"""Opening and changing jobs, their anchors and hazards; each change leaves a record."""

from collections.abc import Iterable, Mapping, Sequence

from django.db import transaction
from django.db.models import Model

from crewlog.evidence import Entry, append
from crewlog.models import Company, Membership, Person
from crewlog.people.rights import must_be_ours, require_role
from crewlog.stale import Change, Opened, changes_since, check_opened
from crewlog.web.access import PLANNERS
from jobs.models import Anchor, Hazard, Job, Stem
from jobs.models.shown_values import JOB_NAMES, anchor_values, crew_keys, row_values
from jobs.models.values import ColumnValue, Facts

JOB_KINDS = ("jobs.job-opened", "jobs.job-changed")
ANCHOR_KINDS = ("jobs.anchor-added", "jobs.anchor-changed")


def changed_values(before: Facts, after: Facts) -> dict[str, list[ColumnValue]]:
    return {name: [before[name], after[name]] for name in after if before[name] != after[name]}


def record_change(actor: Membership, kind: str, *, subject: Model, changes: Mapping[str, object]) -> None:
    """Leave a record of what was changed, by name, each as the chain writes it; nothing when nothing was."""
    if changes:
        append(actor.company, kind, Entry(actor=actor.person), body={"row": subject.pk, "changes": changes})


def lock_row(row: Model) -> None:
    """Hold a stored row for this transaction, and set what is at hand to what is stored. One query."""
    stored = type(row)._default_manager.select_for_update().get(pk=row.pk)
    for field in row._meta.concrete_fields:
        setattr(row, field.attname, getattr(stored, field.attname))


def changers(company: Company, kinds: Iterable[str], row: Model, opened: Opened | None) -> dict[str, Change]:
    """Who changed what of a row since its form was opened."""
    return changes_since(company, kinds, row, opened.at) if opened is not None else {}


def save_fields(actor: Membership, row: Model, *, facts: Facts, kind: str) -> None:
    """Set the fields, check every constraint, save, and record what changed. People named are of the company."""
    names = list(facts)
    must_be_our_people(actor, (value for value in facts.values() if isinstance(value, Person)))
    before = row_values(row, names) if row.pk is not None and not row._state.adding else {}
    for name, value in facts.items():
        setattr(row, name, value)
    row.full_clean()
    row.save()
    after = row_values(row, names)
    record_change(actor, kind, subject=row, changes=changed_values(before, after) if before else {"added": after})


def must_be_our_people(actor: Membership, people: Iterable[Person]) -> None:
    for person in people:
        must_be_ours(actor, person.company_id, "person")


@transaction.atomic
def create_job(*, actor: Membership, facts: Facts, crew: Sequence[Person] = ()) -> Job:
    """Open a job of the actor's company. Raises ValidationError by field."""
    require_role(actor, *PLANNERS)
    must_be_our_people(actor, crew)
    job = Job(company=actor.company)
    save_fields(actor, job, facts=facts, kind="jobs.job-opened")
    job.crew.set(crew)
    return job


@transaction.atomic
def change_job(
    *,
    actor: Membership,
    job: Job,
    facts: Facts,
    crew: Sequence[Person] | None = None,
    opened: Opened | None = None,
) -> Job:
    """Change a job. Raises ValidationError by field, StaleEdit where it would undo what was saved since `opened`."""
    require_role(actor, *PLANNERS)
    must_be_ours(actor, job.company_id, "job")
    must_be_our_people(actor, crew or ())
    lock_row(job)
    were = crew_keys(job)
    before = {**row_values(job, JOB_NAMES), "crew": were}
    named = sorted(str(person.pk) for person in crew) if crew is not None else were
    check_opened(
        opened,
        theirs=before,
        mine={**facts, "crew": named},
        changes=lambda: changers(job.company, JOB_KINDS, job, opened),
    )
    save_fields(actor, job, facts=facts, kind="jobs.job-changed")
    if named != were:
        job.crew.set(Person.objects.filter(pk__in=named))
        record_change(actor, "jobs.job-changed", subject=job, changes={"crew": [were, named]})
    return job


@transaction.atomic
def save_anchor(
    *,
    actor: Membership,
    job: Job,
    facts: Facts,
    anchor: Anchor | None = None,
    opened: Opened | None = None,
) -> Anchor:
    """Add an anchor to a job, or change one. Raises StaleEdit where it would undo what was saved since `opened`."""
    require_role(actor, *PLANNERS)
    row = anchor or Anchor(job=job)
    must_be_ours(actor, row.job.company_id, "job")
    if anchor is not None:
        lock_row(row)
        check_opened(
            opened,
            theirs=anchor_values(row),
            mine=facts,
            changes=lambda: changers(job.company, ANCHOR_KINDS, row, opened),
        )
    kind = "jobs.anchor-changed" if anchor else "jobs.anchor-added"
    save_fields(actor, row, facts=facts, kind=kind)
    return row


@transaction.atomic
def save_hazard(*, actor: Membership, stem: Stem, facts: Facts, hazard: Hazard | None = None) -> Hazard:
    """Add a hazard seen from a stem, or change one."""
    require_role(actor, *PLANNERS)
    row = hazard or Hazard(stem=stem)
    must_be_ours(actor, row.stem.job.company_id, "stem")
    kind = "jobs.hazard-changed" if hazard else "jobs.hazard-added"
    save_fields(actor, row, facts=facts, kind=kind)
    return row
