"""Whether the process answers, and whether the site can be used. No sign-in, no session, no limit."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_safe

from crewlog.site.database import held_file, try_to_write
from crewlog.site.faults import DISK_FULL, NO_FILES, NOT_MIGRATED, MachineFault, fault_of
from crewlog.site.waiting import waiting_migrations

Handler = Callable[[HttpRequest], HttpResponse]
LEAST_FREE_BYTES = 20_000_000  # one upload of the largest kind


@login_not_required
@require_safe
def healthz(request: HttpRequest) -> HttpResponse:
    """The process answers. Asks nothing of the database."""
    return HttpResponse("ok\n", content_type="text/plain; charset=utf-8", headers={"Cache-Control": "no-store"})


@login_not_required
@require_safe
def readyz(request: HttpRequest) -> HttpResponse:
    """The site can be used: database writable and set up for this version, room on the disk. 503 with the cause."""
    fault = readiness_fault()
    said = {"ready": fault is None} | ({"code": fault.code, "cause": fault.words} if fault else {})
    response = JsonResponse(said, status=503 if fault else 200, headers={"Cache-Control": "no-store"})
    if fault is not None:
        response["Retry-After"] = str(fault.retry_after_s)
    return response


def readiness_fault() -> MachineFault | None:
    """What stands in the way of recording anything. A fault of the program is raised, not hidden."""
    try:
        held_file.check()
        if waiting_migrations():
            return NOT_MIGRATED
        try_to_write()
        free = shutil.disk_usage(settings.VAR_DIR).free
    except Exception as error:
        fault = fault_of(error)
        if fault is None:
            raise
        return fault
    if free < LEAST_FREE_BYTES:
        return DISK_FULL
    files = Path(settings.FILES_DIR)
    if not files.is_dir() and any_kept_file():
        return NO_FILES
    return None


def any_kept_file() -> bool:
    from crewlog.files.keeping import any_named

    return any_named()


PROBES = {"/healthz": healthz, "/readyz": readyz}


def probes(get_response: Handler) -> Handler:
    """Answers the two addresses before hosts, https, sessions and limits are looked at."""

    def middleware(request: HttpRequest) -> HttpResponse:
        probe = PROBES.get(request.path)
        return get_response(request) if probe is None else probe(request)

    return middleware
