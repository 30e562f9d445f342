"""Pull plans: the page, working one out while it is typed, keeping a revision, every figure with its source."""

import copy
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Max
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.errors import RuleBroken
from crewlog.once import once
from crewlog.stale import Opened, StaleEdit
from crewlog.unsent.addresses import posts_only
from crewlog.web.access import COMPANY_PEOPLE, PLANNERS, role_required
from crewlog.web.form_fields import add_service_error
from crewlog.web.http import CrewRequest, render_page_or_part
from jobs.models import Stem
from jobs.plans.calculation import calculate
from jobs.plans.data import PlanData, gear_sheet_of, load_plan_data
from jobs.plans.form_groups import GROUPS
from jobs.plans.forms import ChangeForm, PlanForm, shown_beside
from jobs.plans.inverse import ask
from jobs.plans.page import PlanPage, plan_page
from jobs.plans.page_cures import cures_page
from jobs.plans.page_inverse import QUESTIONS, asked_page
from jobs.plans.page_revisions import head_line, revision_rows
from jobs.plans.page_saved_since import saved_since
from jobs.plans.page_working import working_page
from jobs.plans.services import save_and_keep, save_plan
from jobs.stems.pages import stem_facts, stem_words
from jobs.web.view_parts import may_plan, post_or_none, status_of, stem_or_404
from jobs.wording.felling import felling


def plan_data_for_form(plan_data: PlanData) -> PlanData:
    """The data with a copy of the plan: a form writes what is typed onto it, the stored row stays as it is."""
    return replace(plan_data, plan=copy.copy(plan_data.plan))


@require_http_methods(["GET", "POST"])
@role_required(*COMPANY_PEOPLE)
def plan(request: CrewRequest, stem_id: int) -> HttpResponse:
    stem = stem_or_404(request, stem_id)
    plan_data = load_plan_data(stem, gear_sheet_of(stem))
    if not may_plan(request):
        return read_only(request, plan_data)
    form = PlanForm(post_or_none(request), plan_data=plan_data_for_form(plan_data))
    if request.method == "POST" and form.is_valid() and save(request, stem, form)[0]:
        messages.success(request, "Worked out from what was entered.")
        return redirect("plan", stem.pk)
    return full_page(request, plan_data, form)


def save(request: CrewRequest, stem: Stem, form: PlanForm, service: Callable[..., Any] = save_plan) -> tuple[bool, Any]:
    """Save the working copy: whether it was saved, and what the service gave. Its error is told in the form."""
    try:
        made = service(
            actor=request.member,
            stem=stem,
            facts=form.facts(),
            redirects=form.redirect_rows(),
            places=form.place_rows(),
            opened=form.opened,
        )
    except (RuleBroken, ValidationError) as error:
        add_service_error(form, error)
        return False, None
    return True, made


def full_page(request: CrewRequest, plan_data: PlanData, form: PlanForm) -> HttpResponse:
    page = plan_page(plan_data, calculate(plan_data))
    context = base_context(plan_data, page) | {"form": form, "opened": opened(form, page), "may_search": True}
    return render(request, "jobs/plan.html", context, status=status_of(form))


def read_only(request: CrewRequest, plan_data: PlanData) -> HttpResponse:
    if request.method == "POST":
        return HttpResponse(status=403)
    page = plan_page(plan_data, calculate(plan_data))
    names = (
        felling("Hinge and notch"),
        "Line",
        "Tackle and crew",
        "Wind",
        "Holding",
        "Side line",
        "Restraint line",
        "Places",
        "Valid while",
    )
    context = base_context(plan_data, page) | {"readable": list(zip(names, page.words.values(), strict=True))}
    return render(request, "jobs/plan.html", context)


def base_context(plan_data: PlanData, page: PlanPage) -> dict[str, object]:
    latest = plan_data.stem.revisions.aggregate(last=Max("revision"))["last"] or 0
    return {
        "stem": plan_data.stem,
        "job": plan_data.job,
        "page": page,
        "stem_words": stem_words(plan_data),
        "stem_facts": stem_facts(plan_data),
        "head_line": head_line(plan_data, latest),
        "next_revision": latest + 1,
        "revisions": revision_rows(plan_data.stem),
    }


def opened(form: PlanForm, page: PlanPage) -> dict[str, bool]:
    """Which groups stand open: those with an error, else those that the findings speak of."""
    if form.is_bound:
        wrong = set(form.errors)
        shut = {name: bool(wrong & set(fields)) for name, fields in GROUPS.items()}
        shut["places"] = any(row.errors for row in form.places)
        shut["line"] = shut["line"] or any(row.errors for row in form.redirects)
        shut["side"] = shut["side"] or any(row.errors for row in form.side_redirects)
        return shut
    return {name: name in page.open_groups for name in (*GROUPS, "places")}


