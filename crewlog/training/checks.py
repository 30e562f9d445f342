"""Whether what people are said to learn, and how they were assessed, is what the records say."""

import json
from collections import Counter
from collections.abc import Iterator

from crewlog.evidence.bodies import bodies
from crewlog.evidence.canonical import canonical_json
from crewlog.models import Company, PersonDetails, Record
from crewlog.models.training import Learning, TrainingSession
from crewlog.training.services import session_body

BEGUN, ENDED = "crewlog.competence-learning-begun", "crewlog.competence-learning-ended"
SESSION = "crewlog.competence-session"


def learning_faults(company: Company) -> Iterator[str]:
    """One sentence for each skill that is learned without a record, or recorded and gone. Two queries.

    Who was entered as a trainee before skills were learned one by one learns without a record of its own, and a removed
    person's rows are gone.
    """
    learned: dict[tuple[str, str], bool] = {}
    rows = Record.objects.for_company(company).filter(kind__in=[BEGUN, ENDED]).order_by("sequence")
    for kind, text in rows.values_list("kind", "body").iterator(chunk_size=2000):
        body = json.loads(text)
        learned[body["person"], body["skill"]] = kind == BEGUN
    found = set()
    for row in Learning.objects.filter(person__company=company).select_related("person"):
        key = (str(row.person_id), row.skill)
        found.add(key)
        if not learned.get(key, row.person.is_trainee):
            yield f"{row.person_id} learns “{row.skill}” and no record says so"
    working = set(map(str, company.people.filter(details__isnull=False).values_list("pk", flat=True)))
    for (person, skill), is_learned in learned.items():
        if is_learned and person in working and (person, skill) not in found:
            yield f"{person} learns “{skill}” by the records, and no longer by what is shown"


def session_faults(company: Company) -> Iterator[str]:
    """One sentence for each session that no record says so, and for each on record that is not shown. Three queries.

    A removed person's rows are gone.
    """
    salts = {
        str(key): salt
        for key, salt in PersonDetails.objects.filter(person__company=company).values_list("person_id", "salt")
    }
    recorded: Counter[str] = Counter()
    for record, said in bodies(company, SESSION):
        if said.get("person") in salts:
            recorded[canonical_json(said | {"assessor": record.on_behalf_of_id or record.entered_by_id})] += 1
    for row in TrainingSession.objects.filter(person__company=company).order_by("pk"):
        said = session_body(row, salts.get(str(row.person_id), "")) | {"assessor": row.assessor_id}
        key = canonical_json(said)
        if recorded[key] < 1:
            yield f"the session of {row.person_id} in “{row.skill}” on {row.held_on} is so by no record"
        recorded[key] -= 1
    for key in (+recorded).elements():
        said = json.loads(key)
        yield f"a session of {said['person']} in “{said.get('skill')}” on {said.get('held_on')} is on record, but gone"
