"""Names of people against the digests that the records carry."""

from collections.abc import Iterator, Mapping

from crewlog.evidence.bodies import bodies
from crewlog.models import Company, PersonDetails

PERSON_REMOVED = "crewlog.person-removed"


def name_faults(company: Company, digests: Mapping[str, str | None]) -> Iterator[str]:
    """Names that are not those the latest record of each person was entered with; names gone without a record.

    `digests` holds, for each person whom the chain names, the digest that the last such record carries.
    """
    removed = {said.get("person") for _, said in bodies(company, PERSON_REMOVED)}
    kept = {str(details.person_id): details for details in PersonDetails.objects.filter(person__company=company)}
    for person, digest in digests.items():
        details = kept.get(person)
        if details is None and digest is not None and person not in removed:
            yield f"the name of person {person} is gone, and no record says that they were removed"
        elif details is not None and details.digest() != digest:
            yield f"the name of person {person} is not the one that the records were entered with"
