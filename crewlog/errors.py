"""Typed errors of the services."""

from contextvars import ContextVar

# Codes of the rules that were broken while a request is answered, for its line in the log.
RULES_BROKEN: ContextVar[list[str] | None] = ContextVar("crewlog_rules_broken", default=None)


class RuleBroken(Exception):  # noqa: N818 - the name says what happened, not what Python calls it
    """A rule of the trade or of the records was broken; `code` is stable, the message says what would cure it."""

    code = "rule-broken"

    def __init__(self, message: str, *, code: str | None = None, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.code = code or self.code
        self.field = field
        noted = RULES_BROKEN.get()
        if noted is not None:
            noted.append(self.code)
