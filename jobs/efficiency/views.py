"""Measured efficiency of a tackle: its page, entering pairs of readings, and taking the figure into a plan."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.errors import RuleBroken
from crewlog.once import once
from crewlog.stale import Opened, StaleEdit
from crewlog.unsent.addresses import posts_only
from crewlog.web.access import EVERYONE, PLANNERS, get_for_company_or_404, role_required
from crewlog.web.form_fields import add_service_error
from crewlog.web.http import CrewRequest, whole_id
from gear.models import GearItem
from jobs.efficiency.forms import EfficiencyForm
from jobs.efficiency.pages import efficiency_page
from jobs.efficiency.services import MEASURERS, can_be_measured, record_efficiency_pairs, take_measured_efficiency
from jobs.models import EfficiencyMeasurement
from jobs.models.values import Shown
from jobs.plans.views import plan_key, plan_moved_on
from jobs.web.view_parts import post_or_none, status_of, stem_or_404

SHOWN = 60


def tackle_or_404(request: CrewRequest, tag: str) -> GearItem:
    row: GearItem = get_for_company_or_404(GearItem.objects.select_related("company"), request, tag__iexact=tag)
    return row


@require_GET
@role_required(*EVERYONE)
def efficiency(request: CrewRequest, tag: str) -> HttpResponse:
    item = tackle_or_404(request, tag)
    rows = (
        EfficiencyMeasurement.objects.filter(item=item)
        .select_related("record__entered_by__details", "load_cell")
        .prefetch_related("record__corrections")[:SHOWN]
    )
    context = {
        "item": item,
        "page": efficiency_page(item, list(rows)),
        "may_measure": request.member.role in MEASURERS and can_be_measured(item) and item.retired_on is None,
    }
    return render(request, "jobs/efficiency.html", context)


@require_http_methods(["GET", "POST"])
@role_required(*MEASURERS)
@once
def efficiency_new(request: CrewRequest, tag: str) -> HttpResponse:
    item = tackle_or_404(request, tag)
    wrong = corrected(request, item)
    form = EfficiencyForm(
        post_or_none(request), item=item, is_correction=wrong is not None, initial=start_of(item, wrong)
    )
    if request.method == "POST" and form.is_valid():
        try:
            record_efficiency_pairs(
                actor=request.member, item=item, corrects=wrong, pairs=form.read_pairs(), **form.cleaned_data
            )
        except (RuleBroken, ValidationError) as error:
            add_service_error(form, error)
        else:
            messages.success(request, f"Recorded on {item.tag}.")
            return redirect("efficiency", item.tag)
    context = {"item": item, "form": form, "wrong": wrong}
    return render(request, "jobs/efficiency_form.html", context, status=status_of(form))


def corrected(request: CrewRequest, item: GearItem) -> EfficiencyMeasurement | None:
    """The measurement that is being put right, where the address names one."""
    number = request.GET.get("corrects", "")
    if not number:
        return None
    rows = EfficiencyMeasurement.objects.filter(item=item).select_related("record")
    found: EfficiencyMeasurement = get_object_or_404(rows, pk=whole_id(number))
    return found


def start_of(item: GearItem, wrong: EfficiencyMeasurement | None) -> Shown:
    """A new calibration starts with today; a correction with what was entered."""
    if wrong is None:
        return {"measured_on": item.company.today()}
    return {
        "measured_on": wrong.measured_on,
        "parts": wrong.parts,
        "rove": wrong.rove,
        "load_cell": wrong.load_cell_id,
        "load_cell_words": wrong.load_cell_words,
        "conditions": wrong.conditions,
        "pairs": [{"hand_n": hand, "load_n": load, "state": state} for hand, load, state in wrong.pairs],
    }


@posts_only("plan", does="Take the measured efficiency")
@role_required(*PLANNERS)
def plan_efficiency(request: CrewRequest, stem_id: int) -> HttpResponse:
    """Take a measured efficiency into the working copy of a plan."""
    stem = stem_or_404(request, stem_id)
    number = request.POST.get("measurement", "")
    rows = EfficiencyMeasurement.objects.for_company(request.member.company).select_related("record", "item")
    measurement = rows.filter(pk=whole_id(number)).first()
    if measurement is None:
        messages.error(request, "That measurement is not there. Nothing was changed.")
        return redirect("plan", stem.pk)
    opened = Opened.sent(plan_key(stem), request.POST)
    try:
        take_measured_efficiency(actor=request.member, stem=stem, measurement=measurement, opened=opened)
    except StaleEdit as error:
        return plan_moved_on(request, stem, error)
    except RuleBroken as error:
        messages.error(request, f"{error.message} Nothing was changed.")
    else:
        messages.success(request, f"The plan takes what was measured on {measurement.item.tag}, at its low end.")
    return redirect("plan", stem.pk)
