"""The two ways a calculation stops: a refusal of the model, and a value that is nonsense."""

from collections.abc import Mapping


class MechanicsError(Exception):
    """Base of everything the mechanics raises on purpose."""


class Refused(MechanicsError):  # noqa: N818 - the name is the verdict
    """The model cannot or must not compute this case.

    `code` is one of the refusal codes; `message` says the figure and the limit in a short sentence, `facts` holds
    the same figures in SI for a page that shows them in the reader's units.
    """

    def __init__(self, code: str, message: str, facts: Mapping[str, float | str] | None = None) -> None:
        super().__init__(code, message)
        self.code = code
        self.message = message
        self.facts = dict(facts or {})

    def __str__(self) -> str:
        return f"{self.code}: {self.message}"


class OutOfRange(MechanicsError, ValueError):  # noqa: N818 - the name is the verdict
    """An input is nonsense: negative where only positive is possible, not finite, or not given at all.

    `low` and `high` are the bounds that would be accepted.
    """

    def __init__(self, name: str, value: object, low: object, high: object) -> None:
        super().__init__(name, value, low, high)
        self.name = name
        self.value = value
        self.low = low
        self.high = high

    def __str__(self) -> str:
        return f"{self.name} is {self.value}; it must lie between {self.low} and {self.high}"
