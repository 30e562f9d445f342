"""Beginning and ending to learn a skill, and keeping a session. Granting stands with the qualifications."""

import datetime as dt
from collections.abc import Sequence

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append
from crewlog.evidence.qualification_state import digest_of
from crewlog.models import Membership, Person, Role, Skill
from crewlog.models.training import Learning, Result, TrainingSession
from crewlog.people.rights import must_be_ours, require_role


@transaction.atomic
def begin_learning(*, actor: Membership, person: Person, skill: str) -> Learning:
    """Make somebody a trainee of one skill that they do not hold. Raises RuleBroken."""
    require_role(actor, Role.OWNER)
    must_be_ours(actor, person.company_id, "person")
    if skill not in Skill.values:
        raise RuleBroken("Choose the skill.", code="skill-unknown", field="skill")
    if person.left_on is not None or getattr(person, "details", None) is None:
        raise RuleBroken("They no longer work here.", code="has-left")
    today = actor.company.today()
    if person.competences.standing(today).filter(skill=skill).exists():
        raise RuleBroken("They are already qualified.", code="held-already", field="skill")
    if Learning.objects.filter(person=person, skill=skill).exists():
        raise RuleBroken("They are already learning it.", code="learning-already", field="skill")
    row: Learning = Learning.objects.create(person=person, skill=skill, since=today)
    append_learning(actor, row, "begun")
    return row


@transaction.atomic
def end_learning(*, actor: Membership, learning: Learning) -> None:
    """They learn it no longer: without the qualification they hold no duty of it, supervised or not."""
    require_role(actor, Role.OWNER)
    must_be_ours(actor, learning.person.company_id, "person")
    append_learning(actor, learning, "ended")
    learning.delete()


def append_learning(actor: Membership, row: Learning, what: str) -> None:
    body = {"person": row.person_id, "skill": row.skill, "since": row.since}
    kind = f"crewlog.competence-learning-{what}"
    append(actor.company, kind, Entry(actor=actor.person), body=body, people=[row.person])


def count_results(points: Sequence[tuple[str, str]]) -> dict[str, int]:
    """How many points were shown alone, with help and not yet. Raises RuleBroken for any other result."""
    given = [result for _, result in points]
    if set(given) - set(Result.values):
        raise RuleBroken("Each point is shown alone, with help, or not yet.", code="result-unknown", field="points")
    return {result: given.count(result) for result in Result.values}


def keep_session(
    actor: Membership,
    *,
    person: Person,
    skill: str,
    gear_class: str,
    assessor: Person,
    held_on: dt.date,
    place: str,
    points: Sequence[tuple[str, str]],
    granted: bool,
) -> TrainingSession:
    """Write a session that was checked already, with its record."""
    row = TrainingSession(
        person=person,
        skill=skill,
        gear_class=gear_class,
        assessor=assessor,
        held_on=held_on,
        place=place.strip(),
        points=[list(pair) for pair in points],
        granted=granted,
        **count_results(points),
    )
    row.full_clean()
    row.save()
    body = session_body(row, person.details.salt)  # who works here has them
    helper = assessor if assessor.pk != actor.person_id else None
    entry = Entry(actor=actor.person, on_behalf_of=helper)
    append(actor.company, "crewlog.competence-session", entry, body=body, people=[person])
    return row


def session_body(row: TrainingSession, salt: str) -> dict[str, object]:
    """What the record of a session says; place and points are in it as a salted digest, so that they can be removed."""
    return {
        "person": row.person_id,
        "skill": row.skill,
        "gear_class": row.gear_class,
        "held_on": row.held_on,
        "granted": row.granted,
        "alone": row.alone,
        "with_help": row.with_help,
        "not_yet": row.not_yet,
        "digest": digest_of(salt, row.place, row.points),
    }
