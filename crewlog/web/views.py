"""Pages that belong to no gear and no job: theme, more, records."""

import re
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET

from crewlog.evidence import chain_length, verify
from crewlog.models import Record, Role
from crewlog.people.selectors import record_rows
from crewlog.unsent.addresses import posts_only
from crewlog.web.access import CREW_READERS, EVERYONE, RECORD_READERS, role_required
from crewlog.web.http import THEMES, CrewRequest

RECORDS_PER_PAGE = 50
HEAD = re.compile("[0-9a-f]{64}")


@login_not_required
@posts_only("today")
def choose_theme(request: HttpRequest) -> HttpResponse:
    """Keep the theme in a cookie and go back to the page it was asked from."""
    target = request.POST.get("next", "/")
    if not url_has_allowed_host_and_scheme(
        target, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    ):
        target = "/"
    response = HttpResponseRedirect(target)  # an address, never the name of a view
    theme = request.POST.get("theme", "device")
    if theme in THEMES:
        response.set_cookie("theme", theme, max_age=60 * 60 * 24 * 365, samesite="Lax", secure=request.is_secure())
    return response


@require_GET
@role_required(*EVERYONE)
def more(request: CrewRequest) -> HttpResponse:
    role = request.member.role
    context = {
        "may_read_crew": role in CREW_READERS,
        "may_read_records": role in RECORD_READERS,
        "may_manage": role == Role.OWNER,
    }
    return render(request, "crewlog/more.html", context)


@require_GET
@role_required(*RECORD_READERS)
def records(request: CrewRequest) -> HttpResponse:
    company = request.member.company
    chain = Record.objects.for_company(company).order_by("-sequence").select_related("entered_by__details")
    paginator = Paginator(chain, RECORDS_PER_PAGE)
    paginator.count = chain_length(company)  # to count them would read every one
    page = paginator.get_page(request.GET.get("page"))
    context: dict[str, Any] = {"page": page, "rows": record_rows(page.object_list)}
    context["may_export"] = request.member.role in (Role.OWNER, Role.AUDITOR)
    since = request.GET.get("since", "").strip().lower()
    if since and not HEAD.fullmatch(since):
        context["since_fault"] = f"A record code has 64 characters, 0 to 9 or a to f. This one has {len(since)}."
    elif "verify" in request.GET:
        context["verdict"] = verify(company, since=since or None)
    return render(request, "crewlog/records.html", context)
