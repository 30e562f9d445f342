"""One item of a round: its page, the answers a phone sends by themselves, and the set a failed part belongs to."""

from typing import Any

from django.contrib import messages
from django.core import signing
from django.http import FileResponse, Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from crewlog.errors import RuleBroken
from crewlog.files.documents import Document
from crewlog.files.photographs import Photograph
from crewlog.once import once
from crewlog.unsent.addresses import posts_only
from crewlog.web.access import role_required
from crewlog.web.http import CrewRequest
from gear.events.forms import OutOfUseForm
from gear.events.services import take_out_of_use
from gear.failures.services import held_in
from gear.files.views import small_picture
from gear.fitness.entries import ALTERERS
from gear.models import RoundDraft, RoundDraftItem, RoundPhotograph
from gear.rounds.forms import RoundItemForm, typed_in
from gear.rounds.item_page import OPENED_SALT, item_page
from gear.rounds.pages import progress_of, round_rows
from gear.rounds.photographs import keep_photographs
from gear.rounds.reading import values_of
from gear.rounds.services import Device, Given, keep_answers, start_item_again
from gear.rounds.sign import record_failure
from gear.rounds.sync import BadMessage, read_message
from gear.rounds.views import own_draft, readable_draft
from gear.web.form_fields import add_service_error
from gear.web.view_parts import EXAMINERS, run_service

LONGEST_LOOK_S = 3600


def row_or_404(draft: RoundDraft, place: int) -> RoundDraftItem:
    rows = RoundDraftItem.objects.select_related("item__company", "item__assembly", "draft__inspector", "failed_by")
    return get_object_or_404(rows.prefetch_related("answers", "photographs"), draft=draft, position=place)


@require_http_methods(["GET", "POST"])
@role_required(*EXAMINERS)
def round_item(request: CrewRequest, draft_id: int, place: int) -> HttpResponse:
    draft = readable_draft(request, draft_id) if request.method == "GET" else own_draft(request, draft_id)
    row = row_or_404(draft, place)
    fault = None
    if request.method == "POST":
        try:
            answer = handle_action(request, row)
        except RuleBroken as caught:
            fault = caught
        else:
            if answer is not None:
                return answer
        row = row_or_404(draft, place)
    values = values_of(row)
    form = RoundItemForm(values, row=row)
    form.say_what_is_kept(row)
    if fault is not None:
        form.is_valid()
        add_service_error(form, fault)
    status = 422 if request.method == "POST" and form.errors else 200
    context = item_page(request.member, row, form, values)
    return render(request, "gear/round_item.html", context, status=status)


def handle_action(request: CrewRequest, row: RoundDraftItem) -> HttpResponse | None:
    """Do what the pressed button asks (`do` of the POST) and return where to go next; None: show the item again.

    What was typed is kept before. Raises RuleBroken for a photograph or a failure that is refused.
    """
    do = request.POST.get("do", "next")
    if do == "again":
        start_item_again(actor=request.member, row=row)
        return redirect("round_item", row.draft_id, row.position)
    keep_form(request, row)
    if request.FILES:
        keep_photographs(actor=request.member, row=row, brought=photographs(request, row))
    if do == "photograph":  # sent by the script when the signal is back
        return HttpResponse(status=204)
    row = row_or_404(row.draft, row.position)
    if do == "fail":
        inspection = record_failure(actor=request.member, row=row)
        messages.success(request, f"{row.item.tag} is recorded: {inspection.get_verdict_display().lower()}.")
        if row.item.assembly_id is not None:
            return redirect("round_set", row.draft_id, row.position)
        return redirect("round_item", row.draft_id, row.position)
    if RoundItemForm(values_of(row), row=row).errors:
        return None
    following = progress_of(round_rows(row.draft), after=row.position).next_place
    return redirect("round", row.draft_id) if following is None else redirect("round_item", row.draft_id, following)


def photographs(request: CrewRequest, row: RoundDraftItem) -> dict[str, Photograph | Document]:
    """The photographs that were sent, by point. Raises RuleBroken for a file that is none."""
    form = RoundItemForm(values_of(row), row=row, files=request.FILES)
    for name in request.FILES:
        if name in form.errors:
            raise RuleBroken(str(form.errors[name][0]), code="photograph-refused", field=name)
    return form.files_brought()


