"""Making and revoking a member's calendar address; asking for the digest."""

import hashlib
import secrets

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append
from crewlog.models import CalendarFeed, DigestWish, MailStop, Membership, Role
from crewlog.people.rights import require_role
from crewlog.web.access import EVERYONE

DIGEST_ROLES = (Role.OWNER, Role.INSPECTOR)


def token_hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic
def make_calendar(*, actor: Membership) -> str:
    """Give a member a new address; the one before stops at once. Returns its secret part, which is kept nowhere."""
    require_role(actor, *EVERYONE)
    token = secrets.token_urlsafe(32)
    CalendarFeed.objects.filter(membership=actor).delete()
    CalendarFeed.objects.create(membership=actor, token_sha256=token_hash(token))
    append(actor.company, "crewlog.calendar-made", Entry(actor=actor.person), body={})
    return token


@transaction.atomic
def revoke_calendar(*, actor: Membership) -> None:
    """Stop a member's address; doing it twice is harmless."""
    require_role(actor, *EVERYONE)
    count, _ = CalendarFeed.objects.filter(membership=actor).delete()
    if count:
        append(actor.company, "crewlog.calendar-revoked", Entry(actor=actor.person), body={})


def member_of_calendar(token: str) -> Membership | None:
    """Whose calendar an address is; None when it was revoked, or when they may not sign in any more. One query."""
    rows = Membership.objects.select_related("company", "person", "user")
    member = rows.filter(calendar__token_sha256=token_hash(token), user__is_active=True).first()
    return None if member is None or member.has_lapsed() else member


@transaction.atomic
def wish_digest(*, actor: Membership, wanted: bool) -> None:
    """Ask for the digest, or do without. Raises RuleBroken for a role that gets none."""
    require_role(actor, *EVERYONE)
    if actor.role not in DIGEST_ROLES:
        raise RuleBroken("The digest goes to owners and inspectors.", code="digest-not-for-role")
    if wanted:
        DigestWish.objects.get_or_create(membership=actor)
    else:
        DigestWish.objects.filter(membership=actor).delete()


@transaction.atomic
def stop_mail(*, actor: Membership, kind: str, stopped: bool) -> None:
    """Do without a kind of mail that goes out unless it is stopped, or have it again."""
    require_role(actor, *EVERYONE)
    if stopped:
        MailStop.objects.get_or_create(membership=actor, kind=kind)
    else:
        MailStop.objects.filter(membership=actor, kind=kind).delete()
