"""Roles that a company asks for a second step get nothing else done until they have one."""

from collections.abc import Callable
from typing import Any

from allauth.mfa.models import Authenticator
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, resolve_url

from crewlog.models import Membership, Role

STEPS = (Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN)
SET_UP = "mfa_index"
# What setting one up takes, and leaving. Pages that need no sign-in stay open as well.
OPEN = {
    SET_UP,
    "mfa_activate_totp",
    "mfa_add_webauthn",
    "mfa_view_recovery_codes",
    "mfa_generate_recovery_codes",
    "mfa_download_recovery_codes",
    "mfa_reauthenticate",
    "mfa_reauthenticate_webauthn",
    "account_reauthenticate",
    "account_logout",
}
WORDS = "Your company requires a second step for your role when you sign in. Set one up to continue."


def must_have_second_step(member: Membership) -> bool:
    """Whether the member's company asks their role for one."""
    asked = {Role.OWNER: member.company.second_step_owners, Role.INSPECTOR: member.company.second_step_inspectors}
    return bool(asked.get(Role(member.role), False))


def lacks_second_step(member: Membership) -> bool:
    """Whether the member is asked for one and has none. One query, for roles that are asked alone."""
    if not must_have_second_step(member):
        return False
    return not Authenticator.objects.filter(user=member.user_id, type__in=STEPS).exists()


class SecondStepMiddleware:
    """Sends a member without the second step they are asked for to its page, whatever they wanted to open."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        member = getattr(request, "member", None)
        if member is None or not getattr(view, "login_required", True):
            return None
        name = request.resolver_match.url_name if request.resolver_match else ""
        if name in OPEN or not lacks_second_step(member):
            return None
        return sent_to_set_up(request)


def sent_to_set_up(request: HttpRequest) -> HttpResponse:
    """The page to set it up; a script that wants a part or data is told instead of being led to a page."""
    if request.headers.get("HX-Request") == "true":
        answer = HttpResponse(status=204)
        answer["HX-Redirect"] = resolve_url(SET_UP)
        return answer
    wants_data = "application/json" in request.headers.get("Accept", "") or request.content_type == "application/json"
    if wants_data:
        return JsonResponse({"error": "second-step-missing", "message": WORDS}, status=403)
    if request.method == "POST":
        messages.error(request, f"Nothing was saved. {WORDS}")
    return redirect(SET_UP)
