"""What the sign-in library wants to mail, in our words and through the outbox."""

from typing import Any
from uuid import uuid4

from django.http import HttpRequest
from django.utils import timezone

from crewlog.dates import day_words, on_clock
from crewlog.mail.outbox import queue_mail
from crewlog.mail.words import link
from crewlog.models import Membership, User
from crewlog.people.invitation import link_days
from crewlog.signin.address import client_address
from crewlog.signin.browsers import browser_words

# What the library calls a mail: our kind, and for a notice its subject and what it says.
LINKS = {
    "account/email/password_reset_key": "password_reset",
    "account/email/email_confirmation": "address_confirm",
    "account/email/email_confirmation_signup": "address_confirm",
}
NOTICES = {
    "account/email/password_changed": ("password_changed", "", ""),
    "account/email/password_reset": ("password_changed", "", ""),
    "account/email/password_set": ("password_changed", "", ""),
    "account/email/email_changed": ("address_changed", "", "From now on you sign in with another address."),
    "account/email/email_deleted": ("address_changed", "", "An address you could sign in with was taken off."),
    "account/email/email_confirm": ("address_changed", "", "An address to sign in with was confirmed."),
    "mfa/email/totp_activated": (
        "second_step_changed",
        "An authenticator app was set up",
        "From now on signing in takes a code from the app besides the password.",
    ),
    "mfa/email/totp_deactivated": (
        "second_step_changed",
        "The authenticator app was switched off",
        "From now on signing in takes no code from the app.",
    ),
    "mfa/email/recovery_codes_generated": (
        "second_step_changed",
        "New recovery codes were made",
        "The codes you had before no longer work.",
    ),
    "mfa/email/webauthn_added": (
        "second_step_changed",
        "A passkey was added",
        "From now on you can sign in with it.",
    ),
    "mfa/email/webauthn_removed": (
        "second_step_changed",
        "A passkey was removed",
        "From now on it no longer signs you in.",
    ),
}


def queue(prefix: str, email: str, facts: dict[str, Any], request: HttpRequest | None) -> None:
    """Queue one of the library's mails. KeyError for a kind that has no words here."""
    user = facts.get("user")
    if prefix in LINKS:
        address = facts.get("password_reset_url") or facts.get("activate_url") or ""
        said = {"email": email, "days": link_days(), "link": address}
        queue_mail(kind=LINKS[prefix], to=email, facts=said, key=address, user=user)
        return
    kind, subject, what = NOTICES[prefix]
    said = {"email": user.email if user else email, "subject": subject, "what": what, **circumstances(user, request)}
    queue_mail(kind=kind, to=email, facts=said, key=uuid4(), user=user)


def circumstances(user: User | None, request: HttpRequest | None) -> dict[str, str]:
    """When, from where and with what it was done, and what to do if it was somebody else."""
    return {
        "when": moment(user),
        "address": client_address(request) if request is not None else "an unknown address",
        "browser": browser_words(request.headers.get("User-Agent", "") if request is not None else ""),
        "reset": link("account_reset_password"),
        "password": link("account_change_password"),
    }


def moment(user: User | None) -> str:
    """Now, in the time of the user's company."""
    member = Membership.objects.select_related("company").filter(user=user).first() if user is not None else None
    zone = member.company.time_zone if member is not None else "UTC"
    now = on_clock(timezone.now(), zone)
    return f"{day_words(now.date())}, {now:%H:%M} ({zone})"
