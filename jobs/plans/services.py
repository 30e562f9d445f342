"""Saving what was measured and planned, and keeping a plan as a revision."""

import dataclasses
from collections.abc import Sequence

from django.db import models, transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row, canonical_json
from crewlog.models import Membership
from crewlog.people.rights import must_be_ours, require_role
from crewlog.stale import Opened, StaleEdit, check_opened
from crewlog.web.access import PLANNERS
from jobs.models import CrownPart, Job, Place, PlanRevision, PullPlan, Redirect, Stem, StemSection
from jobs.models.shown_values import plan_values, rows_as_values, stem_values
from jobs.models.values import Facts, Json, Row
from jobs.plans.calculation import Outcome, calculate
from jobs.plans.data import PlanData, gear_sheet_of, load_plan_data
from jobs.plans.request_json import request_json, results_json
from jobs.plans.watched import beside_words, inputs_beside
from jobs.sites.services import changers, lock_row, record_change, save_fields

STEM_KINDS = ("jobs.stem-added", "jobs.stem-changed")
PLAN_KINDS = ("jobs.plan-changed",)


def replace_rows(owner: models.Model, relation: str, rows: Sequence[models.Model]) -> list[list[Row]]:
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
    actor: Membership,
    job: Job,
    facts: Facts,
    stem: Stem | None = None,
    sections: Sequence[StemSection] | None = None,
    crown_parts: Sequence[CrownPart] | None = None,
    opened: Opened | None = None,
) -> Stem:
    """Add a stem to a job or change what was measured on one.

    Raises ValidationError by field, StaleEdit where it would undo what was saved since `opened`.
    """
    require_role(actor, *PLANNERS)
    row = stem or Stem(job=job)
    must_be_ours(actor, row.job.company_id, "job")
    if stem is not None:
        lock_row(row)
        check_opened(
            opened,
            theirs=stem_values(row),
            mine={**facts, **child_values(sections=sections, crown_parts=crown_parts)},
            changes=lambda: changers(job.company, STEM_KINDS, row, opened),
        )
    kind = "jobs.stem-changed" if stem else "jobs.stem-added"
    save_fields(actor, row, facts=facts, kind=kind)
    for relation, rows in (("sections", sections), ("crown_parts", crown_parts)):
        changed = replace_rows(row, relation, rows) if rows is not None else []
        if changed:
            record_change(actor, "jobs.stem-changed", subject=row, changes={relation: changed})
    return row


def child_values(**rows: Sequence[models.Model] | None) -> dict[str, list[Row]]:
    """Child rows that a form gave, as they are compared; those it did not give are left out."""
    return {name: rows_as_values(given) for name, given in rows.items() if given is not None}


@transaction.atomic
def save_plan(
    *,
    actor: Membership,
    stem: Stem,
    facts: Facts,
    redirects: Sequence[Redirect] | None = None,
    places: Sequence[Place] | None = None,
    opened: Opened | None = None,
) -> PullPlan:
    """Save the working copy of a stem's plan; an issued sheet keeps its own snapshot and is not touched.

    Raises ValidationError by field, StaleEdit where it would undo what was saved since `opened`.
    """
    require_role(actor, *PLANNERS)
    must_be_ours(actor, stem.job.company_id, "stem")
    Stem.objects.select_for_update().get(pk=stem.pk)  # a plan that is not there yet cannot be locked itself
    plan = PullPlan.objects.filter(stem=stem).first() or PullPlan(stem=stem)
    if not plan._state.adding or (opened is not None and opened.values is not None):
        check_opened(
            opened,
            theirs={**plan_values(plan), **carried(opened)},
            mine={**facts, **child_values(redirects=redirects, places=places)},
            changes=lambda: changers(stem.job.company, PLAN_KINDS, plan, opened),
        )
    save_fields(actor, plan, facts=facts, kind="jobs.plan-changed")
    for relation, rows in (("redirects", redirects), ("places", places)):
        changed = replace_rows(plan, relation, rows) if rows is not None else []
        if changed:
            record_change(actor, "jobs.plan-changed", subject=plan, changes={relation: changed})
    stem.plan = plan
    return plan


def carried(opened: Opened | None) -> dict[str, Json]:
    """What a plan's form carries besides the plan: the inputs its figures rest on."""
    beside = opened.shown("beside") if opened is not None else None
    return {} if beside is None else {"beside": beside}


@transaction.atomic
def save_and_keep(
    *,
    actor: Membership,
    stem: Stem,
    facts: Facts,
    redirects: Sequence[Redirect] | None = None,
    places: Sequence[Place] | None = None,
    opened: Opened | None = None,
) -> PlanRevision | None:
    """Save a plan and keep it as its next revision, so that the revision holds what the person had before them.

    None where answers are open: then it is saved and not kept. Raises as `save_plan`; StaleEdit also where the stem,
    its hazards, the gear or the anchors that the figures rest on were changed since `opened`.
    """
    save_plan(actor=actor, stem=stem, facts=facts, redirects=redirects, places=places, opened=opened)
    fresh = Stem.objects.with_plan().get(pk=stem.pk)
    plan_data = load_plan_data(fresh, gear_sheet_of(fresh))
    check_beside(opened, plan_data)
    outcome = calculate(plan_data)
    return None if outcome.plan_input is None else keep_revision(actor=actor, plan_data=plan_data, outcome=outcome)


def check_beside(opened: Opened | None, plan_data: PlanData) -> None:
    """Raise StaleEdit where what the figures rest on is no longer what was shown beside them."""
    shown = opened.shown("beside") if opened is not None else None
    if opened is None or shown is None:
        return
    stored = inputs_beside(plan_data)
    lines = beside_words(shown, stored, plan_data)
    if lines:
        values = {**(opened.values or {}), "beside": stored}
        changed = changers(plan_data.job.company, STEM_KINDS, plan_data.stem, opened)
        again = Opened(about=opened.about, values=values)
        raise StaleEdit(opened=again, beside=lines, changes=tuple(changed.values()))


@transaction.atomic
def keep_revision(*, actor: Membership, plan_data: PlanData, outcome: Outcome) -> PlanRevision:
    """Keep a worked plan as its next revision, refused or not: input, result and version of the mechanics."""
    require_role(actor, *PLANNERS)
    must_be_ours(actor, plan_data.job.company_id, "plan")
    if outcome.plan_input is None:
        raise RuleBroken("The plan has open answers and cannot be worked out yet.", code="plan-not-worked")
    latest = PlanRevision.objects.filter(stem=plan_data.stem).aggregate(last=models.Max("revision"))["last"] or 0
    row = PlanRevision(
        stem=plan_data.stem,
        revision=latest + 1,
        inputs=canonical_json(request_json(outcome.plan_input)),
        results=canonical_json(
            {"results": results_json(outcome.result), "findings": [dataclasses.asdict(f) for f in outcome.findings]}
        ),
        mechanics_version=outcome.mechanics_version,
        kept_by=actor.person,
    )
    return append_row(plan_data.job.company, Entry(actor=actor.person), row)
