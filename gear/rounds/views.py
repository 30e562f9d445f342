"""Rounds: their list, starting one, how far it is, signing it, and what was signed."""

from pathlib import Path

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.errors import RuleBroken
from crewlog.models import Role
from crewlog.once import once
from crewlog.unsent.addresses import posts_only
from crewlog.web.access import EVERYONE, get_for_company_or_404, role_required
from crewlog.web.http import CrewRequest
from gear.failures.pages import untold_part
from gear.models import GearItem, Round, RoundDraft
from gear.rounds.pages import (
    OPEN_SHOWN,
    STATES,
    WAITING,
    Chosen,
    choices,
    chosen,
    draft_rows,
    drafts_seen_by,
    progress_of,
    round_rows,
    signed_figures,
    signed_lines,
)
from gear.rounds.services import MOST_ITEMS, close_round, sort_out, start_round
from gear.rounds.sign import STATEMENT, fingerprint, review_round, sign_round
from gear.rounds.start_forms import PickForm, StartRoundForm
from gear.web.view_parts import EXAMINERS, run_service

ROUNDS_PER_PAGE = 30
ROWS_PER_PAGE = 100
WORKER = Path(__file__).resolve().parents[1] / "scripts" / "rounds" / "worker.js"


def own_draft(request: CrewRequest, draft_id: int) -> RoundDraft:
    """An open round of the member's own; one of a colleague is theirs alone, another company's does not exist."""
    draft: RoundDraft = get_for_company_or_404(
        RoundDraft.objects.select_related("company", "inspector__details"), request, pk=draft_id
    )
    if draft.inspector_id != request.member.person.pk:
        raise PermissionDenied
    return draft


def readable_draft(request: CrewRequest, draft_id: int) -> RoundDraft:
    """A round that the member may read: their own, and for the owner anybody's. Answering and signing stay with who
    began it.
    """
    draft: RoundDraft = get_for_company_or_404(
        RoundDraft.objects.select_related("company", "inspector__details"), request, pk=draft_id
    )
    if draft.inspector_id != request.member.person.pk and request.member.role != Role.OWNER:
        raise PermissionDenied
    return draft


@require_GET
@role_required(*EVERYONE)
def rounds(request: CrewRequest) -> HttpResponse:
    member = request.member
    signed = Round.objects.for_company(member.company).select_related("inspector__details", "record")
    page = Paginator(signed, ROUNDS_PER_PAGE).get_page(request.GET.get("page"))
    may_examine = member.role in EXAMINERS
    drafts = Paginator(drafts_seen_by(member), OPEN_SHOWN).get_page(request.GET.get("open")) if may_examine else None
    context = {
        "page": page,
        "may_examine": may_examine,
        "drafts": draft_rows(member, list(drafts)) if drafts else (),
        "open_next": drafts.next_page_number() if drafts and drafts.has_next() else None,
    }
    return render(request, "gear/rounds.html", context)


@login_not_required
@require_GET
def round_worker(request: HttpRequest) -> HttpResponse:
    """The script that keeps pages of rounds on a device. It stands among them: a worker sees only what is below it."""
    headers = {"Service-Worker-Allowed": reverse("rounds"), "Cache-Control": "no-cache"}
    return HttpResponse(WORKER.read_bytes(), content_type="text/javascript; charset=utf-8", headers=headers)


@require_http_methods(["GET", "POST"])
@role_required(*EXAMINERS)
@once
def round_new(request: CrewRequest) -> HttpResponse:
    """First what the round is about, then its items, each ticked unless it is taken out."""
    company = request.member.company
    asked = {name: request.GET.get(name, "") for name in ("due", "place", "set", "pick", "q") if name in request.GET}
    found = chosen(company, asked, company.today())
    if found is None:
        if request.method == "POST":
            raise Http404
        return render(request, "gear/round_new.html", {"choices": choices(company, company.today())})
    return pick_items(request, found)


