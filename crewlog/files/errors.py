"""Why a file is not taken."""

from crewlog.errors import RuleBroken


class FileRefused(RuleBroken):
    """The file is not what it should be, too large, or could do harm."""
