"""Letting somebody choose a password by a link that works once: by mail, or handed over by the owner."""

import datetime as dt

from allauth.account.forms import default_token_generator
from allauth.account.utils import user_pk_to_url_str
from django.conf import settings
from django.db import transaction

from crewlog.dates import on_clock
from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append
from crewlog.mail.outbox import is_set_up, queue_mail
from crewlog.mail.words import link
from crewlog.models import Membership, Person, QueuedMail, Role, User
from crewlog.people.rights import must_be_ours, require_role
from crewlog.people.services import give_sign_in


def password_link(user: User) -> str:
    """Address where a user sets a password; it works once and lapses with PASSWORD_RESET_TIMEOUT."""
    key = {"uidb36": user_pk_to_url_str(user), "key": default_token_generator.make_token(user)}
    return link("account_reset_password_from_key", **key)


def link_days() -> int:
    """For how many days a link works."""
    return settings.PASSWORD_RESET_TIMEOUT // (24 * 60 * 60)


def may_show_link(member: Membership) -> bool:
    """Whether the owner may be shown a member's link: not once that member has a password and gets mail.

    Whoever holds the link signs in as that member; where there is another way it stays the member's own.
    """
    return not is_set_up() or not member.user.has_usable_password()


@transaction.atomic
def send_invitation(*, actor: Membership, member: Membership) -> bool:
    """Queue the link for a member. False where mail is not set up. Raises RuleBroken for one whose access has ended."""
    must_be_invitable(actor, member)
    if not is_set_up():
        return False
    address = password_link(member.user)
    facts = {
        "company": actor.company,
        "inviter": actor.person,
        "email": member.user.email,
        "days": link_days(),
        "link": address,
    }
    queue_mail(kind="invitation", to=member.user.email, facts=facts, key=address, user=member.user)
    return True


@transaction.atomic
def give_and_invite(
    *, actor: Membership, person: Person, email: str, role: str, ends_on: dt.date | None = None
) -> Membership:
    """Let somebody sign in, and queue the link in the same transaction. Raises ValidationError by field."""
    member = give_sign_in(actor=actor, person=person, email=email, role=role, ends_on=ends_on)
    send_invitation(actor=actor, member=member)
    return member


@transaction.atomic
def show_link(*, actor: Membership, member: Membership) -> str:
    """The link itself, for the owner to hand over; that it was shown stays on record, the link does not."""
    must_be_invitable(actor, member)
    if not may_show_link(member):
        raise RuleBroken(
            "They have a password. A link to set a new one is sent to them by mail only.", code="link-goes-by-mail"
        )
    body = {"person": member.person_id}
    append(actor.company, "crewlog.password-link-shown", Entry(actor=actor.person), body=body, people=[member.person])
    return password_link(member.user)


def must_be_invitable(actor: Membership, member: Membership) -> None:
    require_role(actor, Role.OWNER)
    must_be_ours(actor, member.person.company_id, "person")
    if not member.user.is_active or member.has_lapsed():
        raise RuleBroken("Their access has ended.", code="access-ended")


def last_invitation(member: Membership) -> str:
    """What became of the last link that was mailed, in words; empty when none was."""
    row = QueuedMail.objects.filter(kind="invitation", user=member.user_id).order_by("-pk").first()
    if row is None:
        return ""
    if row.sent_at is not None:
        return f"The mail server took the link for {row.to}, {moment(member, row.sent_at)}."
    if row.next_try is None:
        return f"The link did not go out to {row.to}: {row.last_error}"
    if row.last_error:
        again = moment(member, row.next_try)
        return f"The link for {row.to} waits: {row.last_error}. It is tried again, {again}."
    return f"The link for {row.to} is on its way."


def moment(member: Membership, at: dt.datetime) -> str:
    """A moment in the company's time zone, as a page shows it."""
    local = on_clock(at, member.company.time_zone)
    return f"{local.day} {local:%B}, {local:%H:%M}"
