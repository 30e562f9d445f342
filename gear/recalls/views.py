"""Pages of recalls: recording one, and settling it for an item."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from crewlog.once import once
from crewlog.web.access import role_required
from crewlog.web.form_boxes import offer_rows
from crewlog.web.http import CrewRequest
from gear.recalls.forms import RecallForm, ResolveForm
from gear.recalls.page import preview_recall
from gear.recalls.services import open_recalls, record_recall, resolve_recall
from gear.web.view_parts import EXAMINERS, OUT_TAKERS, item_or_404, run_service


@require_http_methods(["GET", "POST"])
@role_required(*EXAMINERS)
@once
def item_recall(request: CrewRequest, tag: str) -> HttpResponse:
    """Settle a recall for one item."""
    item = item_or_404(request, tag)
    recalls = open_recalls(item)
    form = ResolveForm(request.POST or None)
    offer_rows(form, "recall", recalls)
    if run_service(form, lambda: resolve_recall(actor=request.member, item=item, **form.cleaned_data)) is not None:
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
        recall = run_service(form, lambda: record_recall(actor=request.member, **form.facts()))
        if recall is not None:
            caught = recall.events.filter(kind="recall").count()
            messages.success(request, f"The recall is recorded. It may cover {caught} of our items.")
            return redirect("store")
    context = {"form": form, "preview": None if form.errors else preview}
    return render(request, "gear/recall.html", context, status=422 if form.errors else 200)
