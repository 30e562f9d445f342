"""Taking lists out: register and history as CSV, workbook or JSON, and the empty list to fill in."""

from collections.abc import Iterator

from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from crewlog.models import Role
from crewlog.web.access import role_required
from crewlog.web.http import CrewRequest
from gear.lists.forms import TakeOutForm
from gear.lists.history_out import history_table
from gear.lists.register_out import register_table, template_table
from gear.lists.table import CONTENT_TYPES, Table, csv_lines, json_lines, workbook_file
from gear.register.views import store_filter
from gear.web.view_parts import LIST_TAKERS


@require_GET
@role_required(*LIST_TAKERS)
def list_out(request: CrewRequest) -> HttpResponse:
    """What goes out, as what; the filters of the store's page come along in the address."""
    finder, narrow = store_filter(request)
    form = TakeOutForm(initial={"what": "register", "form": "csv"})
    kept = [(name, value) for name in ("q", "c", "p", "s", "due") if (value := request.GET.get(name, ""))]
    return render(request, "gear/list_out.html", {"form": form, "kept": kept, "narrow": narrow, "finder": finder})


@require_GET
@role_required(*LIST_TAKERS)
def list_file(request: CrewRequest) -> HttpResponseBase:
    """The file asked for. The address carries everything, so that it can be kept and fetched again."""
    form = TakeOutForm(request.GET)
    if not form.is_valid():
        raise Http404
    company = request.member.company
    today = company.today()
    _, narrow = store_filter(request)
    said = form.cleaned_data
    table = (
        register_table(company=company, on=today, narrow=narrow, as_shown=said["shown"])
        if said["what"] == "register"
        else history_table(company=company, on=today, narrow=narrow)
    )
    return sent(table, said["form"], f"{said['what']}-{today.isoformat()}")


@require_GET
@role_required(Role.OWNER)
def list_template(request: CrewRequest) -> HttpResponseBase:
    """The empty list, its headings in the company's units."""
    form = "xlsx" if request.GET.get("form") == "xlsx" else "csv"
    return sent(template_table(request.member.company), form, "gear-to-fill-in")


def sent(table: Table, form: str, name: str) -> HttpResponseBase:
    """A table as a download, a row at a time; a workbook is built on disk first."""
    if form == "xlsx":
        return FileResponse(
            workbook_file(table), as_attachment=True, filename=f"{name}.xlsx", content_type=CONTENT_TYPES[form]
        )
    lines = csv_lines(table) if form == "csv" else json_lines(table)
    response = StreamingHttpResponse(in_pieces(lines), content_type=CONTENT_TYPES[form])
    response["Content-Disposition"] = f'attachment; filename="{name}.{form}"'
    return response


def in_pieces(lines: Iterator[str], size: int = 64 * 1024) -> Iterator[bytes]:
    """Lines gathered to pieces worth sending."""
    gathered, length = [], 0
    for line in lines:
        gathered.append(line)
        length += len(line)
        if length >= size:
            yield "".join(gathered).encode()
            gathered, length = [], 0
    yield "".join(gathered).encode()
