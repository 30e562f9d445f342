"""Why a copy is not made."""

from crewlog.errors import RuleBroken


class CopyRefused(RuleBroken):
    """The copy would not be whole, would be older than it may be, or would stand in the place of another."""

    code = "copy-refused"


class CopyInputError(Exception):
    """A folder, file or address that was given cannot be used; the message says why in one line."""
