"""How a member is reminded: their calendar's address, the digest, and the calendar itself."""

import datetime as dt
from urllib.parse import urljoin

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from crewlog.errors import RuleBroken
from crewlog.mail.outbox import is_set_up
from crewlog.models import CalendarFeed, DigestWish, MailStop, Role
from crewlog.people.reminders import (
    DIGEST_ROLES,
    make_calendar,
    member_of_calendar,
    revoke_calendar,
    stop_mail,
    wish_digest,
)
from crewlog.web.access import EVERYONE, PLANNERS, role_required
from crewlog.web.http import CrewRequest
from gear.reminders.days import reminders as reminders_until
from gear.reminders.ical import calendar_of

AHEAD = dt.timedelta(days=400)


@require_http_methods(["GET", "POST"])
@role_required(*EVERYONE)
def reminders(request: CrewRequest) -> HttpResponse:
    member, wanted = request.member, request.POST.get("do", "")
    token = ""
    if wanted == "make":
        token = make_calendar(actor=member)
    elif wanted == "revoke":
        revoke_calendar(actor=member)
        messages.success(request, "The calendar's address no longer works.")
    elif wanted in ("digest", "no-digest"):
        try:
            wish_digest(actor=member, wanted=wanted == "digest")
        except RuleBroken as fault:
            messages.error(request, fault.message)
    elif wanted in ("withdrawals", "no-withdrawals"):
        stop_mail(actor=member, kind=MailStop.WITHDRAWAL, stopped=wanted == "no-withdrawals")
    if request.method == "POST" and not token:
        return redirect("reminders")
    context = {
        "feed": CalendarFeed.objects.filter(membership=member).first(),
        "address": urljoin(settings.SITE_ADDRESS, reverse("calendar_feed", args=[token])) if token else "",
        "may_digest": member.role in DIGEST_ROLES,
        "wants_digest": DigestWish.objects.filter(membership=member).exists(),
        "may_withdrawals": member.role in PLANNERS,
        "may_manage": member.role == Role.OWNER,
        "wants_withdrawals": not MailStop.objects.filter(membership=member, kind=MailStop.WITHDRAWAL).exists(),
        "mails": is_set_up(),
    }
    response = render(request, "gear/reminders.html", context)
    response["Cache-Control"] = "private, no-store"
    # Other sites are told nothing; "no-referrer" would have the browser post this page's own forms with Origin: null,
    # which the check against forged requests refuses.
    response["Referrer-Policy"] = "same-origin"
    return response


@login_not_required
@require_GET
def calendar_feed(request: HttpRequest, token: str) -> HttpResponse:
    """A member's calendar by its address alone; one that was revoked, or whose member left, is not there."""
    member = member_of_calendar(token)
    if member is None:
        raise Http404
    rows = reminders_until(member.company, until=member.company.today() + AHEAD)
    content = calendar_of(member.company, rows, now=timezone.now())
    response = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'inline; filename="gear.ics"'
    response["Cache-Control"] = "private, no-store"
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response
