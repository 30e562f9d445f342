"""The demo's people as its sign-in page offers them."""

from dataclasses import dataclass

from django.db.models import QuerySet

from crewlog.models import Membership, Role


@dataclass(frozen=True, slots=True)
class Offered:
    """One person to sign in as."""

    id: int
    name: str
    role: str
    company: str


def sign_ins() -> QuerySet[Membership]:
    return Membership.objects.filter(user__is_active=True).select_related("user", "company", "person__details")


def offered() -> list[Offered]:
    """Everybody who may sign in, by company and role. One query."""
    order = list(Role)
    rows = [row for row in sign_ins() if not row.has_lapsed()]
    rows.sort(key=lambda row: (row.company_id, order.index(Role(row.role)), row.pk))
    return [Offered(row.pk, str(row.person), row.get_role_display(), str(row.company)) for row in rows]
