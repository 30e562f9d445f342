"""Alterations of ropes, and the inspection schemes a company keeps."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from crewlog.access import EVERYONE, role_required
from crewlog.http import CrewRequest
from crewlog.models import Role
from gear.forms.alter import AlterForm, IntervalForm
from gear.models import GearItem, InspectionScheme, SchemeRule
from gear.services.alter import divide_item, make_new_end, shorten_item
from gear.services.schemes import change_interval, ensure_default_schemes, switch_scheme
from gear.views.common import done, item_or_404


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
def item_alter(request: CrewRequest, tag: str) -> HttpResponse:
    item = item_or_404(request, tag)
    company = request.member.company
    form = AlterForm(request.POST or None, company=company, initial={"altered_on": company.today()})
    if done(form, lambda: alter(request, item, form)) is not None:
        messages.success(request, f"Recorded on {item.tag}. It needs an examination before the next use.")
        return redirect(item)
    return render(request, "gear/alter.html", {"form": form, "item": item}, status=422 if form.errors else 200)


def alter(request: CrewRequest, item: GearItem, form: AlterForm) -> object:
    said = form.cleaned_data
    facts: dict[str, Any] = {
        "actor": request.member,
        "item": item,
        "on": said["altered_on"],
        "description": said["description"],
    }
    if said["kind"] == "shortened":
        return shorten_item(length_after_m=said["length_after_m"], **facts)
    if said["kind"] == "re_terminated":
        return make_new_end(terminations=said["terminations"], spliced_by=said["spliced_by"], **facts)
    return divide_item(pieces=form.pieces(), **facts)


@require_http_methods(["GET", "POST"])
@role_required(*EVERYONE)
def schemes(request: CrewRequest) -> HttpResponse:
    """The intervals in force with their basis; the owner switches schemes and shortens intervals."""
    company = request.member.company
    ensure_default_schemes(company)
    form = IntervalForm(request.POST or None)
    if request.method == "POST":
        if request.member.role != Role.OWNER:
            raise PermissionDenied
        if change_scheme(request, form):
            return redirect("schemes")
    rows = InspectionScheme.objects.for_company(company).prefetch_related("rules")
    context = {"schemes": rows, "form": form, "may_set": request.member.role == Role.OWNER}
    return render(request, "gear/schemes.html", context, status=422 if form.errors else 200)


def change_scheme(request: CrewRequest, form: IntervalForm) -> bool:
    """Do what the pressed button asks; False when it was refused."""
    company = request.member.company
    if "switch" in request.POST:
        scheme = get_object_or_404(InspectionScheme, company=company, pk=number(request.POST["switch"]))
        switch_scheme(actor=request.member, scheme=scheme, is_active=not scheme.is_active)
        messages.success(request, f"{scheme.name} is {'on' if scheme.is_active else 'off'}. Every due date follows.")
        return True
    rule = get_object_or_404(SchemeRule, scheme__company=company, pk=number(request.POST.get("rule", "")))
    changed = done(form, lambda: change_interval(actor=request.member, rule=rule, months=form.cleaned_data["months"]))
    if changed is not None:
        messages.success(request, f"{rule.get_use_display()}: every {rule.months} months. Every due date follows.")
    return changed is not None


def number(text: str) -> int:
    return int(text) if text.isdigit() else 0
