"""People of a company: adding them, their contact, their sign-in, their role, and the day they leave."""

import datetime as dt
from dataclasses import asdict, dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append
from crewlog.models import Company, Membership, Person, PersonDetails, Role, User
from crewlog.people.rights import must_be_ours, require_role
from crewlog.stale import Opened, check_opened


@dataclass(frozen=True, slots=True)
class Contact:
    """What is personal: none of it enters the records."""

    name: str
    phone: str = ""
    emergency_contact: str = ""
    health_notes: str = ""


@transaction.atomic
def add_person(*, actor: Membership, contact: Contact, is_trainee: bool = False) -> Person:
    """Put somebody on record, without a sign-in. Raises ValidationError.

    `is_trainee` stays on record as it was said; what they are a trainee of is said skill by skill (crewlog/training).
    """
    require_role(actor, Role.OWNER)
    person = Person.objects.create(company=actor.company, is_trainee=is_trainee)
    write_details(PersonDetails(person=person), contact)
    body = {"person": person.pk, "is_trainee": is_trainee}
    append(actor.company, "crewlog.person-added", Entry(actor=actor.person), body=body, people=[person])
    return person


def person_values(person: Person) -> dict[str, Any]:
    """What a person's form shows."""
    details = getattr(person, "details", None)
    names = ("name", "phone", "emergency_contact", "health_notes")
    return {name: getattr(details, name, "") for name in names}


@transaction.atomic
def change_person(
    *,
    actor: Membership,
    person: Person,
    contact: Contact,
    is_trainee: bool | None = None,
    opened: Opened | None = None,
) -> Person:
    """Change a name or contact; the record carries the new name's digest alone. `is_trainee` None leaves it.

    Raises StaleEdit where it would undo what was saved since `opened`.
    """
    require_role(actor, Role.OWNER)
    must_be_ours(actor, person.company_id, "person")
    Person.objects.select_for_update().get(pk=person.pk)
    stored = Person.objects.with_details().get(pk=person.pk)
    check_opened(opened, theirs=person_values(stored), mine=asdict(contact))
    person.is_trainee = stored.is_trainee
    details = PersonDetails.objects.filter(person=person).first()
    if details is None:
        raise RuleBroken("Their personal data is already deleted.", code="removed-already")
    before, was_trainee = details.name, person.is_trainee
    is_trainee = was_trainee if is_trainee is None else is_trainee
    write_details(details, contact)
    person.is_trainee = is_trainee
    person.save(update_fields=["is_trainee"])
    if before != contact.name or was_trainee != is_trainee:
        person.details = details
        body = {"person": person.pk, "is_trainee": [was_trainee, is_trainee], "name_changed": before != contact.name}
        append(actor.company, "crewlog.person-changed", Entry(actor=actor.person), body=body, people=[person])
    return person


def write_details(details: PersonDetails, contact: Contact) -> None:
    details.name = contact.name.strip()
    details.phone = contact.phone.strip()
    details.emergency_contact = contact.emergency_contact.strip()
    details.health_notes = contact.health_notes.strip()
    details.full_clean(exclude=["person"])
    details.save()


@transaction.atomic
def give_sign_in(
    *, actor: Membership, person: Person, email: str, role: str, ends_on: dt.date | None = None
) -> Membership:
    """Let somebody sign in with a role; they choose their password by a link. Raises ValidationError by field."""
    require_role(actor, Role.OWNER)
    must_be_ours(actor, person.company_id, "person")
    if person.left_on is not None:
        raise RuleBroken("They have left. Record that they are back first.", code="has-left")
    if Membership.objects.filter(person=person).exists():
        raise RuleBroken("They can sign in already.", code="sign-in-exists")
    member = make_sign_in(company=actor.company, person=person, email=email, role=role, ends_on=ends_on)
    body = {"person": person.pk, "role": role, "ends_on": ends_on}
    append(actor.company, "crewlog.sign-in-given", Entry(actor=actor.person), body=body, people=[person])
    return member


def make_sign_in(
    *, company: Company, person: Person, email: str, role: str, ends_on: dt.date | None = None
) -> Membership:
    """A user without a password, and the membership."""
    address = User.objects.normalize_email(email.strip()).lower()
    user = User(email=address)
    user.set_unusable_password()
    try:
        user.full_clean(exclude=["password"])
    except ValidationError as fault:
        raise ValidationError({"email": fault.messages}) from fault
    user.save()
    member = Membership(user=user, company=company, person=person, role=role, ends_on=ends_on)
    member.full_clean()
    member.save()
    return member


@transaction.atomic
def change_role(*, actor: Membership, member: Membership, role: str, ends_on: dt.date | None = None) -> Membership:
    """Give another role, or another last day of access. The last owner stays one. Raises ValidationError."""
    require_role(actor, Role.OWNER)
    must_be_ours(actor, member.person.company_id, "person")
    before = [member.role, member.ends_on]
    member.role, member.ends_on = role, ends_on
    member.full_clean()
    member.save(update_fields=["role", "ends_on"])
    must_keep_an_owner(actor.company)
    body = {"person": member.person_id, "role": [before[0], role], "ends_on": [before[1], ends_on]}
    append(actor.company, "crewlog.role-changed", Entry(actor=actor.person), body=body, people=[member.person])
    return member


def must_keep_an_owner(company: Company) -> None:
    """Refuse what would leave a company without anyone who may manage it."""
    owners = Membership.objects.filter(company=company, role=Role.OWNER, user__is_active=True).select_related("company")
    if not any(not owner.has_lapsed() and owner.ends_on is None for owner in owners):
        raise RuleBroken("A company keeps at least one owner whose access does not end.", code="last-owner")


@transaction.atomic
def end_membership(*, actor: Membership, person: Person, on: dt.date) -> Person:
    """Note the last day of somebody who leaves. Their sign-in, emergency contact and health facts end with it at once.

    Name, phone and qualifications stay while a period of retention runs.
    """
    require_role(actor, Role.OWNER)
    must_be_ours(actor, person.company_id, "person")
    if person.left_on is not None:
        raise RuleBroken("They have left already.", code="has-left")
    if on > actor.company.today():
        raise RuleBroken("Enter this on the day they leave: the sign-in ends at once.", code="leaves-later", field="on")
    Person.objects.filter(pk=person.pk).update(left_on=on)
    person.left_on = on
    User.objects.filter(membership__person=person).update(is_active=False)
    PersonDetails.objects.filter(person=person).update(emergency_contact="", health_notes="")
    must_keep_an_owner(actor.company)
    body = {"person": person.pk, "left_on": on}
    append(actor.company, "crewlog.person-left", Entry(actor=actor.person), body=body, people=[person])
    return person


@transaction.atomic
def take_back(*, actor: Membership, person: Person) -> Person:
    """Somebody who left works here again; a sign-in that had ended works again with its old role."""
    require_role(actor, Role.OWNER)
    must_be_ours(actor, person.company_id, "person")
    if person.left_on is None or not PersonDetails.objects.filter(person=person).exists():
        raise RuleBroken("They have not left, or their personal data is deleted.", code="not-left")
    Person.objects.filter(pk=person.pk).update(left_on=None)
    person.left_on = None
    User.objects.filter(membership__person=person).update(is_active=True)
    body = {"person": person.pk}
    append(actor.company, "crewlog.person-back", Entry(actor=actor.person), body=body, people=[person])
    return person
