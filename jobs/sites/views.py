"""Jobs, their anchors and the hazards round their stems."""

import copy

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db.models import Count
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.errors import RuleBroken
from crewlog.once import once
from crewlog.web.access import COMPANY_PEOPLE, PLANNERS, role_required
from crewlog.web.form_fields import add_service_error
from crewlog.web.http import CrewRequest
from jobs.models import Anchor, Job
from jobs.sites.forms import AnchorForm, HazardForm, JobForm
from jobs.sites.pages import job_groups, job_page
from jobs.sites.services import change_job, create_job, save_anchor, save_hazard
from jobs.web.view_parts import job_or_404, may_plan, post_or_none, status_of, stem_or_404

JOBS_PER_PAGE = 40


@require_GET
@role_required(*COMPANY_PEOPLE)
def jobs(request: CrewRequest) -> HttpResponse:
    rows = (
        Job.objects.for_company(request.member.company)
        .select_related("company", "lead__details")
        .annotate(stem_count=Count("stems"))
        .order_by("-first_day", "reference")
    )
    page = Paginator(rows, JOBS_PER_PAGE).get_page(request.GET.get("page"))
    return render(request, "jobs/jobs.html", {"page": page, "groups": job_groups(page), "may_plan": may_plan(request)})


@require_GET
@role_required(*COMPANY_PEOPLE)
def job(request: CrewRequest, job_id: int) -> HttpResponse:
    row = job_or_404(request, job_id)
    page = job_page(row, may_plan=may_plan(request))
    return render(request, "jobs/job.html", {"job": row, "page": page, "may_plan": may_plan(request)})


@require_http_methods(["GET", "POST"])
@role_required(*PLANNERS)
@once
def job_new(request: CrewRequest) -> HttpResponse:
    member = request.member
    initial = {"lead": member.person} if member.role == "crew_lead" else None
    form = JobForm(post_or_none(request), company=member.company, initial=initial)
    if request.method == "POST" and form.is_valid():
        facts, crew = form.facts(), form.whole_crew()
        try:
            row = create_job(actor=member, facts=facts, crew=crew)
        except (RuleBroken, ValidationError) as error:
            add_service_error(form, error)
        else:
            messages.success(request, f"Job {row.reference} is open. Add its first stem.")
            return redirect("job", row.pk)
    context = {"form": form, "title": "New job", "action": "Open the job", "leave": reverse("jobs")}
    return render(request, "jobs/job_form.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
@role_required(*PLANNERS)
def job_edit(request: CrewRequest, job_id: int) -> HttpResponse:
    row = job_or_404(request, job_id)
    form = JobForm(post_or_none(request), company=row.company, instance=copy.copy(row))
    if request.method == "POST" and form.is_valid():
        facts, crew = form.facts(), form.whole_crew()
        try:
            change_job(actor=request.member, job=row, facts=facts, crew=crew, opened=form.opened)
        except (RuleBroken, ValidationError) as error:
            add_service_error(form, error)
        else:
            messages.success(request, "The job is changed.")
            return redirect("job", row.pk)
    context = {"form": form, "title": "Change the job", "action": "Keep the changes", "job": row}
    context["leave"] = reverse("job", args=[row.pk])
    return render(request, "jobs/job_form.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
@role_required(*PLANNERS)
@once
def anchor_new(request: CrewRequest, job_id: int) -> HttpResponse:
    return anchor_page(request, job_or_404(request, job_id), None)


@require_http_methods(["GET", "POST"])
@role_required(*PLANNERS)
def anchor_edit(request: CrewRequest, anchor_id: int) -> HttpResponse:
    rows = Anchor.objects.select_related("job__company", "job__lead__details")
    anchor = get_object_or_404(rows, pk=anchor_id, job__company=request.member.company)
    return anchor_page(request, anchor.job, anchor)


def anchor_page(request: CrewRequest, row: Job, anchor: Anchor | None) -> HttpResponse:
    form = AnchorForm(
        post_or_none(request),
        job=row,
        unit_system=row.company.unit_system,
        instance=copy.copy(anchor) if anchor else Anchor(job=row),
        initial=None if anchor else {"estimated_by": request.member.person},
    )
    if request.method == "POST" and form.is_valid():
        try:
            saved = save_anchor(
                actor=request.member, job=row, facts=form.cleaned_data, anchor=anchor, opened=form.opened
            )
        except (RuleBroken, ValidationError) as error:
            add_service_error(form, error)
        else:
            messages.success(request, f"{saved.name} is entered.")
            return redirect("job", row.pk)
    context = {
        "form": form,
        "job": row,
        "title": anchor.name if anchor else "Add an anchor",
        "line": "A record of something on site, with a person's estimate. What the sheet rests on.",
        "action": "Keep the anchor",
        "leave": reverse("job", args=[row.pk]),
    }
    return render(request, "jobs/small_form.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
@role_required(*PLANNERS)
@once
def hazard_new(request: CrewRequest, stem_id: int) -> HttpResponse:
    stem = stem_or_404(request, stem_id)
    form = HazardForm(post_or_none(request), unit_system=stem.job.company.unit_system)
    if request.method == "POST" and form.is_valid():
        try:
            save_hazard(actor=request.member, stem=stem, facts=form.cleaned_data)
        except (RuleBroken, ValidationError) as error:
            add_service_error(form, error)
        else:
            messages.success(request, "The hazard is entered.")
            return redirect("job", stem.job_id)
    context = {
        "form": form,
        "job": stem.job,
        "title": f"Hazard at {str(stem).lower()}",
        "line": "Seen from the stump. Each hazard has its control.",
        "action": "Keep the hazard",
        "leave": reverse("job", args=[stem.job_id]),
    }
    return render(request, "jobs/small_form.html", context, status=status_of(form))
