"""Whether what people are said to learn is what the records say: a trainee holds duties that others may not."""

import json
from collections.abc import Iterator

from crewlog.models import Company, Record
from crewlog.training.models import Learning

BEGUN, ENDED = "crewlog.competence-learning-begun", "crewlog.competence-learning-ended"


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
