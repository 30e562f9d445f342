"""Stems as measured."""

import copy

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from crewlog.errors import RuleBroken
from crewlog.once import once
from crewlog.web.access import PLANNERS, role_required
from crewlog.web.form_fields import add_service_error
from crewlog.web.http import CrewRequest
from jobs.models import Job, Stem
from jobs.plans.services import save_stem
from jobs.stems.forms import StemForm
from jobs.web.view_parts import job_or_404, post_or_none, status_of, stem_or_404


@require_http_methods(["GET", "POST"])
@role_required(*PLANNERS)
@once
def stem_new(request: CrewRequest, job_id: int) -> HttpResponse:
    job = job_or_404(request, job_id)
    fresh = Stem(job=job, position=job.stems.count() + 1)
    form = StemForm(post_or_none(request), job=job, unit_system=job.company.unit_system, instance=fresh)
    return stem_page(request, job, form, None)


@require_http_methods(["GET", "POST"])
@role_required(*PLANNERS)
def stem(request: CrewRequest, stem_id: int) -> HttpResponse:
    row = stem_or_404(request, stem_id)
    form = StemForm(
        post_or_none(request),
        job=row.job,
        unit_system=row.job.company.unit_system,
        instance=copy.copy(row),  # the service compares with the row as it is stored
        sections=row.sections.all(),
        crown_parts=row.crown_parts.all(),
    )
    return stem_page(request, row.job, form, row)


def stem_page(request: CrewRequest, job: Job, form: StemForm, row: Stem | None) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        try:
            saved = save_stem(
                actor=request.member,
                job=job,
                stem=row,
                facts=form.facts(),
                sections=form.section_rows(),
                crown_parts=form.crown_rows(),
                opened=form.opened,
            )
        except (RuleBroken, ValidationError) as error:
            add_service_error(form, error)
        else:
            messages.success(request, f"{saved} is measured as entered.")
            return redirect("plan", saved.pk)
    context = {
        "form": form,
        "job": job,
        "stem": row or form.instance,
        "title": f"{row}: measured" if row else "Add a stem",
        "leave": reverse("plan", args=[row.pk]) if row else reverse("job", args=[job.pk]),
    }
    return render(request, "jobs/stem.html", context, status=status_of(form))
