"""The request as our pages see it, and answering with a page or a part of one."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers
from django_htmx.middleware import HtmxDetails

from crewlog.models import Membership, User

LONGEST_ID = 18  # digits: every such number fits the column of a key
THEMES = ("device", "light", "dark", "sun")


class SeenRequest(HttpRequest):
    """A request on its way through our middleware, whoever asks; each says what it found out."""

    member: Membership | None
    theme: str
    is_told: bool  # that a post did not get through: see crewlog/unsent
    signed_in_here: User  # by this very request


class SignedInRequest(HttpRequest):
    """A request of somebody signed in, a member or not."""

    user: User


class CrewRequest(HttpRequest):
    """A request from a signed-in member; the views behind role_required get one."""

    member: Membership
    theme: str
    htmx: HtmxDetails
    recorded_at: str  # set by a view that records and answers with a page of its own: where that is shown


def whole_id(text: str) -> int:
    """The id that an address or a box names; 0, which no row has, for anything that is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= LONGEST_ID else 0


def render_page_or_part(
    request: CrewRequest, page: str, part: str, context: dict[str, Any], *, status: int = 200
) -> HttpResponse:
    """The whole page, or only the part an htmx request swaps in. History restores get the page."""
    wants_part = bool(request.htmx) and not request.htmx.history_restore_request and not request.htmx.boosted
    response = render(request, part if wants_part else page, context, status=status)
    patch_vary_headers(response, ["HX-Request"])
    return response
