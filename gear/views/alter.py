"""Alterations of ropes."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from crewlog.access import role_required
from crewlog.http import CrewRequest
from crewlog.models import Role
from crewlog.once import once
from gear.forms.alter import AlterForm
from gear.models import GearItem
from gear.services.alter import divide_item, make_new_end, shorten_item
from gear.views.common import done, item_or_404


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
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
