"""People of the demo: who they are, how they sign in, what they are competent in."""

from functools import cache

from django.contrib.auth.hashers import make_password

from crewlog.evidence import Entry, append
from crewlog.evidence.qualification_state import digest_of
from crewlog.models import Company, Competence, Membership, Person, PersonDetails, User
from crewlog.people.competence import AssessmentFacts, CompetenceGrant, competence_body, enter_assessment
from crewlog.training.services import begin_learning
from jobs.demo.scenario import Cast, Facts

# Printed by the command, for a database of invented people that is served to this machine only.
DEMO_PASSWORD = "towpath-lantern-42"  # noqa: S105
GRANTED_DAYS, EXPIRES_DAYS = -1400, 400


@cache
def password_hash() -> str:
    """One hash for every demo sign-in: the hasher is slow on purpose."""
    return make_password(DEMO_PASSWORD)


def found_company(facts: Facts) -> Cast:
    """The company itself."""
    company = Company(**facts)
    company.full_clean()
    company.save()
    return Cast(company=company, today=company.today())


def add_people(cast: Cast, listed: list[Facts]) -> None:
    """Everyone with their sign-in and competences, what they learn and were assessed in; certificates that lapsed stay
    on record.
    """
    for facts in listed:
        cast.members[facts["key"]] = add_person(cast, facts)
    for facts in listed:
        add_training(cast, facts)


def add_training(cast: Cast, facts: Facts) -> None:
    person = cast.members[facts["key"]].person
    for skill in facts.get("learns", ()):
        begin_learning(actor=cast.members["owner"], person=person, skill=skill)
    for session in facts.get("sessions", ()):
        day = cast.day(session["day"])
        assessor = cast.members[session["by"]].person
        enter_assessment(
            actor=cast.members["owner"],
            person=person,
            skilled=CompetenceGrant(session["skill"], day, max_diameter_m=session.get("up_to_m")),
            assessed=AssessmentFacts(assessor, day, session["place"], [tuple(point) for point in session["points"]]),
        )


def add_person(cast: Cast, facts: Facts) -> Membership:
    person = Person.objects.create(company=cast.company)
    PersonDetails.objects.create(
        person=person,
        name=facts["name"],
        phone=facts.get("phone", ""),
        emergency_contact=facts.get("contact", ""),
    )
    user = User.objects.create(email=facts["email"], password=password_hash())
    membership = Membership(
        user=user,
        company=cast.company,
        person=person,
        role=facts["role"],
        ends_on=cast.day(facts["ends_in"]) if "ends_in" in facts else None,
    )
    membership.full_clean()
    membership.save()
    enter_person(cast, membership)
    add_competences(cast, person, facts)
    return membership


def enter_person(cast: Cast, member: Membership) -> None:
    """The records of a person: the first one starts the company, the owner adds the others."""
    person, company = member.person, cast.company
    if "owner" not in cast.members:
        body = {"company": company.pk, "owner": person.pk}
        append(company, "crewlog.company-started", Entry(actor=person), body=body, people=[person])
        return
    entry = Entry(actor=cast.members["owner"].person)
    added = {"person": person.pk, "is_trainee": person.is_trainee}
    append(company, "crewlog.person-added", entry, body=added, people=[person])
    given = {"person": person.pk, "role": member.role, "ends_on": member.ends_on}
    append(company, "crewlog.sign-in-given", entry, body=given, people=[person])


def add_competences(cast: Cast, person: Person, facts: Facts) -> None:
    lapsed = facts.get("lapsed", {})
    for number, skill in enumerate(facts["skills"], start=1):
        row = Competence(
            person=person,
            skill=skill,
            max_diameter_m=facts.get("max_diameter_m") if skill == "cutter" else None,
            evidence=f"Certificate {facts['email'].split('@')[0].upper()}-{number:02d}, seen",
            granted_on=cast.day(GRANTED_DAYS),
            expires_on=cast.day(lapsed.get(skill, EXPIRES_DAYS + 30 * number)),
        )
        row.full_clean()
        row.save()
        digest = digest_of(person.details.salt, row.evidence, [])
        body = competence_body(row) | {"evidence_digest": digest, "is_assessment": False}
        entry = Entry(actor=cast.members["owner"].person if "owner" in cast.members else person)
        append(cast.company, "crewlog.competence-entered", entry, body=body, people=[person])
