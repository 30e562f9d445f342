"""Letting somebody choose a password by a link that works once."""

from urllib.parse import urljoin

from allauth.account.forms import default_token_generator
from allauth.account.utils import user_pk_to_url_str
from django.conf import settings
from django.core.mail import send_mail
from django.urls import reverse

from crewlog.errors import RuleBroken
from crewlog.models import Membership, User
from crewlog.services.rights import must_be_ours, must_be_owner


def password_link(user: User) -> str:
    """Address where a user sets a password; it works once and lapses with PASSWORD_RESET_TIMEOUT."""
    key = {"uidb36": user_pk_to_url_str(user), "key": default_token_generator.make_token(user)}
    return urljoin(settings.SITE_ADDRESS, reverse("account_reset_password_from_key", kwargs=key))


def send_invitation(*, actor: Membership, member: Membership) -> None:
    """Send a member the link by e-mail. Raises RuleBroken for one whose access has ended."""
    must_be_owner(actor)
    must_be_ours(actor.company, member.person)
    if not member.user.is_active or member.has_lapsed():
        raise RuleBroken("Their access has ended.", code="access-ended")
    days = settings.PASSWORD_RESET_TIMEOUT // (24 * 60 * 60)
    words = (
        f"{actor.person} lets you sign in to the job log and gear records of {actor.company}.\n\n"
        f"Choose your password here; the link works once, within {days} days:\n{password_link(member.user)}\n\n"
        f"Afterwards you sign in with {member.user.email}.\n"
    )
    send_mail(f"{actor.company}: choose your password", words, None, [member.user.email])
