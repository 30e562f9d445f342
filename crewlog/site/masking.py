"""Taking secrets and people out of what goes into a log."""

from __future__ import annotations

import re

from django.conf import settings

HIDDEN = "***"
# Arguments of an address that open something to whoever has them.
SECRET_ARGUMENTS = ("token", "key", "uidb36", "uidb64")
HIDDEN_NAMES = r"(?:csrfmiddlewaretoken|csrftoken|sessionid|password\w*|passwd|secret\w*|token|code|key|authorization)"
RULES = (
    (re.compile(r"(/calendar/)[^/\s\"'?]+"), rf"\1{HIDDEN}"),
    (re.compile(r"(/(?:reset/key|confirm-email|invitation|invite|link)/)[^/\s\"'?]+"), rf"\1{HIDDEN}"),
    (re.compile(r"(://)[^/\s@\"']+@"), rf"\1{HIDDEN}@"),
    (re.compile(rf"\b({HIDDEN_NAMES}=)[^&\s;,\"')]+", re.IGNORECASE), rf"\1{HIDDEN}"),
    (re.compile(rf"(['\"]{HIDDEN_NAMES}['\"]\s*:\s*\[?)(['\"]).*?\2", re.IGNORECASE), rf"\1'{HIDDEN}'"),
    (re.compile(r"^(\s*(?:Set-)?Cookie:).*$", re.IGNORECASE | re.MULTILINE), rf"\1 {HIDDEN}"),
    (re.compile(r"^(\s*DETAIL:).*$", re.MULTILINE), rf"\1 {HIDDEN}"),  # PostgreSQL repeats the row's values there
    (re.compile(r"[\w.+-]+@[\w-]+(?:\.[\w-]+)+"), f"{HIDDEN}@{HIDDEN}"),
)


def masked(text: str) -> str:
    """The text without tokens, links that open something, passwords, addresses of people, and the site's key."""
    for pattern, instead in RULES:
        text = pattern.sub(instead, text)
    return text.replace(settings.SECRET_KEY, HIDDEN) if settings.SECRET_KEY else text


def masked_path(path: str, arguments: dict[str, object] | None) -> str:
    """An address without what in it opens something; never with its query."""
    for name in SECRET_ARGUMENTS:
        value = str((arguments or {}).get(name, ""))
        if value:
            path = path.replace(value, HIDDEN)
    return masked(path)
