"""Bringing a list in: the file, what its columns are, the preview with every fault, and the confirmation."""

import uuid
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from crewlog.models import Role
from crewlog.once import once
from crewlog.web.access import role_required
from crewlog.web.http import CrewRequest
from gear.lists.checking import Report
from gear.lists.forms import ColumnsForm, ConfirmListForm, ListFileForm
from gear.lists.limits import KEPT_HOURS
from gear.lists.preview import column_rows, first_cells, sample_rows
from gear.lists.rows_in import ImportResult, ListRefused
from gear.lists.services import (
    check_upload,
    choose_columns,
    import_upload,
    keep_upload,
    open_questions,
    plan_for,
    read_file_as,
)
from gear.lists.source import open_source
from gear.models import ListUpload
from gear.web.view_parts import run_service

FAULTS_PER_PAGE = 100


def upload_or_404(request: CrewRequest, upload_id: uuid.UUID) -> ListUpload:
    """The member's own list that waits; nobody else's exists for them."""
    found: ListUpload = get_object_or_404(ListUpload.objects.waiting_for(request.member), pk=upload_id)
    return found


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
def list_new(request: CrewRequest) -> HttpResponse:
    form = ListFileForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        file = form.cleaned_data["file"]
        kept = run_service(form, lambda: keep_and_look(request, file.name or "", file.read()))
        if kept is not None:
            return redirect(kept)
    context = {"form": form, "waiting": ListUpload.objects.waiting_for(request.member).defer("data").first()}
    return render(request, "gear/list_new.html", context, status=422 if form.errors else 200)


def keep_and_look(request: CrewRequest, name: str, data: bytes) -> str:
    """Keep a file, and where to go on: straight to the preview when every column explains itself."""
    source = open_source(data)
    plan = plan_for(request.member.company, source, {})
    upload = keep_upload(actor=request.member, name=name, data=data)
    if open_questions(source, plan, {}) or plan.left_out or len(source.sheets) > 1:
        return upload.columns_url
    check_upload(actor=request.member, upload=upload)
    return upload.get_absolute_url()


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
def list_columns(request: CrewRequest, upload_id: uuid.UUID) -> HttpResponse:
    upload = upload_or_404(request, upload_id)
    source = open_source(bytes(upload.data))
    plan = plan_for(request.member.company, source, upload.choices)
    form = ColumnsForm(request.POST or None, source=source, plan=plan)
    if form.reads_otherwise() and form.reread_by(read_file_as, actor=request.member, upload=upload):
        messages.info(request, "The file was read again; check its columns.")
        return redirect(upload.columns_url)
    if form.is_valid():
        choose_columns(actor=request.member, upload=upload, choices=form.choices())
        check_upload(actor=request.member, upload=upload)
        return redirect(upload)
    context = {"form": form, "upload": upload, "rows": form.rows(first_cells(source, plan))}
    return render(request, "gear/list_columns.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
@role_required(Role.OWNER)
@once
def list_check(request: CrewRequest, upload_id: uuid.UUID) -> HttpResponse:
    upload = upload_or_404(request, upload_id)
    report = Report.of(upload.report) if upload.report else check_upload(actor=request.member, upload=upload)
    form = ConfirmListForm(request.POST or None, initial={"seal": upload.seal}, doubts=report.doubt_count)
    if form.is_valid():
        try:
            brought = import_upload(actor=request.member, upload=upload, **form.cleaned_data)
        except ListRefused as refused:
            report = refused.report
            form = ConfirmListForm({"seal": upload.seal}, doubts=report.doubt_count)
            form.add_error("other_things" if refused.code == "list-has-doubts" else None, refused.message)
        else:
            messages.success(request, words_of(brought))
            return redirect("store")
    return render(
        request, "gear/list_check.html", check_page(request, upload, report, form), status=422 if form.errors else 200
    )


def check_page(request: CrewRequest, upload: ListUpload, report: Report, form: ConfirmListForm) -> dict[str, Any]:
    """What the preview shows: counts, every fault, what each column is taken for, the first rows as understood."""
    company = request.member.company
    plan = plan_for(company, open_source(bytes(upload.data)), upload.choices)
    columns = column_rows(plan)
    return {
        "upload": upload,
        "report": report,
        "form": form,
        "page": Paginator(report.faults, FAULTS_PER_PAGE).get_page(request.GET.get("page")),
        "columns": columns,
        "columns_words": f"{len(columns) - len(plan.left_out)} read, {len(plan.left_out)} left out",
        "action": "" if report.fault_count or not report.new else f"Import {counted(report.new)}",
        "left_out": [f"{column.heading} ({column.letter})" for column in plan.left_out],
        "sample": sample_rows(report, company),
        "hours": KEPT_HOURS,
    }


def counted(items: int) -> str:
    return "1 item" if items == 1 else f"{items:,} items"


def words_of(brought: ImportResult) -> str:
    """What an import did, for the owner."""
    verb = "is" if brought.new == 1 else "are"
    said = f"{counted(brought.new)} {verb} registered; each needs an examination before its first use."
    if not brought.new:
        said = "Nothing was new."
    return f"{said} {brought.same:,} were already registered." if brought.same else said
