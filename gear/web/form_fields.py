"""Small pieces that the store's forms share."""

from typing import Any

from crewlog.quantities.fields import QuantityField
from crewlog.web.form_boxes import Choices, day, one_of, text, words
from crewlog.web.form_fields import show_fault, tiles

__all__ = ["Choices", "day", "figure", "one_of", "show_fault", "text", "tiles", "words"]


def figure(label: str, kind: str, **kwargs: Any) -> QuantityField:
    """A figure above nought, or empty when it is not known."""
    return QuantityField(
        label=label, kind=kind, required=False, min_value=0.0, min_exclusive=True, noun=label.lower(), **kwargs
    )
