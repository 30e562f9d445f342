"""Who may do what to the company's people and records."""

from crewlog.errors import RuleBroken
from crewlog.models import Company, Membership, Person, Role


def must_be_owner(actor: Membership) -> None:
    if actor.role != Role.OWNER or actor.has_lapsed():
        raise RuleBroken("Only the owner does this.", code="owner-only")


def must_be_ours(company: Company, person: Person) -> None:
    if person.company_id != company.pk:
        raise RuleBroken("That person is not on record here.", code="other-company")
