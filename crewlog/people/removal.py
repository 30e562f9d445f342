"""Removing what is personal about someone, and leaving the chain whole."""

from collections.abc import Sequence

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append
from crewlog.evidence.documents import purge_document
from crewlog.hooks import Refusal
from crewlog.models import (
    Company,
    Competence,
    Learning,
    Membership,
    Person,
    PersonDetails,
    Record,
    Role,
    TrainingSession,
    User,
)
from crewlog.people.rights import must_be_ours, require_role
from crewlog.retention.rules import documents_naming, obstacles


class RemovalRefused(RuleBroken):
    """A period runs or a hold stands; `reasons` says which. There is no override."""

    def __init__(self, reasons: Sequence[Refusal]) -> None:
        super().__init__(" ".join(reason.words for reason in reasons), code=reasons[0].code)
        self.reasons = tuple(reasons)


@transaction.atomic
def remove_person_data(*, actor: Membership, person: Person, because: str) -> Record:
    """Delete a person's name with its salt, contact, health facts, qualifications, sign-in, and paper that names them.

    The id stays in the records. Raises RemovalRefused with every reason while a period runs or a hold stands.
    """
    require_role(actor, Role.OWNER)
    must_be_ours(actor, person.company_id, "person")
    Company.objects.select_for_update().get(pk=actor.company_id)
    person = Person.objects.with_details().get(pk=person.pk)
    details = getattr(person, "details", None)
    if details is None:
        raise RuleBroken("Their personal data is already deleted.", code="removed-already")
    must_have_left(person)
    if not because.strip():
        raise RuleBroken("Say why.", code="removal-without-reason", field="because")
    if any(part.casefold() in because.casefold() for part in details.name.split() if len(part) > 2):
        raise RuleBroken(
            "The reason is recorded permanently: leave the name out.", code="reason-names-person", field="because"
        )
    reasons = obstacles(person, on=actor.company.today())
    if reasons:
        raise RemovalRefused(reasons)
    entry = Entry(actor=actor.person)
    documents = list(documents_naming(person).select_related("record__company"))
    for document in documents:
        purge_document(
            document=document, entry=entry, because="A person named on it was removed after its retention ended."
        )
    delete_personal_rows(person)
    body = {"person": person.pk, "because": because.strip(), "papers": [document.sha256 for document in documents]}
    return append(actor.company, "crewlog.person-removed", entry, body=body)


def must_have_left(person: Person) -> None:
    today = person.company.today()
    membership = Membership.objects.select_related("user", "company").filter(person=person).first()
    may_sign_in = membership is not None and membership.user.is_active and not membership.has_lapsed()
    if person.left_on is None or person.left_on > today or may_sign_in:
        raise RuleBroken("First record that they have left; their sign-in then ends.", code="still-here")


def delete_personal_rows(person: Person) -> None:
    """What is personal and no evidence. Sessions and second factors go with the sign-in."""
    User.objects.filter(membership__person=person).delete()
    Competence.objects.filter(person=person).delete()
    Learning.objects.filter(person=person).delete()
    TrainingSession.objects.filter(person=person).delete()
    PersonDetails.objects.filter(person=person).delete()
