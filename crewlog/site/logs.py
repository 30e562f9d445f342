"""Log lines: one a request, one an event; time, request, person by opaque id; no names, no bodies, no secrets."""

from __future__ import annotations

import logging
import re
import secrets
import time
from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse

from crewlog.errors import RULES_BROKEN
from crewlog.site.log_lines import ASKED, Asked, event
from crewlog.site.masking import masked_path
from crewlog.site.probes import PROBES

Handler = Callable[[HttpRequest], HttpResponse]
SANE_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{7,63}")
REFUSED_STATUSES = (403, 404)


def request_log(get_response: Handler) -> Handler:
    """Names the request, answers with its name, and writes its line."""

    def middleware(request: HttpRequest) -> HttpResponse:
        given = request.headers.get("X-Request-ID", "")
        asked = Asked(given if SANE_ID.fullmatch(given) else secrets.token_hex(8))
        here, rules = ASKED.set(asked), RULES_BROKEN.set(asked.rules)
        begun = time.perf_counter()
        try:
            response = get_response(request)
            response["X-Request-ID"] = asked.request_id
            write_lines(request, response, asked, ms=round((time.perf_counter() - begun) * 1000))
            return response
        finally:
            ASKED.reset(here)
            RULES_BROKEN.reset(rules)

    return middleware


def write_lines(request: HttpRequest, response: HttpResponse, asked: Asked, *, ms: int) -> None:
    if request.path in PROBES and response.status_code == 200:
        return
    member = getattr(request, "member", None)
    asked.person = str(member.person_id) if member is not None else ""
    match = request.resolver_match
    path = masked_path(request.path, match.kwargs if match else None)
    said: dict[str, Any] = {"method": request.method, "path": path, "status": response.status_code}
    rules = list(dict.fromkeys(asked.rules))
    if response.status_code in REFUSED_STATUSES or rules:
        event("refused", level=logging.WARNING, **said, rules=",".join(rules))
    event("request", **said, ms=ms)
