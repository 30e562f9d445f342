"""Reports of thorough examination: the list, making one, its page and its paper; blank checklists."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_safe

from crewlog.evidence.documents import document_bytes
from crewlog.models import IssuedDocument, Role
from crewlog.once import once
from crewlog.web.access import EVERYONE, RECORD_READERS, get_for_company_or_404, role_required
from crewlog.web.http import CrewRequest, whole_id
from gear.catalogue.classes import BY_CODE
from gear.models import ExaminationReport, Inspection
from gear.reports.blank import blank_of_class, blank_of_item
from gear.reports.choice import REPORTED_KINDS
from gear.reports.forms import ReportForm
from gear.reports.services import MOST_ITEMS, examiner_of, issue_report
from gear.web.view_parts import EXAMINERS, item_or_404, run_service

PER_PAGE = 40


@require_GET
@role_required(*RECORD_READERS)
def reports(request: CrewRequest) -> HttpResponse:
    rows = ExaminationReport.objects.filter(company=request.member.company).select_related("signed_by__details")
    tag = request.GET.get("tag", "").strip()
    if tag:
        rows = rows.filter(reported__inspection__item__tag__iexact=tag).distinct()
    page = Paginator(rows.prefetch_related("reported__inspection__item"), PER_PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "tag": tag, "may_issue": request.member.role in EXAMINERS}
    return render(request, "gear/reports.html", context)


def reportable(request: CrewRequest) -> QuerySet[Inspection]:
    """Examinations of which a report can be made, the latest first; an inspector's own, the owner's all."""
    rows = (
        Inspection.objects.for_company(request.member.company)
        .standing()
        .filter(kind__in=REPORTED_KINDS)
        .exclude(verdict="not_examined")
        .select_related("item__company", "inspector__details", "record", "failure")
    )
    if request.member.role != Role.OWNER:
        rows = rows.filter(inspector=request.member.person)
    found: QuerySet[Inspection] = rows.order_by("-examined_on", "item__tag", "pk")
    return found


@require_http_methods(["GET", "POST"])
@role_required(*EXAMINERS)
@once
def report_new(request: CrewRequest) -> HttpResponse:
    """First the choice of examinations, by their numbers in the address; then what the schedule asks of each."""
    asked = [whole_id(key) for key in request.GET.getlist("e")[:MOST_ITEMS] if whole_id(key)]
    if not asked:
        return choose_examinations(request)
    found = list(reportable(request).filter(pk__in=asked).order_by("item__tag", "pk"))
    if not found:
        raise Http404
    form = ReportForm(request.POST or None, company=request.member.company, inspections=found)
    report = run_service(form, lambda: issue_report(
        actor=request.member, inspections=found, said=form.said(), premises=form.cleaned_data["premises"]
    ))  # fmt: skip
    if report is not None:
        messages.success(request, f"Report {report.number} is issued.")
        return redirect("report", report.pk)
    author = found[0].inspector
    missing = [p for p in {author, request.member.person} if examiner_of(p) is None]
    may_manage = request.member.role == Role.OWNER
    context = {
        "form": form,
        "author": author,
        "missing": [(p, may_manage or p == request.member.person) for p in missing],
        "company": request.member.company,
        "may_manage": may_manage,
    }
    return render(request, "gear/report_new.html", context, status=422 if form.errors else 200)


def choose_examinations(request: CrewRequest) -> HttpResponse:
    rows = reportable(request)
    if request.GET.get("all") != "1":
        rows = rows.filter(reported__isnull=True)
    page = Paginator(rows, PER_PAGE).get_page(request.GET.get("page"))
    return render(request, "gear/report_choose.html", {"page": page, "shows_all": request.GET.get("all") == "1"})


@require_GET
@role_required(*RECORD_READERS)
def report(request: CrewRequest, report_id: int) -> HttpResponse:
    row = report_or_404(request, report_id)
    lines = row.reported.select_related("inspection__item", "inspection__record").prefetch_related(
        "inspection__record__corrections"
    )
    listed = [(line.inspection, bool(line.inspection.record.corrections.all())) for line in lines]
    context = {
        "report": row,
        "rows": listed,
        "corrected": [inspection for inspection, is_corrected in listed if is_corrected],
        "kept": IssuedDocument.objects.filter(of=row.record_id).first(),
        "has_bytes": document_bytes(row.record) is not None,
    }
    return render(request, "gear/report.html", context)


@require_safe
@role_required(*RECORD_READERS)
def report_pdf(request: CrewRequest, report_id: int) -> HttpResponse:
    row = report_or_404(request, report_id)
    content = document_bytes(row.record)
    if content is None:
        raise Http404
    return pdf_response(content, f"report-{row.number}.pdf")


def report_or_404(request: CrewRequest, report_id: int) -> ExaminationReport:
    rows = ExaminationReport.objects.select_related("record", "signed_by__details", "authenticated_by__details")
    row: ExaminationReport = get_for_company_or_404(rows, request, pk=report_id)
    return row


@require_safe
@role_required(*EVERYONE)
def class_checklist(request: CrewRequest, code: str) -> HttpResponse:
    """A blank checklist of a class, to be filled in on paper."""
    if code not in BY_CODE:
        raise Http404
    return pdf_response(blank_of_class(BY_CODE[code], request.member.company), f"checklist-{code}.pdf")


@require_safe
@role_required(*EVERYONE)
def item_checklist(request: CrewRequest, tag: str) -> HttpResponse:
    """A blank checklist with the item's own particulars and limits on it."""
    item = item_or_404(request, tag)
    return pdf_response(blank_of_item(item), f"checklist-{item.tag}.pdf")


def pdf_response(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    return response
