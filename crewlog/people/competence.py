"""Putting a competence on record, by an outside certificate or an assessment on site, and ending one."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append
from crewlog.evidence.qualification_state import digest_of
from crewlog.models import Assessment, Competence, Learning, Membership, Person, Role, Skill, TrainingSession
from crewlog.models.training import Result
from crewlog.people.rights import must_be_ours, require_role
from crewlog.training.services import append_learning, count_results, keep_session


@dataclass(frozen=True, slots=True)
class CompetenceGrant:
    """A qualification to be entered: the skill, its limits (a class of gear, a stem diameter in m), first and last day.

    Without a last day it does not expire.
    """

    skill: str
    granted_on: dt.date
    expires_on: dt.date | None = None
    gear_class: str = ""
    max_diameter_m: float | None = None


@dataclass(frozen=True, slots=True)
class AssessmentFacts:
    """An assessment on site: by whom, when, at which job, and the `Result` of each point."""

    assessor: Person
    on: dt.date
    job: str
    points: Sequence[tuple[str, str]]


@transaction.atomic
def enter_certificate(*, actor: Membership, person: Person, skilled: CompetenceGrant, certificate: str) -> Competence:
    """Enter a competence by an outside certificate that was seen. Raises ValidationError, RuleBroken."""
    return enter(actor, person, skilled, evidence=certificate.strip())


@transaction.atomic
def enter_assessment(
    *, actor: Membership, person: Person, skilled: CompetenceGrant, assessed: AssessmentFacts
) -> TrainingSession:
    """Keep an assessment by somebody who holds the skill, never by the person themself.

    It grants the qualification only where every point was shown alone; a session with help, or with a point not yet
    shown, stays on record and grants nothing. Who types in an assessment that another made says so: the record carries
    both. Raises ValidationError, RuleBroken.
    """
    require_role(actor, Role.OWNER)
    must_be_ours(actor, person.company_id, "person")
    must_be_ours(actor, assessed.assessor.company_id, "person", field="assessor")
    check_skilled(actor, person, skilled)
    must_be_able_to_assess(assessed, person, skilled)
    counts = count_results(assessed.points)
    granted = counts[Result.ALONE] == len(assessed.points)
    session = keep_session(
        actor,
        person=person,
        skill=skilled.skill,
        gear_class=skilled.gear_class,
        assessor=assessed.assessor,
        held_on=assessed.on,
        place=assessed.job,
        points=assessed.points,
        granted=granted,
    )
    if granted:
        grant_by(actor, person, skilled, assessed)
    return session


def grant_by(actor: Membership, person: Person, skilled: CompetenceGrant, assessed: AssessmentFacts) -> None:
    competence = enter(
        actor, person, skilled, evidence="Assessed on site", on_behalf_of=assessed.assessor, points=assessed.points
    )
    row = Assessment(
        competence=competence,
        assessor=assessed.assessor,
        assessed_on=assessed.on,
        job=assessed.job.strip(),
        points=[list(pair) for pair in assessed.points],
    )
    row.full_clean()
    row.save()


def must_be_able_to_assess(assessed: AssessmentFacts, person: Person, skilled: CompetenceGrant) -> None:
    if assessed.assessor.pk == person.pk:
        raise RuleBroken("You cannot assess yourself.", code="own-assessment", field="assessor")
    if assessed.on > person.company.today():
        raise RuleBroken("This day is in the future.", code="happened-in-future", field="granted_on")
    if not assessed.points:
        raise RuleBroken("Write at least one point and its result.", code="assessment-without-points", field="points")
    held = assessed.assessor.competences.standing(assessed.on).filter(skill=skilled.skill)
    if not any(reaches(competence, skilled) for competence in held):
        raise RuleBroken(
            f"{assessed.assessor} had no valid qualification for this on that day. "
            "Enter a first qualification by certificate.",
            code="assessor-not-competent",
            field="assessor",
        )


def reaches(competence: Competence, skilled: CompetenceGrant) -> bool:
    """Whether an assessor's own limits are at least as wide as what they sign for."""
    class_fits = competence.gear_class in ("", skilled.gear_class)
    limit, asked = competence.max_diameter_m, skilled.max_diameter_m
    return class_fits and (limit is None or (asked is not None and asked <= limit))


