"""Making and revoking a member's calendar address; asking for the digest."""

import hashlib
import secrets

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append
from crewlog.models import CalendarFeed, DigestWish, MailStop, Membership, Role

DIGEST_ROLES = (Role.OWNER, Role.INSPECTOR)


def token_hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic
def make_calendar(*, member: Membership) -> str:
    """Give a member a new address; the one before stops at once. Returns its secret part, which is kept nowhere."""
    token = secrets.token_urlsafe(32)
    CalendarFeed.objects.filter(membership=member).delete()
    CalendarFeed.objects.create(membership=member, token_sha256=token_hash(token))
    append(member.company, "crewlog.calendar-made", Entry(actor=member.person), body={})
    return token


@transaction.atomic
def revoke_calendar(*, member: Membership) -> None:
    """Stop a member's address; doing it twice is harmless."""
    count, _ = CalendarFeed.objects.filter(membership=member).delete()
    if count:
        append(member.company, "crewlog.calendar-revoked", Entry(actor=member.person), body={})


def member_of_calendar(token: str) -> Membership | None:
    """Whose calendar an address is; None when it was revoked, or when they may not sign in any more. One query."""
    rows = Membership.objects.select_related("company", "person", "user")
    member = rows.filter(calendar__token_sha256=token_hash(token), user__is_active=True).first()
    return None if member is None or member.has_lapsed() else member


@transaction.atomic
def wish_digest(*, member: Membership, wanted: bool) -> None:
    """Ask for the digest, or do without. Raises RuleBroken for a role that gets none."""
    if member.role not in DIGEST_ROLES:
        raise RuleBroken("The digest goes to owners and inspectors.", code="digest-not-for-role")
    if wanted:
        DigestWish.objects.get_or_create(membership=member)
    else:
        DigestWish.objects.filter(membership=member).delete()


@transaction.atomic
def stop_mail(*, member: Membership, kind: str, stopped: bool) -> None:
    """Do without a kind of mail that goes out unless it is stopped, or have it again."""
    if stopped:
        MailStop.objects.get_or_create(membership=member, kind=kind)
    else:
        MailStop.objects.filter(membership=member, kind=kind).delete()
