"""The page of one's own signed-in devices."""

from django.contrib import messages
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from crewlog.errors import RuleBroken
from crewlog.signin.sessions import devices_of, end_device, end_others


@require_GET
def devices(request: HttpRequest) -> HttpResponse:
    return render(request, "account/devices.html", {"devices": devices_of(request, request.user)})  # type: ignore[arg-type]


@require_POST
def device_end(request: HttpRequest, device_id: int) -> HttpResponse:
    try:
        end_device(user=request.user, device_id=device_id)  # type: ignore[arg-type]
    except RuleBroken as fault:
        messages.error(request, fault.message)
    else:
        messages.success(request, "That device is signed out.")
    return redirect("devices")


@require_POST
def devices_end(request: HttpRequest) -> HttpResponse:
    """Sign out every other device, or this one too."""
    end_others(request=request, user=request.user)  # type: ignore[arg-type]
    if request.POST.get("do") == "all":
        logout(request)
        messages.success(request, "Every device is signed out.")
        return redirect("account_login")
    messages.success(request, "Every other device is signed out.")
    return redirect("devices")