def check_skilled(actor: Membership, person: Person, skilled: CompetenceGrant) -> None:
    """Refuse a qualification for who does not work here, of a day ahead, or with limits that make no sense."""
    if person.left_on is not None or getattr(person, "details", None) is None:
        raise RuleBroken("They no longer work here.", code="has-left")
    if skilled.granted_on > actor.company.today():
        raise RuleBroken("This day is in the future.", code="happened-in-future", field="granted_on")
    if skilled.expires_on is not None and skilled.expires_on < skilled.granted_on:
        raise RuleBroken("It cannot end before it begins.", code="ends-before-it-begins", field="expires_on")
    is_for_gear = skilled.skill == Skill.EXAMINE_GEAR
    if skilled.gear_class and not is_for_gear:
        raise RuleBroken(
            "Only a qualification to examine gear has a class.", code="class-not-asked", field="gear_class"
        )


def enter(
    actor: Membership,
    person: Person,
    skilled: CompetenceGrant,
    *,
    evidence: str,
    on_behalf_of: Person | None = None,
    points: Sequence[tuple[str, str]] = (),
) -> Competence:
    """Write the row and the record; free text enters the record as a salted digest, so that it can be removed."""
    require_role(actor, Role.OWNER)
    must_be_ours(actor, person.company_id, "person")
    check_skilled(actor, person, skilled)
    details = person.details  # checked: they work here
    row = Competence.objects.filter(person=person, skill=skilled.skill, gear_class=skilled.gear_class).first()
    row = row or Competence(person=person, skill=skilled.skill, gear_class=skilled.gear_class)
    row.max_diameter_m, row.evidence = skilled.max_diameter_m, evidence
    row.granted_on, row.expires_on = skilled.granted_on, skilled.expires_on
    row.full_clean()
    row.save()
    Assessment.objects.filter(competence=row).delete()
    body = competence_body(row) | {
        "evidence_digest": digest_of(details.salt, evidence, list(points)),
        "is_assessment": on_behalf_of is not None,
    }
    helper = on_behalf_of if on_behalf_of is not None and on_behalf_of.pk != actor.person_id else None
    entry = Entry(actor=actor.person, on_behalf_of=helper)
    append(actor.company, "crewlog.competence-entered", entry, body=body, people=[person])
    if Competence.objects.standing(actor.company.today()).filter(pk=row.pk).exists():
        for learning in Learning.objects.filter(person=person, skill=row.skill).select_related("person__details"):
            append_learning(actor, learning, "ended")
            learning.delete()
    return row


def competence_body(row: Competence) -> dict[str, object]:
    return {
        "person": row.person_id,
        "skill": row.skill,
        "gear_class": row.gear_class,
        "max_diameter_m": row.max_diameter_m,
        "granted_on": row.granted_on,
        "expires_on": row.expires_on,
    }


@transaction.atomic
def end_competence(*, actor: Membership, competence: Competence, because: str) -> None:
    """Take a competence back: it ended yesterday. What it was stays on record."""
    require_role(actor, Role.OWNER)
    must_be_ours(actor, competence.person.company_id, "person")
    if not because.strip():
        raise RuleBroken("Say why.", code="without-reason", field="because")
    today = actor.company.today()
    if competence.expires_on is not None and competence.expires_on < today:
        raise RuleBroken("It has already expired.", code="run-out")
    competence.expires_on = max(today - dt.timedelta(days=1), competence.granted_on - dt.timedelta(days=1))
    competence.save(update_fields=["expires_on"])
    body = competence_body(competence) | {"because": because.strip()}
    append(actor.company, "crewlog.competence-ended", Entry(actor=actor.person), body=body, people=[competence.person])