@posts_only("plan", does="Work it out")
@role_required(*PLANNERS)
def plan_try(request: CrewRequest, stem_id: int) -> HttpResponse:
    """Work out what is typed, without saving it: the part of the page that shows results."""
    stem = stem_or_404(request, stem_id)
    plan_data = load_plan_data(stem, gear_sheet_of(stem))
    form = PlanForm(request.POST, plan_data=plan_data_for_form(plan_data))
    if not form.is_valid():
        return render(request, "jobs/_plan_unread.html", {"form": form, "stem": stem}, status=422)
    typed = form.plan_data()
    page = plan_page(typed, calculate(typed))
    context = {"page": page, "stem": stem, "saved_since": saved_since(form.opened, plan_data)}
    return render(request, "jobs/_plan_results.html", context)


def plan_key(stem: Stem) -> str:
    return f"plan:{stem.pk}"


def shown_now(plan_data: PlanData) -> dict[str, Opened]:
    """What a page that offers a change of the plan was worked out for, as parts/opened.html takes it."""
    return {"opened": Opened.now(plan_key(plan_data.stem), shown_beside(plan_data))}


def plan_moved_on(request: CrewRequest, stem: Stem, error: StaleEdit) -> HttpResponse:
    """The plan as it is stored now, with what became of a change that was offered for an earlier one."""
    fresh = stem_or_404(request, stem.pk)
    plan_data = load_plan_data(fresh, gear_sheet_of(fresh))
    form = PlanForm(plan_data=plan_data_for_form(plan_data))
    form.tell_moved_on(error, "Nothing was changed. The figures below are of the plan as it is stored now.")
    return full_page(request, plan_data, form)


@require_GET
@role_required(*PLANNERS)
def plan_cures(request: CrewRequest, stem_id: int) -> HttpResponse:
    """Search for single changes that cure the plan as saved."""
    stem = stem_or_404(request, stem_id)
    plan_data = load_plan_data(stem, gear_sheet_of(stem))
    page = cures_page(plan_data, calculate(plan_data))
    context = {
        "stem": stem,
        "job": stem.job,
        "cures": page.cures,
        "none_words": page.none_words,
        "shown": shown_now(plan_data),
    }
    return render_page_or_part(request, "jobs/plan_cures.html", "jobs/_plan_cures.html", context)


@require_GET
@role_required(*COMPANY_PEOPLE)
def plan_least(request: CrewRequest, stem_id: int) -> HttpResponse:
    """Ask the plan as saved backwards: the least of one figure with which it passes."""
    stem = stem_or_404(request, stem_id)
    what = next((each for each in QUESTIONS if each == request.GET.get("what")), None)
    context: dict[str, object] = {"stem": stem, "job": stem.job, "questions": QUESTIONS.items(), "what": what}
    if what is not None:
        plan_data = load_plan_data(stem, gear_sheet_of(stem))
        context |= {"page": asked_page(plan_data, ask(plan_data, what)), "may_plan": may_plan(request)}
        context["shown"] = shown_now(plan_data)
    return render(request, "jobs/plan_least.html", context)


@posts_only("plan", does="Set in the plan")
@role_required(*PLANNERS)
def plan_set(request: CrewRequest, stem_id: int) -> HttpResponse:
    """Set one figure on the working copy, as a cure proposes."""
    stem = stem_or_404(request, stem_id)
    form = ChangeForm(request.POST)
    if not form.is_valid() or not hasattr(stem, "plan"):
        messages.error(request, "That change could not be read. Nothing was changed.")
        return redirect("plan", stem.pk)
    name, value = form.cleaned_data["change"]
    opened = Opened.sent(plan_key(stem), request.POST)
    try:
        save_plan(actor=request.member, stem=stem, facts={name: value}, opened=opened)
    except StaleEdit as error:
        return plan_moved_on(request, stem, error)
    except (RuleBroken, ValidationError):
        messages.error(request, "That change does not go with the rest of the plan. Nothing was changed.")
    else:
        messages.success(request, "Tried on the working copy. The figures below are with the change.")
    return redirect("plan", stem.pk)


@posts_only("plan", does="Keep as revision")
@role_required(*PLANNERS)
@once
def plan_keep(request: CrewRequest, stem_id: int) -> HttpResponse:
    """Save what is typed and keep it as the next revision, refused or not."""
    stem = stem_or_404(request, stem_id)
    plan_data = load_plan_data(stem, gear_sheet_of(stem))
    form = PlanForm(request.POST, plan_data=plan_data_for_form(plan_data))
    is_saved, row = save(request, stem, form, save_and_keep) if form.is_valid() else (False, None)
    if not is_saved:
        return full_page(request, plan_data, form)
    if row is None:
        messages.error(request, "Saved, but not kept as a revision: the plan has open answers.")
    else:
        messages.success(request, f"Kept as revision {row.revision}.")
    return redirect("plan", stem.pk)


@require_GET
@role_required(*COMPANY_PEOPLE)
def plan_working(request: CrewRequest, stem_id: int) -> HttpResponse:
    stem = stem_or_404(request, stem_id)
    plan_data = load_plan_data(stem, gear_sheet_of(stem))
    context = {"stem": stem, "job": stem.job, "page": working_page(plan_data, calculate(plan_data))}
    return render(request, "jobs/plan_working.html", context)
