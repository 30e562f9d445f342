"""Alterations of ropes."""

import hashlib
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from crewlog.models import Role
from crewlog.once import once
from crewlog.web.access import role_required
from crewlog.web.http import CrewRequest
from gear.alterations.forms import AlterForm
from gear.alterations.services import divide_item, make_new_end, shorten_item
from gear.catalogue.naming import renamed
from gear.models import GearItem
from gear.web.view_parts import item_or_404, run_service


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def item_alter(request: CrewRequest, tag: str) -> HttpResponse:
    item = item_or_404(request, tag)
    company = request.member.company
    form = AlterForm(request.POST or None, company=company, initial={"altered_on": company.today()})
    names = new_names(item, form) if form.is_valid() else []
    unseen = bool(names) and request.POST.get("seen") != token_of(names)
    if unseen:
        fresh = item_or_404(request, tag)  # a row of its own: what is tried stays in it
        run_service(form, lambda: tried(request, fresh, form))
    elif run_service(form, lambda: alter(request, item, form)) is not None:
        messages.success(request, f"Recorded on {item.tag}. It needs an examination before the next use.")
        return redirect(item)
    context = {"form": form, "item": item, "names": names if not form.errors else [], "token": token_of(names)}
    return render(request, "gear/alter.html", context, status=422 if form.errors else 200)


@transaction.atomic
def tried(request: CrewRequest, item: GearItem, form: AlterForm) -> None:
    """Whether the rules refuse it, with nothing kept."""
    alter(request, item, form)
    transaction.set_rollback(True)


def new_names(item: GearItem, form: AlterForm) -> list[tuple[str, str]]:
    """(tag, name) of the rope and its pieces where its length stands in its name."""
    said, before = form.cleaned_data, item.length_m
    lengths: dict[str, float] = {}
    if said["kind"] == "shortened":
        lengths[item.tag] = said["length_after_m"]
    elif said["kind"] == "divided" and before is not None:
        pieces = form.pieces()
        lengths = {item.tag: before - sum(pieces.values()), **pieces}
    named = [(tag, renamed(item.description, before, length_m)) for tag, length_m in lengths.items() if length_m > 0]
    return [(tag, name) for tag, name in named if name != item.description]


def token_of(names: list[tuple[str, str]]) -> str:
    return hashlib.sha256(repr(names).encode()).hexdigest()[:16]


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
