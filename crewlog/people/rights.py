"""Who may do what: every service that writes asks here for the actor's role, and whose the row is that it touches."""

from crewlog.errors import RuleBroken
from crewlog.models import Membership, Role


def require_role(actor: Membership, *roles: Role) -> None:
    """Refuse an actor whose role may not do this, or whose access has lapsed."""
    if actor.role not in roles or actor.has_lapsed():
        raise RuleBroken("Your role may not do this.", code="role-not-allowed")


def must_be_ours(actor: Membership, company_id: int, what: str, *, field: str | None = None) -> None:
    """Refuse a row of another company in the words for one that does not exist: nobody learns that it does."""
    if company_id != actor.company_id:
        raise RuleBroken(f"There is no such {what} here.", code="other-company", field=field)
