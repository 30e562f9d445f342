"""Addresses that programs ask for by convention: the icon, robots.txt, security.txt."""

from __future__ import annotations

import datetime as dt

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.templatetags.static import static
from django.utils import timezone
from django.views.decorators.http import require_safe

A_DAY = "public, max-age=86400"
SECURITY_TEXT_LASTS = dt.timedelta(days=180)


@login_not_required
@require_safe
def favicon(request: HttpRequest) -> HttpResponse:
    response = redirect(static("crewlog/mark.svg"))
    response["Cache-Control"] = A_DAY
    return response


@login_not_required
@require_safe
def robots(request: HttpRequest) -> HttpResponse:
    """Nothing here is for search engines."""
    return as_text("User-agent: *\nDisallow: /\n")


@login_not_required
@require_safe
def security_text(request: HttpRequest) -> HttpResponse:
    """Where to report a weakness (RFC 9116); 404 where no contact is set."""
    contact = str(settings.SECURITY_CONTACT)
    if not contact:
        raise Http404
    first = timezone.now().replace(hour=0, minute=0, second=0, microsecond=0)
    expires = (first + SECURITY_TEXT_LASTS).strftime("%Y-%m-%dT%H:%M:%SZ")
    address = f"{str(settings.SITE_ADDRESS).rstrip('/')}/.well-known/security.txt"
    where = contact if ":" in contact else f"mailto:{contact}"
    return as_text(f"Contact: {where}\nExpires: {expires}\nPreferred-Languages: en\nCanonical: {address}\n")


def as_text(words: str) -> HttpResponse:
    return HttpResponse(words, content_type="text/plain; charset=utf-8", headers={"Cache-Control": A_DAY})
