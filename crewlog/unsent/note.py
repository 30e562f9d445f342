"""A signed note of what was not done, which travels through the sign-in page and is told once on return."""

from urllib.parse import parse_qsl, urlencode, urlsplit, urlunsplit

from django.core import signing

PARAMETER = "not-done"
SALT = "crewlog.unsent.note"
LONGEST_S = 24 * 60 * 60


def with_note(address: str, deed: str) -> str:
    """The address with a note that `deed` (the words of a button, or nothing) was not done."""
    parts = urlsplit(without_note(address))
    query = [*parse_qsl(parts.query, keep_blank_values=True), (PARAMETER, signing.dumps(deed, salt=SALT))]
    return urlunsplit(("", "", parts.path, urlencode(query), ""))


def without_note(address: str) -> str:
    parts = urlsplit(address)
    query = [pair for pair in parse_qsl(parts.query, keep_blank_values=True) if pair[0] != PARAMETER]
    return urlunsplit(("", "", parts.path, urlencode(query), ""))


def read_note(text: str) -> str | None:
    """The sentence to tell; None for a note that is not ours or over a day old."""
    try:
        deed = signing.loads(text, salt=SALT, max_age=LONGEST_S)
    except signing.BadSignature:
        return None
    return f"“{deed}” was not done: the sign-in had ended." if deed else "Nothing was saved: the sign-in had ended."