def keep_form(request: CrewRequest, row: RoundDraftItem) -> None:
    """Keep what the form holds, as answered now; only what changed counts as answered again."""
    known = values_of(row)
    typed = typed_in(request.POST, row)
    if quick := request.POST.get("quick"):
        typed["verdict"] = quick
    now = timezone.now()
    given = [Given(name, value, now) for name, value in typed.items() if value != known.get(name, "")]
    device = request.POST.get("device", "") or f"page {(request.session.session_key or '')[:8]}"
    total = seconds_of(request, row, device)
    keep_answers(
        actor=request.member,
        draft=row.draft,
        device=Device(device, now),
        answers={row.position: given},
        seconds=None if total is None else {row.position: total},
    )


def seconds_of(request: CrewRequest, row: RoundDraftItem, device: str) -> int | None:
    """A device's seconds on the item: as its script counted them, else since the page was made."""
    counted = request.POST.get("spent", "")
    if counted.isascii() and counted.isdigit() and len(counted) < 7:
        return int(counted)
    try:
        opened = float(signing.loads(request.POST.get("opened", ""), salt=OPENED_SALT))
    except signing.BadSignature:
        return None
    looked = min(timezone.now().timestamp() - opened, LONGEST_LOOK_S)
    return int(row.seconds.get(device[:40], 0)) + round(max(looked, 0))


@posts_only("round", does="Sending of answers")
@role_required(*EXAMINERS)
def round_answers(request: CrewRequest, draft_id: int) -> JsonResponse:
    """Answers a browser kept while it had no signal. Sent again, they change nothing."""
    draft = own_draft(request, draft_id)
    try:
        message = read_message(request.body)
        kept = keep_answers(
            actor=request.member,
            draft=draft,
            device=message.device,
            answers=message.answers,
            seconds=message.seconds,
        )
    except BadMessage as fault:
        return JsonResponse({"refused": str(fault)}, status=400)
    except RuleBroken as fault:
        return JsonResponse({"refused": fault.message, "code": fault.code}, status=409)
    recorded = fail_waiting(request, draft, message.pressed)
    return JsonResponse({"kept": kept, "recorded": recorded, "held": held_places(draft)})


def held_places(draft: RoundDraft) -> dict[int, str]:
    """Places of the items that a failure of this round holds, each with its newest reason. Two queries."""
    held = held_in(draft)
    places = dict(draft.rows.filter(item__in=held).values_list("item", "position"))
    return {places[item]: rows[-1].reason for item, rows in held.items()}


def fail_waiting(request: CrewRequest, draft: RoundDraft, places: tuple[int, ...]) -> dict[int, str]:
    """Record the failures whose button was pressed without signal; by place what came of it, empty when recorded."""
    said = {}
    for place in places:
        try:
            record_failure(actor=request.member, row=row_or_404(draft, place))
            said[place] = ""
        except RuleBroken as fault:
            said[place] = "" if fault.code == "recorded-already" else fault.message
        except Http404:
            said[place] = ""
    return said


@require_safe
@role_required(*EXAMINERS)
def round_photograph(request: CrewRequest, draft_id: int, place: int, photograph_id: int) -> FileResponse:
    """The small picture of a photograph kept with a round."""
    row = row_or_404(readable_draft(request, draft_id), place)
    kept = get_object_or_404(RoundPhotograph, row=row, pk=photograph_id)
    return small_picture(kept.sha256, f"{row.item.tag}.jpg")


@require_http_methods(["GET", "POST"])
@role_required(*EXAMINERS)
@once
def round_set(request: CrewRequest, draft_id: int, place: int) -> HttpResponse:
    """A failed part belongs to a tackle set: swap it, or take the whole set out of use."""
    draft = own_draft(request, draft_id)
    row = row_or_404(draft, place)
    whole = row.item.assembly
    if whole is None or row.failed_by is None:
        raise Http404
    form = OutOfUseForm(request.POST or None, initial={"because": f"Part {row.item.tag} failed its examination"})
    if run_service(form, lambda: take_out_of_use(actor=request.member, item=whole, **form.cleaned_data)) is not None:
        messages.success(request, f"{whole.tag} is out of use. Sheets that list it are withdrawn.")
        return redirect("round_item", draft.pk, row.position)
    following = progress_of(round_rows(draft), after=row.position).next_place
    context: dict[str, Any] = {
        "draft": draft,
        "row": row,
        "whole": whole,
        "form": form,
        "following": following,
        "may_swap": request.member.role in ALTERERS and not whole.is_retired,
    }
    return render(request, "gear/round_set.html", context, status=422 if form.errors else 200)
