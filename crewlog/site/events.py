"""Sign-ins, failed sign-ins and sign-outs as lines of the log."""

from __future__ import annotations

import logging
from typing import Any

from django.contrib.auth.signals import user_logged_in, user_logged_out, user_login_failed

from crewlog.site.log_lines import event


def person_of(user: Any) -> str:
    """The opaque id of the person who signs in as this user."""
    from crewlog.models import Membership

    if user is None or user.pk is None:
        return ""
    found = Membership.objects.filter(user_id=user.pk).values_list("person_id", flat=True).first()
    return str(found or "")


def signed_in(sender: Any, user: Any = None, **_: Any) -> None:
    event("signed-in", who=person_of(user))


def signed_out(sender: Any, user: Any = None, **_: Any) -> None:
    event("signed-out", who=person_of(user))


def not_signed_in(sender: Any, **_: Any) -> None:
    """What was typed is left out: it may be a password in the wrong box."""
    event("sign-in-failed", level=logging.WARNING)


def connect() -> None:
    for signal, receiver in (
        (user_logged_in, signed_in),
        (user_logged_out, signed_out),
        (user_login_failed, not_signed_in),
    ):
        signal.connect(receiver, dispatch_uid=f"crewlog.site.{receiver.__name__}")