def pick_items(request: CrewRequest, found: Chosen) -> HttpResponse:
    company, person = request.member.company, request.member.person
    items = list(found.items[:MOST_ITEMS])
    taken, aside = sort_out(person, items, on=company.today())
    form = StartRoundForm(request.POST or None, items=taken, initial={"kind": "thorough"})
    draft = run_service(form, lambda: start(request, form, found))
    if draft is not None:
        return redirect("round_item", draft.pk, 1)
    ticked = form.ticked(all_first="pick" not in request.GET)
    context = {
        "form": form,
        "title": found.title,
        "boxes": [(item, str(item.pk) in ticked) for item in taken],
        "taken": taken,
        "aside": aside,
        "finder": PickForm(request.GET) if "pick" in request.GET else None,
        "is_cut": len(items) == MOST_ITEMS,
    }
    return render(request, "gear/round_pick.html", context, status=422 if form.errors else 200)


def start(request: CrewRequest, form: StartRoundForm, found: Chosen) -> RoundDraft:
    rows = GearItem.objects.for_company(request.member.company).select_related("company")
    items = list(rows.filter(pk__in=form.cleaned_data["item"]).order_by("storage_place", "gear_class", "tag"))
    return start_round(actor=request.member, items=items, kind=form.cleaned_data["kind"], title=found.title)


@require_GET
@role_required(*EXAMINERS)
def round_draft(request: CrewRequest, draft_id: int) -> HttpResponse:
    draft = readable_draft(request, draft_id)
    rows = round_rows(draft)
    progress = progress_of(rows)
    state = request.GET.get("s", "")
    shown = [row for row in rows if row.state == state] if state in STATES else rows
    context = {
        "draft": draft,
        "is_own": draft.inspector_id == request.member.person.pk,
        **untold_part(request.member, draft=draft),
        "progress": progress,
        "states": [(code, *STATES[code], progress.counts[code]) for code in STATES if code in progress.counts],
        "state": state if state in STATES else "",
        "page": Paginator(shown, ROWS_PER_PAGE).get_page(request.GET.get("page")),
        "waiting": WAITING,
    }
    return render(request, "gear/round.html", context)


@posts_only("round", does="Close it unsigned")
@role_required(*EXAMINERS)
@once
def round_close(request: CrewRequest, draft_id: int) -> HttpResponse:
    draft = own_draft(request, draft_id)
    try:
        close_round(actor=request.member, draft=draft)
    except RuleBroken as fault:
        messages.error(request, fault.message)
    else:
        said = "Unsigned items count as not examined; failed items stay out of use."
        messages.success(request, f"{draft.title}: closed unsigned. {said}")
    return redirect("rounds")


@require_http_methods(["GET", "POST"])
@role_required(*EXAMINERS)
@once
def round_sign(request: CrewRequest, draft_id: int) -> HttpResponse:
    """What would be signed, and the signature under it."""
    draft = own_draft(request, draft_id)
    refused = ""
    if request.method == "POST":
        try:
            signed = sign_round(actor=request.member, draft=draft, shown=request.POST.get("shown", ""))
        except RuleBroken as fault:
            refused = fault.message
        else:
            messages.success(request, f"{signed.round.items} signed. {len(signed.left)} left in the round.")
            return redirect("round_signed", signed.round.pk)
    lines = review_round(draft) if draft.closed_at is None else []
    context = {
        "draft": draft,
        "refused": refused,
        "signable": [line for line in lines if line.is_signable],
        "lines": {group: [line for line in lines if line.group == group] for group in ("refused", "open")},
        **untold_part(request.member, draft=draft),
        "counts": {group: sum(line.group == group for line in lines) for group in {line.group for line in lines}},
        "failed_count": sum(line.group in ("fails", "failed") for line in lines),
        "shown": fingerprint(lines),
        "statement": STATEMENT,
    }
    return render(request, "gear/round_sign.html", context, status=422 if refused else 200)


@require_GET
@role_required(*EVERYONE)
def round_signed(request: CrewRequest, round_id: int) -> HttpResponse:
    signed = get_object_or_404(
        Round.objects.for_company(request.member.company).select_related("inspector__details", "record"), pk=round_id
    )
    per_page = MOST_ITEMS if "all" in request.GET else ROWS_PER_PAGE
    page = Paginator(signed_lines(signed), per_page).get_page(request.GET.get("page"))
    context = {
        "signed": signed,
        "page": page,
        "figures": signed_figures(signed),
        **untold_part(request.member, signed=signed),
        "may_correct": may_correct(request),
    }
    return render(request, "gear/round_signed.html", context)


def may_correct(request: CrewRequest) -> bool:
    return request.member.role in (Role.OWNER, Role.INSPECTOR)
