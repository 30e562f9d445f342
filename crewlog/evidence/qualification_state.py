"""Qualifications recomputed from the records that entered and ended them."""

import hashlib
from collections.abc import Iterator
from typing import Any

from crewlog.evidence.bodies import bodies
from crewlog.evidence.canonical import to_plain
from crewlog.models import Assessment, Company, Competence, PersonDetails

ENTERED, ENDED, REMOVED = "crewlog.competence-entered", "crewlog.competence-ended", "crewlog.person-removed"
COLUMNS = ("max_diameter_m", "granted_on", "expires_on")
Key = tuple[str, str, str]  # person, skill, class of gear


def recorded(company: Company) -> dict[Key, dict[str, Any]]:
    """What the latest record of each qualification says; those of people who were removed are gone."""
    found: dict[Key, dict[str, Any]] = {}
    for record, said in bodies(company, ENTERED, ENDED, REMOVED):
        person = str(said.get("person"))
        if record.kind == REMOVED:
            found = {key: value for key, value in found.items() if key[0] != person}
        else:
            key = (person, str(said.get("skill")), str(said.get("gear_class")))
            found[key] = found.get(key, {}) | said
    return found


def qualification_faults(company: Company) -> Iterator[str]:
    """Qualifications that no record entered, that say something else, or that are gone. Two queries besides."""
    expected = recorded(company)
    salts = dict(PersonDetails.objects.filter(person__company=company).values_list("person_id", "salt"))
    rows = Competence.objects.filter(person__company=company).select_related("assessment").order_by("pk")
    for row in rows:
        key = (str(row.person_id), row.skill, row.gear_class)
        what = f"the qualification {row.skill} of person {row.person_id}"
        said = expected.pop(key, None)
        if said is None:
            yield f"{what} was entered by no record"
            continue
        for column in COLUMNS:
            if to_plain(getattr(row, column)) != said.get(column):
                yield f"{what}: {column} is {getattr(row, column)}, but the records say {said.get(column)}"
        if evidence_digest(row, salts.get(row.person_id, "")) != said.get("evidence_digest"):
            yield f"{what}: its certificate or assessment is not the one that was entered"
    for person, skill, _ in expected:
        yield f"the qualification {skill} of person {person} is on record, but gone"


def evidence_digest(row: Competence, salt: str) -> str:
    """What the record of a qualification carries instead of its words, so that they can be removed."""
    assessment: Assessment | None = getattr(row, "assessment", None)
    points = [tuple(point) for point in assessment.points] if assessment else []
    return digest_of(salt, row.evidence, points)


def digest_of(salt: str, evidence: str, points: list[tuple[str, str]]) -> str:
    return hashlib.sha256(f"{salt}:{evidence}:{points}".encode()).hexdigest()
