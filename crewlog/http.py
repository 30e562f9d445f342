"""The request as our pages see it, and answering with a page or a part of one."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers
from django_htmx.middleware import HtmxDetails

from crewlog.models import Membership

THEMES = ("device", "light", "dark", "sun")


class CrewRequest(HttpRequest):
    """A request from a signed-in member; the views behind role_required get one."""

    member: Membership
    theme: str
    htmx: HtmxDetails


def render_page_or_part(
    request: CrewRequest, page: str, part: str, context: dict[str, Any], *, status: int = 200
) -> HttpResponse:
    """The whole page, or only the part an htmx request swaps in. History restores get the page."""
    wants_part = bool(request.htmx) and not request.htmx.history_restore_request and not request.htmx.boosted
    response = render(request, part if wants_part else page, context, status=status)
    patch_vary_headers(response, ["HX-Request"])
    return response
