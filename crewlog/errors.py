"""Typed errors of the services."""


class RuleBroken(Exception):  # noqa: N818 - the name says what happened, not what Python calls it
    """A rule of the trade or of the records was broken; `code` is stable, the message says what would cure it."""

    code = "rule-broken"

    def __init__(self, message: str, *, code: str | None = None, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.code = code or self.code
        self.field = field


class ChainBroken(RuleBroken):
    """The chain of records does not recompute."""

    code = "chain-broken"
