"""Starting a company with its first owner."""

from django.core.exceptions import ValidationError
from django.db import transaction

from crewlog.evidence import Entry, append
from crewlog.models import Company, FellingWords, Membership, Person, PersonDetails, Role, UnitSystem
from crewlog.people.services import make_sign_in
from crewlog.retention.defaults import ensure_default_periods


@transaction.atomic
def start_company(
    *,
    name: str,
    owner_name: str,
    owner_email: str,
    time_zone: str = "Europe/London",
    units: str = UnitSystem.METRIC,
    felling_words: str = FellingWords.NORTH_AMERICAN,
) -> Membership:
    """A new company and its owner, who has no password yet. Raises ValidationError by field."""
    company = Company(name=name.strip(), time_zone=time_zone, unit_system=units, felling_words=felling_words)
    company.full_clean()
    if Company.objects.filter(name__iexact=company.name).exists():
        raise ValidationError({"name": ["A company of this name is here already."]})
    company.save()
    person = Person.objects.create(company=company)
    details = PersonDetails(person=person, name=owner_name.strip())
    details.full_clean(exclude=["person"])
    details.save()
    member = make_sign_in(company=company, person=person, email=owner_email, role=Role.OWNER)
    ensure_default_periods(company)
    body = {"company": company.pk, "owner": person.pk}
    append(company, "crewlog.company-started", Entry(actor=person), body=body, people=[person])
    return member
