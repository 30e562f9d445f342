"""The library's forms with what is ours: a shared device, and limits on codes."""

from typing import Any

from allauth.account.forms import LoginForm, ResetPasswordForm
from allauth.core import context
from allauth.mfa.base.forms import AuthenticateForm, ReauthenticateForm
from allauth.mfa.webauthn.forms import AddWebAuthnForm, EditWebAuthnForm
from django import forms
from django.http import HttpRequest, HttpResponse

from crewlog.company.forms import CompanyRowForm
from crewlog.mail.outbox import pretend_to_queue
from crewlog.models import Company
from crewlog.signin.adapter import too_many
from crewlog.signin.known_device import device_for
from crewlog.signin.limits import RESETS, Bucket, buckets, give_back, use_try
from crewlog.signin.sessions import share
from crewlog.web.answers import WholeField


class SignInForm(LoginForm):
    shared = forms.BooleanField(
        label="This is a shared device",
        required=False,
        help_text="Signs you out when the browser is closed, or after some minutes without use",
    )

    def login(self, request: HttpRequest, redirect_url: str | None = None) -> HttpResponse:
        response: HttpResponse = super().login(request, redirect_url)
        if self.cleaned_data["shared"]:
            share(request)
        return response


class SignInRulesForm(CompanyRowForm):
    """What a company asks of everybody who signs in."""

    about = "sign-in-rules"

    class Meta:
        model = Company
        fields = ("second_step_owners", "second_step_inspectors", "shared_idle_min")
        help_texts = {
            "second_step_owners": "A passkey or an authenticator app; without one only the page to set it up opens",
            "second_step_inspectors": "As for owners",
            "shared_idle_min": "Where “This is a shared device” was ticked; 5 to 240",
        }
        error_messages = {
            "shared_idle_min": {"invalid": "Write a whole number of minutes.", "required": "Write the minutes."}
        }
        field_classes = {"shared_idle_min": WholeField}
        widgets = {"shared_idle_min": forms.TextInput(attrs={"inputmode": "numeric"})}


class ForgottenPasswordForm(ResetPasswordForm):
    def save(self, request: HttpRequest, **kwargs: Any) -> str:
        """An unknown address costs what a known one costs, so that the time does not tell them apart."""
        email = self.cleaned_data["email"]
        if not self.users and use_try([Bucket.of(RESETS, email.lower())]) is None:
            pretend_to_queue("password_reset", email)
        return str(super().save(request, **kwargs))


class LimitedCode:
    """Counts each code tried, as passwords are counted."""

    user: Any

    def clean_code(self) -> str:
        request = context.request
        email = self.user.email
        tries = buckets(request, account=email, device=device_for(request, email), what="code")
        refused = use_try(tries)
        if refused is not None:
            raise too_many(refused)
        code: str = super().clean_code()  # type: ignore[misc]
        give_back(tries)
        return code


class CodeForm(LimitedCode, AuthenticateForm):
    pass


class CodeAgainForm(LimitedCode, ReauthenticateForm):
    pass


class PasskeyForm(AddWebAuthnForm):
    name = forms.CharField(
        label="Name", required=False, max_length=60, help_text="To tell it from others, such as the device it is on"
    )
    passwordless = forms.BooleanField(
        label="Signs you in without the password",
        required=False,
        initial=True,
        help_text="Fingerprint, face or PIN is used instead",
    )


class PasskeyNameForm(EditWebAuthnForm):
    name = forms.CharField(label="Name", max_length=60)
