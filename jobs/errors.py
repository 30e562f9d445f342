"""Typed errors of the jobs services."""

from collections.abc import Iterable

from crewlog.errors import RuleBroken
from jobs.wording.finding import Finding


class SheetRefused(RuleBroken):
    """A sheet was not issued. There is no way round: each finding says what would cure it."""

    code = "sheet-refused"

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        count = len(self.findings)
        super().__init__(f"Refused for {count} reason{'' if count == 1 else 's'}.")


class SourceGiven(RuleBroken):
    """Somebody else said meanwhile where a changed figure comes from."""

    code = "source-given"


class SheetFixed(RuleBroken):
    """An issued sheet is never changed: a new revision is."""

    code = "sheet-fixed"


class NotForThisPosition(RuleBroken):
    """An item, anchor or reason that the position cannot hold at all."""

    code = "not-for-this-position"
