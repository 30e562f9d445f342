"""Photographs and documents of an item: adding, listing and handing them out."""

from pathlib import Path
from typing import Any
from uuid import UUID

from csp.constants import NONE, SELF
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe
from PIL import UnidentifiedImageError

from crewlog.files.keeping import path_of, thumbnail_path
from crewlog.once import once
from crewlog.web.access import COMPANY_PEOPLE, EVERYONE, role_required
from crewlog.web.http import CrewRequest
from gear.files.forms import FileForm
from gear.files.pages import file_row, files_of
from gear.files.services import store_file
from gear.models import GearItem, PendingUpload, StoredFile
from gear.web.file_boxes import hold_files
from gear.web.view_parts import REPORTERS, item_or_404, run_service

FILES_PER_PAGE = 24
# A file stands alone: nothing in it runs, loads or frames anything.
ALONE = {"default-src": [NONE], "img-src": [SELF], "script-src": None, "style-src": None, "sandbox": [""]}


@require_http_methods(["GET", "POST"])
@role_required(*EVERYONE)
def item_files(request: CrewRequest, tag: str) -> HttpResponse:
    item = item_or_404(request, tag)
    may_add = request.member.role in REPORTERS
    if request.method == "POST" and not may_add:
        raise PermissionDenied
    form = FileForm(request.POST or None, request.FILES or None, member=request.member)
    form.is_valid()  # reads the photographs, before the transaction begins
    return filed(request, item, form, may_add=may_add)


@once
def filed(request: CrewRequest, item: GearItem, form: FileForm, *, may_add: bool) -> HttpResponse:
    """Keep a file that was read, or show the item's files."""
    if run_service(form, lambda: store_file(actor=request.member, item=item, **form.facts())) is not None:
        messages.success(request, f"On record for {item.tag}.")
        return redirect("item_files", item.tag)
    hold_files(form, request.member)
    page = Paginator(files_of(item), FILES_PER_PAGE).get_page(request.GET.get("page"))
    rows = [file_row(item, file) for file in page.object_list]
    context = {"item": item, "form": form, "page": page, "rows": rows, "may_add": may_add}
    return render(request, "gear/files.html", context, status=422 if form.errors else 200)


@require_safe
@role_required(*EVERYONE)
def item_file(request: CrewRequest, tag: str, file_id: int) -> Any:
    """The file itself: a photograph is shown, a document is only ever saved."""
    file = file_or_404(request, tag, file_id)
    path = path_of(file.sha256)
    try:
        return handed_out(path, file.content_type, name=file_name(file), inline=file.is_photograph)
    except FileNotFoundError:
        return render(request, "gear/file_missing.html", {"item": file.item, "row": file}, status=404)


@require_safe
@role_required(*EVERYONE)
def item_file_thumb(request: CrewRequest, tag: str, file_id: int) -> Any:
    file = file_or_404(request, tag, file_id)
    if not file.is_photograph:
        raise Http404
    return small_picture(file.sha256, file_name(file))


@require_safe
@role_required(*COMPANY_PEOPLE)
def held_upload(request: CrewRequest, key: UUID) -> Any:
    """The small picture of the member's own upload that waits."""
    held = get_object_or_404(PendingUpload.objects.of(request.member), pk=key, kind="photograph")
    return small_picture(held.sha256, "photograph.jpg")


def file_or_404(request: CrewRequest, tag: str, file_id: int) -> StoredFile:
    item = item_or_404(request, tag)
    return get_object_or_404(StoredFile, item=item, pk=file_id)


def small_picture(sha256: str, name: str) -> FileResponse:
    try:
        path = thumbnail_path(sha256)
    except (FileNotFoundError, UnidentifiedImageError) as fault:
        raise Http404 from fault
    return handed_out(path, "image/jpeg", name=name, inline=True)


def handed_out(path: Path, content_type: str, *, name: str, inline: bool) -> FileResponse:
    """The bytes with headers that let a browser show or save them, never read them as anything else."""
    response = FileResponse(path.open("rb"), content_type=content_type, as_attachment=not inline, filename=name)
    vars(response)["_csp_replace"] = ALONE  # read by django-csp's middleware
    response["X-Content-Type-Options"] = "nosniff"
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    response["Cache-Control"] = "private, no-store"  # nothing of a company stays on a tablet after signing out
    return response


def file_name(file: StoredFile) -> str:
    """The name it is saved under: the item's tag and the record, the ending of what it is."""
    ending = "jpg" if file.is_photograph else "pdf"
    return f"{file.item.tag}-{file.record_id}.{ending}"
