"""One's own signed-in devices, and what a company asks of everybody who signs in."""

from django.contrib import messages
from django.contrib.auth import logout
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.company.services import change_company
from crewlog.errors import RuleBroken
from crewlog.models import Company, Role
from crewlog.signin.forms import SignInRulesForm
from crewlog.signin.sessions import devices_of, end_device, end_others
from crewlog.unsent.addresses import posts_only
from crewlog.web.access import role_required
from crewlog.web.form_fields import refused_status, run_service
from crewlog.web.http import CrewRequest, SignedInRequest


@require_GET
def devices(request: SignedInRequest) -> HttpResponse:
    return render(request, "account/devices.html", {"devices": devices_of(request, request.user)})


@posts_only(lambda request, **kwargs: reverse("devices"), does="Sign out")
def device_end(request: SignedInRequest, device_id: int) -> HttpResponse:
    try:
        end_device(user=request.user, device_id=device_id)
    except RuleBroken as fault:
        messages.error(request, fault.message)
    else:
        messages.success(request, "That device is signed out.")
    return redirect("devices")


@posts_only("devices", does="Sign out the others")
def devices_end(request: SignedInRequest) -> HttpResponse:
    """Sign out every other device, or this one too."""
    end_others(request=request, user=request.user)
    if request.POST.get("do") == "all":
        logout(request)
        messages.success(request, "Every device is signed out.")
        return redirect("account_login")
    messages.success(request, "Every other device is signed out.")
    return redirect("devices")


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
def sign_in_rules(request: CrewRequest) -> HttpResponse:
    form = SignInRulesForm(request.POST or None, instance=Company.objects.get(pk=request.member.company_id))
    kept = run_service(form, lambda: change_company(actor=request.member, opened=form.opened, **form.cleaned_data))
    if kept is not None:
        messages.success(request, "Saved. It applies from now on, also to people who are signed in.")
        return redirect("sign_in_rules")
    return render(request, "crewlog/sign_in_rules.html", {"form": form}, status=refused_status(form))
