"""Checks of single values for `__post_init__`, and comparisons with a limit."""

from math import isfinite
from typing import TypeVar

from jobs.mechanics.errors import OutOfRange

T = TypeVar("T")

# A value equal to a limit passes; this much is allowed for rounding in the last digits.
COMPARISON_SLACK = 1e-9

# No length, force or strength of this trade comes near these in SI units; beyond them sums and powers lose all meaning.
LARGEST = 1e12
SMALLEST = 1e-12


def require_between(name: str, value: float | None, low: float, high: float) -> None:
    """Raise OutOfRange unless value is None, or finite with low <= value <= high."""
    if value is not None and not (isfinite(value) and low <= value <= high):
        raise OutOfRange(name, value, low, high)


def require_finite(name: str, value: float | None) -> None:
    """Raise OutOfRange for NaN, infinities and values beyond any meaning."""
    require_between(name, value, -LARGEST, LARGEST)


def require_not_negative(name: str, value: float | None) -> None:
    """Raise OutOfRange for negative and non-finite values."""
    require_between(name, value, 0.0, LARGEST)


def require_positive(name: str, value: float | None, high: float = LARGEST) -> None:
    """Raise OutOfRange unless value is None, or above 0 and at most high; next to 0 counts as 0."""
    if value is not None and not (isfinite(value) and SMALLEST <= value <= high):
        raise OutOfRange(name, value, "above 0", high)


def require_word(name: str, value: str | None, words: tuple[str, ...]) -> None:
    """Raise OutOfRange unless value is None or one of the words."""
    if value is not None and value not in words:
        raise OutOfRange(name, value, words[0], words[-1])


def given(name: str, value: T | None) -> T:
    """The value, or OutOfRange when it was not given and nothing may be assumed in its place."""
    if value is None:
        raise OutOfRange(name, None, "a value", "a value")
    return value


def exceeds(value: float, limit: float) -> bool:
    """True when value is above limit by more than rounding."""
    return value > limit + COMPARISON_SLACK


def falls_short(value: float, limit: float) -> bool:
    """True when value is below limit by more than rounding."""
    return value < limit - COMPARISON_SLACK
