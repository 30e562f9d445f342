"""Pages of failures: telling the employer, and taking an answer back."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from crewlog.once import once
from crewlog.web.access import role_required
from crewlog.web.http import CrewRequest
from gear.failures.forms import MistakeForm, ToldForm
from gear.failures.pages import ROW, held_row
from gear.failures.services import held_in, take_back_failure, tell_employer
from gear.models.failure import FailureFound
from gear.rounds.item_views import row_or_404
from gear.rounds.views import own_draft
from gear.web.view_parts import EXAMINERS, item_or_404, run_service


@require_http_methods(["GET", "POST"])
@role_required(*EXAMINERS)
@once
def item_told(request: CrewRequest, tag: str) -> HttpResponse:
    """When and how the employer was told of an item's failure; with nothing open, the item's own page."""
    item = item_or_404(request, tag)
    company = request.member.company
    failures = FailureFound.objects.filter(item=item).select_related(*ROW)
    open_now = failures.untold(company).first()
    if open_now is None:
        messages.info(request, f"{item.tag}: nothing left to record.")
        return redirect(item)
    form = ToldForm(request.POST or None, company=company, failures=failures, initial={"failure": open_now.pk})
    told = run_service(form, lambda: tell_employer(actor=request.member, **form.facts()))
    if told is not None:
        messages.success(request, f"{item.tag}: recorded that the employer was told.")
        return redirect(item)
    shown = getattr(form, "cleaned_data", {}).get("failure", open_now)
    covered = failures.untold(company, until=shown.pk).filter(draft=shown.draft_id)
    rows = [held_row(request.member, each, is_untold=True) for each in list(covered) or [shown]]
    context = {"form": form, "item": item, "rows": rows}
    return render(request, "gear/told.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@role_required(*EXAMINERS)
@once
def round_mistake(request: CrewRequest, draft_id: int, place: int) -> HttpResponse:
    """The examiner's own word that a failure was entered by mistake and the item looked at again."""
    draft = own_draft(request, draft_id)
    row = row_or_404(draft, place)
    back = reverse("round_item", args=[draft.pk, place])
    held = held_in(draft).get(row.item_id, [])
    if not held:
        return redirect(back)
    form = MistakeForm(request.POST or None)
    taken = run_service(form, lambda: take_back_failure(actor=request.member, row=row, **form.cleaned_data))
    if taken is not None:
        messages.success(request, f"{row.item.tag}: recorded as entered by mistake.")
        return redirect(back)
    context = {"form": form, "item": row.item, "draft": draft, "held": held, "back": back}
    return render(request, "gear/round_mistake.html", context, status=422 if form.errors else 200)
