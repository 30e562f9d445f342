"""What signing in and setting a password mean for the device it was done on."""

from typing import Any

from allauth.account.signals import password_changed, password_reset, password_set
from allauth.account.signals import user_logged_in as signed_in
from allauth.usersessions.models import UserSession
from django.contrib.auth.signals import user_logged_in, user_logged_out
from django.http import HttpRequest

from crewlog.models import User
from crewlog.signin.sessions import is_shared, note_sign_in
from crewlog.web.http import SeenRequest


def know_device(sender: Any, request: SeenRequest, user: User, **_: Any) -> None:
    """The answer to this request marks the device as one of the user's own, unless it is a shared one."""
    if not (is_shared(request) or request.POST.get("shared")):
        request.signed_in_here = user


def forget_device(sender: Any, request: HttpRequest, **_: Any) -> None:
    """Browser and address go as soon as somebody signs out."""
    UserSession.objects.filter(session_key=request.session.session_key).delete()


def connect() -> None:
    user_logged_out.connect(forget_device, dispatch_uid="crewlog.signin.forget")
    user_logged_in.connect(note_sign_in, dispatch_uid="crewlog.signin.note")
    for signal in (signed_in, password_changed, password_set, password_reset):
        signal.connect(know_device, dispatch_uid="crewlog.signin.know")
