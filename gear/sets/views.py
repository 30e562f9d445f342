"""The parts of a tackle set: which were in it on a day, and changing them."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.once import once
from crewlog.web.access import EVERYONE, role_required
from crewlog.web.http import CrewRequest
from gear.fitness.entries import ALTERERS
from gear.fitness.set_parts import change_rows, part_rows
from gear.models import GearItem, PartChange
from gear.sets.forms import PUT_IN, SWAP, CorrectionForm, OnDayForm, PartChangeForm
from gear.sets.services import correct_change, put_in, swap_part, take_out
from gear.web.view_parts import run_service, set_or_404

CHANGES_PER_PAGE = 25


@require_GET
@role_required(*EVERYONE)
def set_parts(request: CrewRequest, tag: str) -> HttpResponse:
    """Which parts were in a set on a day, and everything that was changed in it."""
    item = set_or_404(request, tag)
    today = request.member.company.today()
    form = OnDayForm(request.GET if "on" in request.GET else {"on": today.isoformat()})
    asked = form.cleaned_data["on"] if form.is_valid() else today
    rows = item.part_changes.select_related("part", "record__corrects", "record__entered_by__details")
    page = Paginator(rows.prefetch_related("record__corrections"), CHANGES_PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "item": item,
        "form": form,
        "asked": asked,
        "is_today": asked == today,
        "parts": part_rows(item, asked),
        "page": page,
        "changes": change_rows(page.object_list),
        "may_alter": request.member.role in ALTERERS,
    }
    return render(request, "gear/set_parts.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@role_required(*ALTERERS)
@once
def set_change(request: CrewRequest, tag: str) -> HttpResponse:
    item = set_or_404(request, tag)
    held = list(item.parts.order_by("tag"))
    form = PartChangeForm(
        request.POST or None, assembly=item, held=held, initial={"on": request.member.company.today()}
    )
    if run_service(form, lambda: change_parts(request, item, form)) is not None:
        messages.success(request, f"Recorded. {item.tag} needs an examination before the next use.")
        return redirect("set_parts", item.tag)
    return render(request, "gear/set_change.html", {"form": form, "item": item}, status=422 if form.errors else 200)


def change_parts(request: CrewRequest, item: GearItem, form: PartChangeForm) -> object:
    """Do what the form says with the service of its kind."""
    said = form.cleaned_data
    actor, on, because = request.member, said["on"], said["because"]
    if said["kind"] == SWAP:
        return swap_part(actor=actor, assembly=item, out=form.part_out, in_=said["part"], on=on, because=because)
    if said["kind"] == PUT_IN:
        return put_in(actor=actor, assembly=item, part=said["part"], on=on, because=because)
    return take_out(actor=actor, assembly=item, part=form.part_out, on=on, because=because)


@require_http_methods(["GET", "POST"])
@role_required(*ALTERERS)
@once
def set_correct(request: CrewRequest, tag: str, change_id: int) -> HttpResponse:
    """Correct the day or the part of a recorded change by a later record."""
    item = set_or_404(request, tag)
    change = get_object_or_404(PartChange.objects.select_related("part", "record"), assembly=item, pk=change_id)
    initial = {"part": change.part.tag, "on": change.day}
    form = CorrectionForm(request.POST or None, company=item.company, initial=initial)
    if run_service(form, lambda: correct_change(actor=request.member, change=change, **form.cleaned_data)) is not None:
        messages.success(request, "Corrected. The earlier record stays and no longer counts.")
        return redirect("set_parts", item.tag)
    context = {"form": form, "item": item, "change": change}
    return render(request, "gear/set_correct.html", context, status=422 if form.errors else 200)
