"""How the sign-in library behaves here: no sign-up, true addresses, our limits, our words, mail by the outbox."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core import context
from allauth.mfa.adapter import DefaultMFAAdapter
from allauth.mfa.models import Authenticator
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse

from crewlog.mail.words import link
from crewlog.models import User
from crewlog.signin import mails
from crewlog.signin.address import client_address
from crewlog.signin.known_device import device_for
from crewlog.signin.limits import RESETS, Bucket, Refused, buckets, give_back, use_try
from crewlog.signin.second_step import STEPS, must_have_second_step
from crewlog.signin.sessions import share


def too_many(refused: Refused) -> ValidationError:
    """What a try beyond the limit is answered, by whoever made it."""
    minutes = "1 minute" if refused.minutes == 1 else f"{refused.minutes} minutes"
    return ValidationError(
        f"Too many wrong attempts. Try again in {minutes}, or set a new password by a link to your mail.",
        code="too_many_login_attempts",
    )


class ClosedAccountAdapter(DefaultAccountAdapter):
    """The owner adds people; the sign-up page is closed."""

    error_messages = {
        **DefaultAccountAdapter.error_messages,
        "email_password_mismatch": "E-mail or password is wrong.",
        "account_inactive": "This sign-in is switched off. The owner of the company can switch it on.",
        "incorrect_password": "This is not your password.",
        "incorrect_code": "This code is wrong or was already used.",
        "enter_current_password": "This is not your password.",
        "invalid_password_reset": "This link no longer works.",
        "rate_limited": "Too many requests. Wait a minute.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False

    def populate_username(self, request: HttpRequest, user: Any) -> None:
        """A sign-in has no user name."""

    def get_client_ip(self, request: HttpRequest) -> str:
        return client_address(request)

    def post_login(self, request: HttpRequest, user: Any, **facts: Any) -> HttpResponse:
        """A passkey signs in past the form of the password: its own form says that the device is shared."""
        if request.POST.get("shared"):
            share(request)
        response: HttpResponse = super().post_login(request, user, **facts)
        return response

    def pre_authenticate(self, request: HttpRequest, **credentials: Any) -> None:
        """Count the try before the password is looked at. Raises ValidationError when none is left."""
        email = str(credentials.get("email", "")).strip().lower()
        self.tries = buckets(request, account=email, device=device_for(request, email), what="password")
        refused = use_try(self.tries)
        if refused is not None:
            raise too_many(refused)

    def _rollback_login_failed_rl_usage(self) -> None:
        """A right password takes its try back."""
        give_back(self.tries)

    def _delete_login_attempts_cached_email(self, request: HttpRequest, **credentials: Any) -> None:
        """Nothing to wipe: whoever set a password by the link signs in from a known device."""

    def get_reset_password_from_key_url(self, key: str) -> str:
        uidb36, _, token = key.partition("-")
        return link("account_reset_password_from_key", uidb36=uidb36, key=token)

    def get_email_confirmation_url(self, request: HttpRequest, emailconfirmation: Any) -> str:
        return link("account_confirm_email", emailconfirmation.key)

    def send_password_reset_mail(self, user: Any, email: str, context: dict[str, Any]) -> None:
        """At most three an hour to an address: more would only bury the one that counts. The page says the same."""
        if use_try([Bucket.of(RESETS, email.lower())]) is None:
            super().send_password_reset_mail(user, email, context)

    def send_notification_mail(
        self, template_prefix: str, user: Any, context: dict[str, Any] | None = None, email: str | None = None
    ) -> None:
        mails.queue(template_prefix, email or user.email, {**(context or {}), "user": user}, self.request)

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        mails.queue(template_prefix, email, context, self.request)

    def get_reauthentication_methods(self, user: Any) -> list[dict[str, Any]]:
        words = {
            "reauthenticate": "With the password",
            "mfa_reauthenticate": "With a code",
            "mfa_reauthenticate:webauthn": "With a passkey",
        }
        found = super().get_reauthentication_methods(user)
        return [{**method, "description": words.get(method["id"], method["description"])} for method in found]


class SecondStepAdapter(DefaultMFAAdapter):
    """Words of the second step, and who may not do without one."""

    error_messages = {
        **DefaultMFAAdapter.error_messages,
        "incorrect_code": "This code is wrong or was already used.",
        "cannot_delete_authenticator": "Your company requires a second step for your role. Add another first.",
        "unverified_email": "First confirm the addresses you sign in with, or remove them.",
    }

    def can_delete_authenticator(self, authenticator: Authenticator) -> bool:
        member = getattr(context.request, "member", None)
        if member is None or not must_have_second_step(member):
            return True
        others = Authenticator.objects.filter(user=authenticator.user_id, type__in=STEPS).exclude(pk=authenticator.pk)
        return bool(others.exists())

    def generate_authenticator_name(self, user: User, type: Any) -> str:
        count = Authenticator.objects.filter(user=user.pk, type=type).count()
        return f"Passkey {count + 1}"
