"""What happens to an item: events, taking it out of use, and its end."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from crewlog.models import Role
from crewlog.once import once
from crewlog.web.access import role_required
from crewlog.web.http import CrewRequest
from gear.events.forms import EventForm, MistakeForm, OutOfUseForm, RetireForm
from gear.events.retire import retire_item
from gear.events.services import record_event, take_out_of_use
from gear.models import GearItem
from gear.register.mistakes import end_mistake
from gear.web.file_boxes import hold_files
from gear.web.view_parts import OUT_TAKERS, REPORTERS, item_or_404, run_service


@require_http_methods(["GET", "POST"])
@role_required(*REPORTERS)
def item_event(request: CrewRequest, tag: str) -> HttpResponse:
    item = item_or_404(request, tag)
    company = request.member.company
    initial = {"happened_on": company.today(), "loaded": "unknown"}
    form = EventForm(
        request.POST or None,
        request.FILES or None,
        unit_system=company.unit_system,
        initial=initial,
        member=request.member,
    )
    form.is_valid()  # reads the photographs, before the transaction begins
    return happened(request, item, form)


@once
def happened(request: CrewRequest, item: GearItem, form: EventForm) -> HttpResponse:
    """Record a form that was read, or show it."""
    if run_service(form, lambda: record_event(actor=request.member, item=item, **form.facts())) is not None:
        messages.success(request, f"Recorded on {item.tag}.")
        return redirect(item)
    hold_files(form, request.member)
    return render(request, "gear/event.html", {"form": form, "item": item}, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@role_required(*OUT_TAKERS)
@once
def item_out(request: CrewRequest, tag: str) -> HttpResponse:
    item = item_or_404(request, tag)
    form = OutOfUseForm(request.POST or None)
    if run_service(form, lambda: take_out_of_use(actor=request.member, item=item, **form.cleaned_data)) is not None:
        messages.success(request, f"{item.tag} is out of use. Sheets that list it are withdrawn.")
        return redirect(item)
    return render(request, "gear/out_of_use.html", {"form": form, "item": item}, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def item_retire(request: CrewRequest, tag: str) -> HttpResponse:
    item = item_or_404(request, tag)
    form = RetireForm(request.POST or None, initial={"retired_on": request.member.company.today()})

    def retire() -> object:
        said = form.cleaned_data
        return retire_item(
            actor=request.member,
            item=item,
            because=said["because"],
            disposal=said["disposal"],
            on=said["retired_on"],
        )

    if run_service(form, retire) is not None:
        messages.success(request, f"{item.tag} is retired.")
        return redirect(item)
    return render(request, "gear/retire.html", {"form": form, "item": item}, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def item_mistake(request: CrewRequest, tag: str) -> HttpResponse:
    """End an entry that was made by mistake."""
    item = item_or_404(request, tag)
    form = MistakeForm(request.POST or None)
    if run_service(form, lambda: end_mistake(actor=request.member, item=item, **form.cleaned_data)) is not None:
        messages.success(request, f"{item.tag} is closed as entered by mistake. Its tag cannot be reused.")
        return redirect(item)
    return render(request, "gear/mistake.html", {"form": form, "item": item}, status=422 if form.errors else 200)
