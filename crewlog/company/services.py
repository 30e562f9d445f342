"""Changing what papers print of the company and of an examiner."""

from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append
from crewlog.models import Company, ExaminerDetails, Membership, Person, Role
from crewlog.people.rights import must_be_ours, require_role
from crewlog.stale import Opened, changes_since, check_opened
from crewlog.web.access import INSPECTORS

CHANGEABLE = (
    "name",
    "address",
    "emergency_number",
    "time_zone",
    "unit_system",
    "decimal_mark",
    "felling_words",
    "second_step_owners",
    "second_step_inspectors",
    "shared_idle_min",
)


def company_values(company: Company) -> dict[str, Any]:
    """What is stored of everything that can be changed; each form shows some of it."""
    return {name: getattr(company, name) for name in CHANGEABLE}


@transaction.atomic
def change_company(*, actor: Membership, opened: Opened | None = None, **facts: Any) -> Company:
    """Change the company's particulars; what they were stays on record.

    Raises ValidationError, and StaleEdit where it would undo what was saved since `opened`.
    """
    require_role(actor, Role.OWNER)
    company = Company.objects.select_for_update().get(pk=actor.company_id)
    check_opened(
        opened,
        theirs=company_values(company),
        mine=facts,
        changes=lambda: changes_since(company, ["crewlog.company-changed"], None, opened.at) if opened else {},
    )
    unknown = set(facts) - set(CHANGEABLE)
    if unknown:
        raise FieldDoesNotExist(f"not a fact of a company that can be changed: {', '.join(sorted(unknown))}")
    changed = {}
    for name in CHANGEABLE:
        before, after = getattr(company, name), facts.get(name, getattr(company, name))
        if before != after:
            changed[name] = [before, after]
            setattr(company, name, after)
    if changed:
        company.full_clean()
        company.save(update_fields=list(changed))
        append(company, "crewlog.company-changed", Entry(actor=actor.person), body=changed, people=[actor.person])
    return company


@transaction.atomic
def describe_examiner(*, actor: Membership, person: Person, **facts: Any) -> ExaminerDetails:
    """Enter what reports say of a person: the person's own doing, or the owner's. No evidence: it can be removed."""
    require_role(actor, *INSPECTORS)
    must_be_ours(actor, person.company_id, "person")
    if actor.role != Role.OWNER and actor.person_id != person.pk:
        raise RuleBroken("Only the person, or the owner, enters this.", code="not-yours")
    row = ExaminerDetails.objects.filter(details__person=person).first() or ExaminerDetails(details=person.details)
    for name, value in facts.items():
        setattr(row, name, value)
    row.full_clean()
    row.save()
    return row
