"""Periods of retention, and holds."""

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append, append_row
from crewlog.hooks import subject_of
from crewlog.models import Company, Hold, HoldLift, Membership, Person, RetentionPeriod, Role
from crewlog.people.rights import must_be_ours, require_role


@transaction.atomic
def change_period(*, actor: Membership, period: RetentionPeriod, months: int) -> RetentionPeriod:
    """Set a period, never below the least its basis asks for. Raises ValidationError."""
    require_role(actor, Role.OWNER)
    must_be_ours(actor, period.company_id, "period")
    before = period.months
    period.months = months
    period.full_clean()
    if before != months:
        period.save(update_fields=["months"])
        body = {"kind": period.kind, "months": [before, months]}
        append(period.company, "crewlog.retention-changed", Entry(actor=actor.person), body=body)
    return period


def find_subject(company: Company, about: str, text: str) -> str:
    """The key of what a hold is to be about. Raises RuleBroken when nothing here is called so."""
    if about == Hold.About.PERSON:
        found = Person.objects.for_company(company).filter(pk=text).first() if text else None
        if found is None:
            raise RuleBroken("Choose the person.", code="hold-subject-unknown", field="person")
        return str(found.pk)
    subject = subject_of(about).find(company, text.strip()) if text.strip() else None
    if subject is None:
        words = {"item": "No item here has this tag.", "job": "No job here has this reference."}
        raise RuleBroken(words[about], code="hold-subject-unknown", field=about)
    return subject.key


@transaction.atomic
def place_hold(*, actor: Membership, about: str, subject: str, because: str) -> Hold:
    """Keep everything about an item (by tag), a job (by reference) or a person (by id) until the hold is lifted."""
    require_role(actor, Role.OWNER)
    if about not in Hold.About.values:
        raise RuleBroken("A legal hold covers an item, a job or a person.", code="hold-subject-unknown", field="about")
    if not because.strip():
        raise RuleBroken("Say what the legal hold is for.", code="hold-without-reason", field="because")
    key = find_subject(actor.company, about, subject)
    row = Hold(about=about, subject=key, because=because.strip(), placed_by=actor.person)
    return append_row(actor.company, Entry(actor=actor.person), row)


@transaction.atomic
def lift_hold(*, actor: Membership, hold: Hold, because: str) -> HoldLift:
    """End a hold by a later record. Raises RuleBroken when it was lifted already."""
    require_role(actor, Role.OWNER)
    must_be_ours(actor, hold.record.company_id, "hold")
    Company.objects.select_for_update().get(pk=actor.company_id)
    if HoldLift.objects.filter(hold=hold).exists():
        raise RuleBroken("The legal hold is already lifted.", code="hold-lifted-already")
    if not because.strip():
        raise RuleBroken("Say why the legal hold ends.", code="hold-without-reason", field="because")
    row = HoldLift(hold=hold, because=because.strip(), lifted_by=actor.person)
    return append_row(actor.company, Entry(actor=actor.person), row)
