"""Sheets: their page, issuing or refusing, the paper, withdrawal, and the list an auditor starts from."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.errors import RuleBroken
from crewlog.once import once
from crewlog.stale import StaleEdit
from crewlog.unsent.addresses import posts_only
from crewlog.web.access import COMPANY_PEOPLE, EVERYONE, PLANNERS, role_required
from crewlog.web.form_fields import add_service_error
from crewlog.web.http import CrewRequest
from jobs.demo.tries import tries_for
from jobs.errors import SheetFixed, SheetRefused, SourceGiven
from jobs.models import IssuedSheet, Sheet, SheetWithdrawal
from jobs.sheets.assign import note_source, set_window
from jobs.sheets.check import check_sheet
from jobs.sheets.emergency import NotLookedAt
from jobs.sheets.forms import IssueForm, SheetForm, SourceForm, WithdrawForm
from jobs.sheets.page import draft_page, issued_page, kept_document, list_rows
from jobs.sheets.services import acknowledge_withdrawal, issue_sheet, withdraw_sheet
from jobs.sheets.standing.marked_pdf import mark_pdf
from jobs.sheets.standing.selectors import is_felled, is_issued, standing
from jobs.sites.page_state import with_state
from jobs.web.view_parts import is_auditor, may_plan, post_or_none, sheet_or_404, status_of

SHEETS_PER_PAGE = 40


@require_GET
@role_required(*EVERYONE)
def sheets(request: CrewRequest) -> HttpResponse:
    rows = Sheet.objects.for_company(request.member.company).select_related("stem__job__company")
    if is_auditor(request):
        rows = rows.issued()
    page = Paginator(with_state(rows).order_by("-day", "number", "-revision"), SHEETS_PER_PAGE).get_page(
        request.GET.get("page")
    )
    shown = list(page.object_list)
    context: dict[str, object] = {
        "page": page,
        "rows": list_rows(shown, superseded(shown)),
        "may_open_jobs": not is_auditor(request),
    }
    if is_auditor(request):  # whose first page this is
        context["tries"] = tries_for(request.member)
    return render(request, "jobs/sheets.html", context)


def superseded(shown: list[Sheet]) -> frozenset[int]:
    """Those of the sheets that a later issued revision of their number supersedes. One query."""
    later: dict[tuple[int, str], int] = {}
    rows = Sheet.objects.issued().filter(stem__in={sheet.stem_id for sheet in shown})
    for stem_id, number, revision in rows.values_list("stem_id", "number", "revision"):
        later[stem_id, number] = max(revision, later.get((stem_id, number), 0))
    return frozenset(s.pk for s in shown if later.get((s.stem_id, s.number), 0) > s.revision)


@require_GET
@role_required(*EVERYONE)
def sheet(request: CrewRequest, sheet_id: int) -> HttpResponse:
    row = sheet_or_404(request, sheet_id)
    return issued_view(request, row) if is_issued(row) else draft_view(request, row)


def draft_view(
    request: CrewRequest,
    row: Sheet,
    *,
    status: int = 200,
    source: SourceForm | None = None,
    issue: IssueForm | None = None,
) -> HttpResponse:
    if is_auditor(request):
        raise PermissionDenied
    context = {
        "sheet": row,
        "stem": row.stem,
        "job": row.stem.job,
        "page": draft_page(check_sheet(row)),
        "may_plan": may_plan(request),
        "source_form": source,
        "issue_form": issue or IssueForm(sheet=row),
    }
    return render(request, "jobs/sheet_draft.html", context, status=status)


def issued_view(request: CrewRequest, row: Sheet, form: WithdrawForm | None = None) -> HttpResponse:
    issue = IssuedSheet.objects.select_related("record", "issued_by__details").get(pk=row.issue.pk)
    siblings = list(with_state(row.stem.sheets.all()))
    page = issued_page(row, issue, siblings, request.member.person)
    context = {
        "sheet": row,
        "stem": row.stem,
        "job": row.stem.job,
        "page": page,
        "may_revise": may_plan(request) and not is_felled(row.stem, siblings),
        "may_open_jobs": not is_auditor(request),
        "form": form or WithdrawForm(),
        "can_withdraw": may_plan(request) and not page.withdrawals,
    }
    return render(request, "jobs/sheet_issued.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
@role_required(*PLANNERS)
def sheet_day(request: CrewRequest, sheet_id: int) -> HttpResponse:
    row = sheet_or_404(request, sheet_id)
    form = SheetForm(post_or_none(request), job=row.stem.job, sheet=row)
    if request.method == "POST" and form.is_valid():
        try:
            set_window(actor=request.member, sheet=row, opened=form.opened, **form.cleaned_data)
        except (RuleBroken, ValidationError) as error:
            add_service_error(form, error)
        else:
            return redirect("sheet", row.pk)
    context = {
        "form": form,
        "job": row.stem.job,
        "title": f"Day of sheet {row.number}",
        "line": "Gear on it is booked for that time.",
        "action": "Keep the day",
        "leave": reverse("sheet", args=[row.pk]),
    }
    return render(request, "jobs/small_form.html", context, status=status_of(form))


@posts_only("sheet", does="Issue the sheet")
@role_required(*PLANNERS)
def sheet_issue(request: CrewRequest, sheet_id: int) -> HttpResponse:
    """Issue a sheet. It is issued once by its own constraint; whoever comes second is led to what was issued.

    No form key: its transaction would hold off every other writer on SQLite while the whole sheet is checked.
    """
    row = sheet_or_404(request, sheet_id)
    form = IssueForm(request.POST, sheet=row)
    if not form.is_valid():
        return draft_view(request, row, status=422, issue=form)
    try:
        looked_at = form.cleaned_data["looked_at"]
        issue_sheet(actor=request.member, sheet=row, looked_at=looked_at, opened=form.opened)
    except SheetRefused:
        return draft_view(request, row, status=422)
    except StaleEdit as error:
        return answers_moved_on(request, row, error)
    except NotLookedAt as error:
        add_service_error(form, error)
        return draft_view(request, row, status=422, issue=form)
    except SheetFixed as fixed:
        messages.info(request, fixed.message)
    except RuleBroken as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"Sheet {row.number}, revision {row.revision} is issued.")
    return redirect("sheet", row.pk)


def answers_moved_on(request: CrewRequest, row: Sheet, error: StaleEdit) -> HttpResponse:
    """The draft with the answers for an emergency as they stand now, none of them ticked."""
    fresh = sheet_or_404(request, row.pk)
    form = IssueForm(sheet=fresh)
    form.tell_moved_on(error, "It is not issued. The answers below are as they stand now: look at each again.")
    return draft_view(request, fresh, status=409, issue=form)


@require_GET
@role_required(*EVERYONE)
def sheet_pdf(request: CrewRequest, sheet_id: int) -> HttpResponse:
    row = sheet_or_404(request, sheet_id)
    issue = get_object_or_404(IssuedSheet.objects.select_related("record"), sheet=row)
    paper = issue.paper()
    if paper is None:
        return paper_gone(request, row, issue)
    found = standing(row, list(with_state(row.stem.sheets.all())), request.member.company.today())
    if found.is_in_force:
        return pdf_response(paper, file_name(row))
    return pdf_response(mark_pdf(paper, word=found.word, why=found.why), file_name(row, found.key))


@require_GET
@role_required(*EVERYONE)
def sheet_pdf_original(request: CrewRequest, sheet_id: int) -> HttpResponse:
    """The PDF byte for byte as it was handed out, whatever became of the sheet since."""
    row = sheet_or_404(request, sheet_id)
    issue = get_object_or_404(IssuedSheet.objects.select_related("record"), sheet=row)
    paper = issue.paper()
    return paper_gone(request, row, issue) if paper is None else pdf_response(paper, file_name(row))


def paper_gone(request: CrewRequest, row: Sheet, issue: IssuedSheet) -> HttpResponse:
    return render(request, "jobs/paper_gone.html", {"sheet": row, "kept": kept_document(issue)}, status=410)


def pdf_response(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    return response


def file_name(row: Sheet, mark: str = "") -> str:
    """A name without anything a header or a file system could take amiss; of a marked copy it ends in the mark."""
    safe = "".join(c if c.isascii() and (c.isalnum() or c in "-_") else "-" for c in row.number)
    return f"sheet-{safe}-r{row.revision}{f'-{mark}' if mark else ''}.pdf"


@posts_only("sheet", does="Keep the source")
@role_required(*PLANNERS)
@once
def sheet_source(request: CrewRequest, sheet_id: int) -> HttpResponse:
    """Say where a figure that was changed after a refusal now comes from."""
    row = sheet_or_404(request, sheet_id)
    form = SourceForm(request.POST)
    if form.is_valid():
        try:
            note_source(actor=request.member, sheet=row, is_first=True, **form.cleaned_data)
        except SourceGiven as given:
            messages.error(request, given.message)
            return draft_view(request, row, status=409)
        except RuleBroken as error:
            add_service_error(form, error)
        else:
            return redirect(f"{reverse('sheet', args=[row.pk])}#changes")
    return draft_view(request, row, status=422, source=form) if not is_issued(row) else redirect("sheet", row.pk)


@posts_only("sheet", does="Withdraw it")
@role_required(*PLANNERS)
@once
def sheet_withdraw(request: CrewRequest, sheet_id: int) -> HttpResponse:
    row = sheet_or_404(request, sheet_id)
    form = WithdrawForm(request.POST)
    if not form.is_valid() and is_issued(row):
        return issued_view(request, row, form)
    try:
        withdraw_sheet(actor=request.member, sheet=row, reason=form.cleaned_data.get("reason", ""))
    except RuleBroken as error:
        messages.error(request, error.message)
    else:
        messages.success(request, "The sheet is withdrawn. Its gear is free again.")
    return redirect("sheet", row.pk)


@posts_only(lambda request, **_: reverse("today"), does="I have seen it")
@role_required(*COMPANY_PEOPLE)
@once
def withdrawal_seen(request: CrewRequest, withdrawal_id: int) -> HttpResponse:
    rows = SheetWithdrawal.objects.select_related("sheet__stem__job__company")
    row = get_object_or_404(rows, pk=withdrawal_id, sheet__stem__job__company=request.member.company)
    acknowledge_withdrawal(actor=request.member, withdrawal=row)
    return redirect("today")
