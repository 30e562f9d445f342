"""How a fault of the machine is answered: 503 with the cause, as a page, to htmx, or as JSON. Needs no database."""

from __future__ import annotations

import logging
import sys

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template import loader
from django.views.defaults import server_error

from crewlog.site.faults import MachineFault, fault_of
from crewlog.site.log_lines import event
from crewlog.web.http import THEMES

READING = ("GET", "HEAD", "OPTIONS")


def machine_fault_answer(request: HttpRequest, fault: MachineFault) -> HttpResponse:
    """503 with the cause and what to do; says that nothing was recorded where something was sent."""
    event("machine-fault", level=logging.ERROR, code=fault.code, cause=fault.words)
    sent = request.method not in READING
    if asks_for_json(request):
        said = {"refused": said_in_full(fault, sent=sent), "code": fault.code}
        response: HttpResponse = JsonResponse(said, status=503)
    elif request.headers.get("HX-Request") == "true":
        response = HttpResponse(said_in_full(fault, sent=sent), status=503, content_type="text/plain; charset=utf-8")
    else:
        theme = request.COOKIES.get("theme", "")
        context = {"fault": fault, "sent": sent, "theme": theme if theme in THEMES and theme != "device" else ""}
        response = HttpResponse(loader.render_to_string("503.html", context), status=503)
    response["Retry-After"] = str(fault.retry_after_s)
    response["Cache-Control"] = "no-store"
    return response


def said_in_full(fault: MachineFault, *, sent: bool) -> str:
    kept = "This was not recorded. " if sent else ""
    return f"{fault.words} {kept}{fault.cure}"


def asks_for_json(request: HttpRequest) -> bool:
    """What a script sends as JSON, or asks for as JSON, is answered as JSON."""
    accepted = request.headers.get("Accept", "")
    return request.content_type == "application/json" or (
        "application/json" in accepted and "text/html" not in accepted
    )


def any_error(request: HttpRequest) -> HttpResponse:
    """handler500: what no view could answer. A fault of the machine is named; the rest is a fault of the program."""
    error = sys.exc_info()[1]
    fault = fault_of(error) if error is not None else None
    return server_error(request) if fault is None else machine_fault_answer(request, fault)
