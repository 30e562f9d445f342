"""Saving what was measured and planned, and keeping a plan as a revision."""

import dataclasses
from collections.abc import Iterable, Sequence
from typing import Any

from django.db import models, transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row, canonical
from crewlog.models import Person
from jobs.bundle import Bundle
from jobs.calculation import Outcome
from jobs.models import CrownPart, Job, Place, PlanRevision, PullPlan, Redirect, Stem, StemSection
from jobs.services.jobs import record_change, save_fields


def rows_as_values(rows: Iterable[models.Model]) -> list[dict[str, Any]]:
    return [
        {
            f.attname: getattr(row, f.attname)
            for f in row._meta.concrete_fields
            if not f.primary_key and not f.is_relation
        }
        for row in rows
    ]


def replace_rows(owner: models.Model, relation: str, rows: Sequence[models.Model]) -> list[Any]:
    """Put these rows in place of the owner's; returns [before, after] or nothing when they are the same."""
    manager = getattr(owner, relation)
    before = rows_as_values(manager.all())
    after = rows_as_values(rows)
    if before == after:
        return []
    manager.all().delete()
    for row in rows:
        row.pk = None
        setattr(row, manager.field.name, owner)
        row.full_clean()
        row.save(force_insert=True)
    return [before, after]


@transaction.atomic
def save_stem(
    *,
    actor: Person,
    job: Job,
    facts: dict[str, Any],
    stem: Stem | None = None,
    sections: Sequence[StemSection] | None = None,
    crown_parts: Sequence[CrownPart] | None = None,
) -> Stem:
    """Add a stem to a job or change what was measured on one. Raises ValidationError by field."""
    row = stem or Stem(job=job)
    kind = "jobs.stem-changed" if stem else "jobs.stem-added"
    save_fields(actor=actor, company=job.company, row=row, facts=facts, kind=kind)
    for relation, rows in (("sections", sections), ("crown_parts", crown_parts)):
        changed = replace_rows(row, relation, rows) if rows is not None else []
        if changed:
            record_change(job.company, actor, "jobs.stem-changed", subject=row, changes={relation: changed})
    return row


@transaction.atomic
def save_plan(
    *,
    actor: Person,
    stem: Stem,
    facts: dict[str, Any],
    redirects: Sequence[Redirect] | None = None,
    places: Sequence[Place] | None = None,
) -> PullPlan:
    """Save the working copy of a stem's plan; an issued sheet keeps its own snapshot and is not touched."""
    plan = PullPlan.objects.filter(stem=stem).first() or PullPlan(stem=stem)
    save_fields(actor=actor, company=stem.job.company, row=plan, facts=facts, kind="jobs.plan-changed")
    for relation, rows in (("redirects", redirects), ("places", places)):
        changed = replace_rows(plan, relation, rows) if rows is not None else []
        if changed:
            record_change(stem.job.company, actor, "jobs.plan-changed", subject=plan, changes={relation: changed})
    stem.plan = plan
    return plan


@transaction.atomic
def keep_revision(*, actor: Person, bundle: Bundle, outcome: Outcome) -> PlanRevision:
    """Keep a worked plan as its next revision, refused or not: input, result and version of the mechanics."""
    if outcome.request is None:
        raise RuleBroken("The plan has open answers and cannot be worked out yet.", code="plan-not-worked")
    latest = PlanRevision.objects.filter(stem=bundle.stem).aggregate(last=models.Max("revision"))["last"] or 0
    row = PlanRevision(
        stem=bundle.stem,
        revision=latest + 1,
        inputs=canonical(outcome.request),
        results=canonical(
            {"results": outcome.results_json(), "findings": [dataclasses.asdict(f) for f in outcome.findings]}
        ),
        mechanics_version=outcome.mechanics_version,
        kept_by=actor,
    )
    return append_row(bundle.job.company, Entry(actor=actor), row)
