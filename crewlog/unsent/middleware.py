"""Round every request: back to the page after a dead session, and word to the device of what was accepted."""

import re
from collections.abc import Callable
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, resolve_url

from crewlog.unsent.addresses import deed, is_posts_only
from crewlog.unsent.note import PARAMETER, read_note, with_note, without_note
from crewlog.unsent.outcome import recorded_at
from crewlog.web.http import SeenRequest

Handler = Callable[[HttpRequest], HttpResponse]
SAFE = ("GET", "HEAD", "OPTIONS")
TOKEN_BOX = "_draft"  # noqa: S105 - the name of a box
TAKEN = "drafts-taken"
TOKEN = re.compile(r"[0-9a-f]{16}", re.ASCII)
MOST_TOKENS = 8
DAY_S = 24 * 60 * 60


def dead_session(get_response: Handler) -> Handler:
    """After signing in again one is back on the page; what was sent meanwhile is named as not done.

    An htmx request reloads the whole page at the sign-in page instead of swapping it in.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if not asks_to_sign_in(response):
            return response
        is_part = request.headers.get("HX-Request") == "true"
        back = page_behind(request) if is_part else request.get_full_path()
        if request.method not in SAFE:
            back = with_note(back, deed(request.resolver_match))
        where = f"{resolve_url('account_login')}?{urlencode({'next': back})}"
        if not is_part:
            response["Location"] = where
            return response
        answer = HttpResponse(status=204)
        answer["HX-Redirect"] = where
        return answer

    return middleware


def asks_to_sign_in(response: HttpResponse) -> bool:
    """Whether the guard of pages sends the reader to sign in, and back afterwards."""
    if response.status_code != 302:
        return False
    where = urlsplit(response["Location"])
    return where.path == resolve_url("account_login") and "next" in parse_qs(where.query)


def page_behind(request: HttpRequest) -> str:
    """The page that an htmx request came from; its own address where the browser does not say."""
    page = urlsplit(request.headers.get("HX-Current-URL", ""))
    if page.netloc != request.get_host() or not page.path:
        return request.get_full_path()
    return without_note(f"{page.path}?{page.query}")


class NotDoneMiddleware:
    """Tells once, on the page one comes back to, what was not done while nobody was signed in."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: SeenRequest, view: Any, *_: Any) -> HttpResponseBase | None:
        if request.method != "GET" or PARAMETER not in request.GET or not request.user.is_authenticated:
            return None
        sentence = read_note(request.GET[PARAMETER])
        if sentence is None:
            return None
        messages.warning(request, sentence)
        if is_posts_only(view):
            request.is_told = True
            return None
        return redirect(without_note(request.get_full_path()))


def accepted_drafts(get_response: Handler) -> Handler:
    """Names to the device, in a cookie its script reads, the draft whose form the server has accepted.

    Accepted is what was recorded (see `outcome`); a refused form (422) keeps its draft.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if request.method != "POST" or asks_to_sign_in(response) or not recorded_at(request, response):
            return response
        token = request.POST.get(TOKEN_BOX, "")
        if TOKEN.fullmatch(token) and request.user.is_authenticated:
            known = TOKEN.findall(request.COOKIES.get(TAKEN, ""))
            response.set_cookie(
                TAKEN,
                ".".join([*known, token][-MOST_TOKENS:]),
                max_age=DAY_S,
                samesite="Lax",
                secure=settings.SESSION_COOKIE_SECURE,
                httponly=False,
            )
        return response

    return middleware
