"""What stands around every page: machine faults named, values no column holds refused, nothing left in caches."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.core.exceptions import BadRequest
from django.db import DataError
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.defaults import page_not_found

from crewlog.site.answers import READING, machine_fault_answer
from crewlog.site.database import held_file
from crewlog.site.faults import MachineError, fault_of

Handler = Callable[[HttpRequest], HttpResponse]
# The largest number a column of either database holds.
GREATEST_NUMBER = 2**63 - 1
NUL = "\x00"
CANNOT_BE_STORED = "A number or a character in it cannot be stored."
KEPT_NOWHERE = "private, no-store"
# Nothing here uses them: photographs come through a file box, which asks for no permission.
NOT_ALLOWED = (
    "accelerometer", "autoplay", "browsing-topics", "camera", "display-capture", "encrypted-media",
    "fullscreen", "geolocation", "gyroscope", "hid", "idle-detection", "local-fonts", "magnetometer", "microphone",
    "midi", "payment", "picture-in-picture", "screen-wake-lock", "serial", "usb", "xr-spatial-tracking",
)  # fmt: skip
PERMISSIONS = ", ".join(f"{name}=()" for name in NOT_ALLOWED)


class MachineFaults:
    """Answers 503 with the cause. On SQLite the file is looked at before each request, and again after each write."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        try:
            held_file.check()
            response = self.get_response(request)
            if request.method not in READING:
                held_file.check_log()
        except MachineError as error:
            return machine_fault_answer(request, error.fault)
        return response

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        fault = fault_of(error)
        return None if fault is None else machine_fault_answer(request, fault)


class StorableValues:
    """Numbers past 2^63 and NUL, which no column holds: nothing is at such an address, and no form takes them."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not (length.isascii() and length.isdigit()):
            return HttpResponse("The length of what was sent is no number.\n", status=400, content_type="text/plain")
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Mapping[str, Any]) -> None:
        if not all(map(is_storable, kwargs.values())):
            raise Http404
        for key, values in request.GET.lists():
            if NUL in key or any(NUL in value for value in values):
                raise Http404

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponseBase | None:
        """What slipped by a form: the database had no column for it, and nothing was written."""
        if not is_unstorable(error):
            return None
        if request.method in READING:
            return page_not_found(request, Http404())
        return render(request, "422.html", {"words": CANNOT_BE_STORED}, status=422)


def is_storable(value: Any) -> bool:
    if isinstance(value, int):
        return abs(value) <= GREATEST_NUMBER
    return not (isinstance(value, str) and NUL in value)


def is_unstorable(error: BaseException) -> bool:
    """Whether an error says that a value fits no column: too large a number, NUL, half a character."""
    if isinstance(error, DataError | UnicodeEncodeError | BadRequest):
        return True
    said = str(error)
    return (isinstance(error, OverflowError) and "SQLite INTEGER" in said) or (
        isinstance(error, ValueError) and ("NUL" in said or "null character" in said or "null byte" in said)
    )


def site_headers(get_response: Handler) -> Handler:
    """What is a company's is kept by no cache and shown by no Back button; no page may use the device's sensors."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Cache-Control", KEPT_NOWHERE)
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        return response

    return middleware
