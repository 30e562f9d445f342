"""Small pieces that the store's forms share."""

from typing import Any

from crewlog.quantities.fields import QuantityField
from crewlog.web.form_boxes import Choices, char_field, choice_field, date_field, text_field
from crewlog.web.form_fields import add_service_error, tiles

__all__ = ["Choices", "add_service_error", "char_field", "choice_field", "date_field", "figure", "text_field", "tiles"]


def figure(label: str, kind: str, **kwargs: Any) -> QuantityField:
    """A figure above nought, or empty when it is not known."""
    return QuantityField(
        label=label, kind=kind, required=False, min_value=0.0, min_exclusive=True, noun=label.lower(), **kwargs
    )
