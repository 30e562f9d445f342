"""What tests hand over untyped: keywords that vary from call to call, and stand-ins that have only what is read."""

from types import SimpleNamespace
from typing import Any

Given = dict[str, Any]


def stand_in(**facts: Any) -> Any:
    """An object with these attributes and no others: what else the code under test reads is an AttributeError."""
    return SimpleNamespace(**facts)
