"""Giving a company's chain away: the export, and the program that checks it."""

from django.http import FileResponse, HttpResponseBase, StreamingHttpResponse
from django.views.decorators.http import require_GET

from crewlog.evidence.export import VERIFIER, chain_lines
from crewlog.models import Role
from crewlog.web.access import role_required
from crewlog.web.http import CrewRequest


@require_GET
@role_required(Role.OWNER, Role.AUDITOR)
def chain_export(request: CrewRequest) -> HttpResponseBase:
    """The chain as JSON lines, without names: people stand in it by id."""
    response = StreamingHttpResponse(chain_lines(request.member.company), content_type="application/jsonl")
    response["Content-Disposition"] = f'attachment; filename="records-{request.member.company.today()}.jsonl"'
    return response


@require_GET
@role_required(Role.OWNER, Role.AUDITOR)
def chain_verifier(request: CrewRequest) -> HttpResponseBase:
    return FileResponse(VERIFIER.open("rb"), as_attachment=True, filename=VERIFIER.name, content_type="text/x-python")
