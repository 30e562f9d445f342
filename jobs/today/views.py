"""The page one starts the day on."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from crewlog.web.access import EVERYONE, RECORD_READERS, role_required
from crewlog.web.http import CrewRequest
from jobs.demo.tries import tries_for
from jobs.today.page import today_page
from jobs.web.view_parts import is_auditor, may_plan


@require_GET
@role_required(*EVERYONE)
def today(request: CrewRequest) -> HttpResponse:
    """An auditor starts at the list of sheets: nothing of the day's work is theirs to see."""
    if is_auditor(request):
        return redirect("sheets")
    page = today_page(request.member, may_plan=may_plan(request))
    context = {
        "page": page,
        "may_plan": may_plan(request),
        "may_read_records": request.member.role in RECORD_READERS,
        "tries": tries_for(request.member),
    }
    return render(request, "jobs/today.html", context)
