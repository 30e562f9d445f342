"""Devices that are signed in: when each was seen last, ending them, and the idle limit on a shared one."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from allauth.usersessions.models import UserSession
from django.contrib.auth import logout, update_session_auth_hash
from django.db import transaction
from django.db.models import F
from django.http import HttpRequest, HttpResponse

from crewlog.errors import RuleBroken
from crewlog.models import User
from crewlog.signin.browsers import browser_words
from crewlog.signin.known_device import remember
from crewlog.web.http import SeenRequest

SHARED = "shared_device"
SEEN = "seen_at"
ENDED = "ended_by"
IDLE_MIN = 20
NOTED_EVERY_S = {True: 60, False: 300}  # on a shared device, on one's own


def is_shared(request: HttpRequest) -> bool:
    return bool(request.session.get(SHARED))


def share(request: HttpRequest) -> None:
    """Let this session end with the browser, and when it is left alone."""
    request.session[SHARED] = True
    request.session.set_expiry(0)


def idle_limit_s(request: HttpRequest) -> int:
    member = getattr(request, "member", None)
    return 60 * (member.company.shared_idle_min if member is not None else IDLE_MIN)


def note_sign_in(sender: Any, request: HttpRequest, **_: Any) -> None:
    """A session begins to be watched when it is signed in."""
    request.session[SEEN] = int(time.time())


class SessionWatch:
    """Ends a shared device's session that was left alone, and notes now and then that one is in use."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: SeenRequest) -> HttpResponse:
        if request.user.is_authenticated:
            self.watch(request)
        response = self.get_response(request)
        user = getattr(request, "signed_in_here", None)
        if user is not None:
            remember(request, response, user)
        return response

    def watch(self, request: SeenRequest) -> None:
        now, shared = int(time.time()), is_shared(request)
        seen = request.session.get(SEEN)
        if shared and seen is not None and now - seen > idle_limit_s(request):
            minutes = idle_limit_s(request) // 60
            logout(request)
            request.member = None
            request.session[ENDED] = minutes
        elif seen is None or now - seen >= NOTED_EVERY_S[shared]:
            request.session[SEEN] = now
            UserSession.objects.create_from_request(request)


@dataclass(frozen=True, slots=True)
class Device:
    """A signed-in device as its owner sees it."""

    id: int
    browser: str
    address: str
    signed_in_at: datetime
    seen_at: datetime
    is_this: bool


def devices_of(request: HttpRequest, user: User) -> list[Device]:
    """Devices that are signed in, this one first, then by when they were seen. What has ended is deleted."""
    rows = UserSession.objects.purge_and_list(user)
    key = request.session.session_key
    found = [
        Device(row.pk, browser_words(row.user_agent), row.ip, row.created_at, row.last_seen_at, row.session_key == key)
        for row in rows
    ]
    return sorted(found, key=lambda each: (not each.is_this, -each.seen_at.timestamp()))


def end_device(*, user: User, device_id: int) -> None:
    """Sign one device out. Raises RuleBroken for one that is not theirs or is signed out already."""
    row = UserSession.objects.filter(user=user, pk=device_id).first()
    if row is None:
        raise RuleBroken("That device is already signed out.", code="no-such-device")
    row.end()


@transaction.atomic
def end_others(*, request: HttpRequest, user: User) -> None:
    """Sign out every device but this one, also those that no list names."""
    User.objects.filter(pk=user.pk).update(session_epoch=F("session_epoch") + 1)
    user.refresh_from_db(fields=["session_epoch"])
    UserSession.objects.filter(user=user).delete()
    update_session_auth_hash(request, user)
    UserSession.objects.create_from_request(request)


def purge_ended() -> int:
    """Delete what is known of devices whose session has ended. Returns how many."""
    count = 0
    for row in UserSession.objects.iterator(chunk_size=500):
        count += row.purge()
    return count
