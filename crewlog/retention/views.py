"""Pages of how long records are kept: periods, and holds."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from crewlog.models import Hold, RetentionPeriod, Role
from crewlog.once import once
from crewlog.people.forms import BecauseForm, HoldForm, MonthsForm
from crewlog.retention.defaults import ensure_default_periods
from crewlog.retention.rules import hold_label, kind_words
from crewlog.retention.services import change_period, lift_hold, place_hold
from crewlog.web.access import role_required
from crewlog.web.form_fields import run_service
from crewlog.web.http import CrewRequest

HOLDS_PER_PAGE = 40


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def retention(request: CrewRequest) -> HttpResponse:
    """How long names in each kind of record are kept, with the basis; never below its least."""
    company = request.member.company
    ensure_default_periods(company)
    form = MonthsForm(request.POST or None)
    rows = RetentionPeriod.objects.for_company(company)

    def change() -> RetentionPeriod:
        period = get_object_or_404(rows, pk=form.cleaned_data["period"])
        return change_period(actor=request.member, period=period, months=form.cleaned_data["months"])

    changed = run_service(form, change)
    if changed is not None:
        messages.success(request, f"Names are kept {changed.months} months.")
        return redirect("retention")
    refused = (form.data.get("period"), form.data.get("months")) if form.errors else (None, None)
    periods = [
        (
            period,
            kind_words(period.kind).capitalize() or "Everything else",
            refused[1] if refused[0] == str(period.pk) else period.months,
        )
        for period in sorted(rows, key=lambda period: (not period.kind, period.kind))
    ]
    context = {"periods": periods, "form": form}
    return render(request, "crewlog/retention.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def holds(request: CrewRequest) -> HttpResponse:
    company = request.member.company
    form = HoldForm(request.POST or None, company=company)

    def place() -> Hold:
        data = form.cleaned_data
        return place_hold(actor=request.member, about=data["about"], subject=form.subject(), because=data["because"])

    if run_service(form, place) is not None:
        messages.success(request, "The legal hold applies. Nothing it covers is deleted.")
        return redirect("holds")
    found = Hold.objects.for_company(company).select_related("record", "placed_by__details", "lift__record")
    page = Paginator(found, HOLDS_PER_PAGE).get_page(request.GET.get("page"))
    rows = [(hold, hold_label(company, hold)) for hold in page.object_list]
    context = {"form": form, "page": page, "rows": rows, "company": company}
    return render(request, "crewlog/holds.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def hold_lift(request: CrewRequest, hold_id: int) -> HttpResponse:
    company = request.member.company
    hold = get_object_or_404(Hold.objects.for_company(company).select_related("record"), pk=hold_id)
    form = BecauseForm(request.POST or None)
    lifted = run_service(form, lambda: lift_hold(actor=request.member, hold=hold, because=form.cleaned_data["because"]))
    if lifted is not None:
        messages.success(request, "The legal hold is lifted.")
        return redirect("holds")
    context = {"form": form, "hold": hold, "label": hold_label(company, hold)}
    return render(request, "crewlog/hold_lift.html", context, status=422 if form.errors else 200)
