"""A signed cookie that says on which accounts a device signed in before. It lets nobody in; it only counts apart."""

import secrets
from typing import Any

from django.conf import settings
from django.core import signing
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.utils.crypto import constant_time_compare, salted_hmac

from crewlog.models import User

COOKIE = "device"
SALT = "crewlog.signin.known-device"
AGE_S = 180 * 24 * 60 * 60
MOST = 12


def mark_of(email: str) -> str:
    """An account as the cookie names it."""
    return salted_hmac(SALT, email.strip().lower(), algorithm="sha256").hexdigest()[:20]


def proof_of(user: User) -> str:
    """What a changed password makes void."""
    return salted_hmac(f"{SALT}.proof", user.password, algorithm="sha256").hexdigest()[:20]


def read(request: HttpRequest) -> dict[str, Any]:
    """What the cookie says: the device's own name, and accounts with their proofs. Empty for none or a forged one."""
    try:
        said = signing.loads(request.COOKIES.get(COOKIE, ""), salt=SALT, max_age=AGE_S)
    except signing.BadSignature:
        return {}
    return said if isinstance(said, dict) else {}


def device_for(request: HttpRequest, email: str) -> str:
    """The device's name when it signed in to the account since its password was set; empty for a stranger."""
    said = read(request)
    proof = said.get("accounts", {}).get(mark_of(email))
    if not proof:
        return ""
    user = User.objects.filter(email=email.strip().lower()).first()
    if user is None or not constant_time_compare(proof, proof_of(user)):
        return ""
    return str(said.get("device", ""))


def remember(request: HttpRequest, response: HttpResponseBase, user: User) -> None:
    """Let the answer say that this device signed in to the account."""
    said = read(request)
    accounts = {**said.get("accounts", {})}
    accounts.pop(mark_of(user.email), None)
    accounts[mark_of(user.email)] = proof_of(user)
    value = signing.dumps(
        {"device": said.get("device") or secrets.token_urlsafe(12), "accounts": dict(list(accounts.items())[-MOST:])},
        salt=SALT,
        compress=True,
    )
    response.set_cookie(
        COOKIE,
        value,
        max_age=AGE_S,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
        path="/accounts/",
    )
