"""What happens to an item: events, taking it out of use, recalls, and its end."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from crewlog.access import role_required
from crewlog.http import CrewRequest
from crewlog.models import Role
from crewlog.once import once
from gear.forms.files import hold_files
from gear.forms.small import EventForm, MistakeForm, OutOfUseForm, RecallForm, ResolveForm, RetireForm
from gear.models import GearItem
from gear.recall_preview import preview_recall
from gear.services.events import record_event, take_out_of_use
from gear.services.mistakes import end_mistake
from gear.services.recalls import open_recalls, record_recall, resolve_recall
from gear.services.retire import retire_item
from gear.views.common import EXAMINERS, OUT_TAKERS, REPORTERS, done, item_or_404


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
    if done(form, lambda: record_event(actor=request.member, item=item, **form.facts())) is not None:
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
    if done(form, lambda: take_out_of_use(actor=request.member, item=item, **form.cleaned_data)) is not None:
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

    if done(form, retire) is not None:
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
    if done(form, lambda: end_mistake(actor=request.member, item=item, **form.cleaned_data)) is not None:
        messages.success(request, f"{item.tag} is closed as entered by mistake. Its tag cannot be reused.")
        return redirect(item)
    return render(request, "gear/mistake.html", {"form": form, "item": item}, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@role_required(*EXAMINERS)
@once
def item_recall(request: CrewRequest, tag: str) -> HttpResponse:
    """Settle a recall for one item."""
    item = item_or_404(request, tag)
    recalls = open_recalls(item)
    form = ResolveForm(request.POST or None)
    form.fields["recall"].queryset = recalls  # type: ignore[attr-defined]
    if done(form, lambda: resolve_recall(actor=request.member, item=item, **form.cleaned_data)) is not None:
        messages.success(request, f"The recall is closed for {item.tag}.")
        return redirect(item)
    context = {"form": form, "item": item, "recalls": recalls}
    return render(request, "gear/resolve.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@role_required(*OUT_TAKERS)
@once
def recall_new(request: CrewRequest) -> HttpResponse:
    """Shows first what a recall would cover, and records it when that was seen and is so still."""
    form = RecallForm(request.POST or None, initial={"announced_on": request.member.company.today()})
    preview = preview_recall(request.member.company, form) if form.is_valid() else None
    if preview is not None and request.POST.get("seen") == preview.token:
        recall = done(form, lambda: record_recall(actor=request.member, **form.facts()))
        if recall is not None:
            caught = recall.events.filter(kind="recall").count()
            messages.success(request, f"The recall is recorded. It may cover {caught} of our items.")
            return redirect("store")
    context = {"form": form, "preview": None if form.errors else preview}
    return render(request, "gear/recall.html", context, status=422 if form.errors else 200)
