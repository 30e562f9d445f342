"""What the job views share: the rows they open by, what was posted, and the status of an answer."""

from django import forms
from django.http import Http404, QueryDict

from crewlog.models import Role
from crewlog.web.access import PLANNERS, get_for_company_or_404
from crewlog.web.http import CrewRequest
from jobs.models import Job, Sheet, Stem


def post_or_none(request: CrewRequest) -> QueryDict | None:
    """The data of a POST, even when it is empty; None for any other method, so that a form made of it is unbound."""
    return request.POST if request.method == "POST" else None


def status_of(form: forms.BaseForm | None) -> int:
    """422 for a form that was sent and refused, 409 where somebody else saved since it was opened."""
    if getattr(form, "stale", None) is not None:
        return 409
    return 422 if form is not None and form.is_bound else 200


def may_plan(request: CrewRequest) -> bool:
    return request.member.role in PLANNERS


def is_auditor(request: CrewRequest) -> bool:
    return request.member.role == Role.AUDITOR


def job_or_404(request: CrewRequest, job_id: int) -> Job:
    rows = Job.objects.select_related("company", "lead__details")
    row: Job = get_for_company_or_404(rows, request, pk=job_id)
    return row


def stem_or_404(request: CrewRequest, stem_id: int) -> Stem:
    row: Stem = get_for_company_or_404(Stem.objects.with_plan(), request, pk=stem_id)
    return row


def sheet_or_404(request: CrewRequest, sheet_id: int) -> Sheet:
    row: Sheet = get_for_company_or_404(Sheet.objects.with_stem(), request, pk=sheet_id)
    return row


def draft_of(stem: Stem) -> Sheet | None:
    """The sheet being drafted for a stem, with the stem's own fetched rows behind it. One query."""
    draft = stem.sheets.drafts().order_by("-revision").first()
    if draft is not None:
        draft.stem = stem
    return draft


def draft_or_404(request: CrewRequest, stem_id: int) -> Sheet:
    draft = draft_of(stem_or_404(request, stem_id))
    if draft is None:
        raise Http404("This stem has no sheet in draft.")
    return draft
