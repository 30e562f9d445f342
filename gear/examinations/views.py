"""Examining an item and correcting an inspection."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.once import once
from crewlog.web.access import role_required
from crewlog.web.http import CrewRequest, whole_id
from gear.catalogue.events import INSPECTION_KINDS
from gear.examinations.examination import latest_due
from gear.examinations.forms import KINDS, InspectionForm
from gear.examinations.measuring import measure_says
from gear.examinations.services import competences_for, correct_inspection, record_inspection
from gear.models import GearItem, Inspection
from gear.register.item_page import on_record
from gear.register.pages import register_row
from gear.web.file_boxes import hold_files
from gear.web.view_parts import EXAMINERS, REPORTERS, item_or_404, run_service


def kind_asked(request: CrewRequest, item: GearItem) -> str:
    """The kind of inspection the page is for: what was asked, else what the item needs."""
    asked = request.GET.get("kind", "")
    if request.member.role not in EXAMINERS:
        return "pre_use"
    if asked in KINDS and (asked != "declaration" or item.is_unused):
        return asked
    return "thorough"


@require_http_methods(["GET", "POST"])
@role_required(*REPORTERS)
def item_inspect(request: CrewRequest, tag: str) -> HttpResponse:
    item = item_or_404(request, tag)
    wrong = inspection_to_correct(request, item)
    kind = wrong.kind if wrong else kind_asked(request, item)
    form = inspection_form(request, item, kind, wrong)
    form.is_valid()  # reads the photographs, before the transaction begins
    return inspected(request, item, form, wrong)


@once
def inspected(request: CrewRequest, item: GearItem, form: InspectionForm, wrong: Inspection | None) -> HttpResponse:
    """Record a form that was read, or show it."""
    kind = form.kind
    if run_service(form, lambda: sign(request, item, form, wrong)) is not None:
        messages.success(request, f"{KINDS[kind]} of {item.tag} is recorded.")
        return redirect(item)
    hold_files(form, request.member)
    context = inspection_page(request, item, kind) | {"form": form, "wrong": wrong}
    return render(request, "gear/inspect.html", context, status=422 if form.errors else 200)


def inspection_to_correct(request: CrewRequest, item: GearItem) -> Inspection | None:
    """The inspection the address names as wrong; another item's does not exist."""
    asked = request.GET.get("corrects", "")
    if not asked:
        return None
    if request.member.role not in EXAMINERS:
        raise PermissionDenied
    wrong: Inspection = get_object_or_404(Inspection.objects.select_related("record"), item=item, pk=whole_id(asked))
    return wrong


def inspection_form(request: CrewRequest, item: GearItem, kind: str, wrong: Inspection | None) -> InspectionForm:
    company = request.member.company
    today = company.today()
    latest = None if kind == "pre_use" else latest_due(item, kind, today, declaration_dated_on=today)
    initial = {"examined_on": wrong.examined_on if wrong else today}
    return InspectionForm(
        request.POST or None,
        request.FILES or None,
        company=company,
        item=item,
        kind=kind,
        latest=latest,
        is_correction=wrong is not None,
        member=request.member,
        corrects=wrong.record if wrong is not None else None,
        initial=initial,
    )


def sign(request: CrewRequest, item: GearItem, form: InspectionForm, wrong: Inspection | None) -> Inspection:
    signed: dict[str, Any] = {
        "actor": request.member,
        "examination": form.examination(),
        "verdict": form.signed(),
        "inspector": form.cleaned_data.get("inspector"),
        "from_paper": form.cleaned_data["from_paper"],
    }
    if wrong is None:
        return record_inspection(item=item, **signed)
    return correct_inspection(inspection=wrong, because=form.cleaned_data["because"], **signed)


def inspection_page(request: CrewRequest, item: GearItem, kind: str) -> dict[str, Any]:
    """What stands beside the form: the item so far, and what the signature rests on."""
    company = request.member.company
    today = company.today()
    row = register_row(item, today)
    competence = competences_for(request.member.person, gear_class=item.gear_class, on=today).first()
    may_choose = request.member.role in EXAMINERS
    kinds = [(code, words) for code, words in INSPECTION_KINDS if code != "declaration" or item.is_unused]
    return {
        "item": item,
        "row": row,
        "kind": kind,
        "kind_words": KINDS[kind],
        "kinds": kinds if may_choose else (),
        "competence": competence,
        "needs_competence": kind not in ("pre_use", "declaration"),
        "facts": on_record(item, company.unit_system)[:4],
    }


@require_GET
@role_required(*REPORTERS)
def item_measure(request: CrewRequest, tag: str, name: str) -> HttpResponse:
    """Whether a measure passes, said as it is typed. The signed form says so again."""
    item = item_or_404(request, tag)
    measure = next((m for m in item.declared.measures if m.name == name), None)
    if measure is None:
        raise Http404
    typed = request.GET.get(f"measure_{name}", "")
    says = measure_says(item, measure, typed, request.member.company.unit_system)
    return render(request, "gear/_measure_part.html", says)
