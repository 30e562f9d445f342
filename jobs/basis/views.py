"""What the figures rest on: the defaults with their basis, the sources with how they were obtained."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from crewlog.web.access import EVERYONE, role_required
from crewlog.web.http import CrewRequest
from jobs.basis.pages import default_groups, source_rows, wood_sources


@require_GET
@role_required(*EVERYONE)
def mechanics_defaults(request: CrewRequest) -> HttpResponse:
    groups = default_groups(request.member.company.unit_system)
    return render(request, "jobs/mechanics_defaults.html", {"groups": groups})


@require_GET
@role_required(*EVERYONE)
def mechanics_sources(request: CrewRequest) -> HttpResponse:
    context = {"sources": source_rows(), "woods": wood_sources()}
    return render(request, "jobs/mechanics_sources.html", context)
