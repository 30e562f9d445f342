"""Taking out of a text what would let somebody in: links, and the mail server's password."""

import re

from django.conf import settings

LINK = re.compile(r"(https?://[^\s/]+)/\S*")
LONGEST = 300


def without_links(text: str) -> str:
    """The text with every link cut after its host."""
    return LINK.sub(r"\1/…", text)


def cause(error: BaseException) -> str:
    """An error in one line that may be shown and kept: no links, no password."""
    said = " ".join(str(error).split()) or type(error).__name__
    if settings.EMAIL_HOST_PASSWORD:
        said = said.replace(settings.EMAIL_HOST_PASSWORD, "…")
    return without_links(said)[:LONGEST]
