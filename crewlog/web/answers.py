"""Form fields for an answer of a few and for a whole number."""

import re
from collections.abc import Mapping
from typing import Any

from django import forms
from django.db.models import Choices

from crewlog.web.widgets import Tiles


class WholeField(forms.IntegerField):
    """A whole number as digits alone: "1.000" could be one or a thousand, so it is refused."""

    re_decimal = re.compile(r"(?!)")

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}))
        super().__init__(**kwargs)


def answer(
    choices: type[Choices],
    label: str,
    *,
    required: bool = False,
    help_text: str = "",
    hints: Mapping[str, str] | None = None,
) -> forms.TypedChoiceField:
    """A question with tiles, none of them chosen until somebody answers."""
    return forms.TypedChoiceField(
        label=label,
        choices=choices.choices,
        required=required,
        empty_value="",
        help_text=help_text,
        widget=Tiles(hints=hints),
        error_messages={"required": "Choose one.", "invalid_choice": "Choose one of the answers shown."},
    )


def whole_number(label: str, low: int, high: int, *, required: bool = False, help_text: str = "") -> forms.IntegerField:
    """A count within bounds, typed in one box."""
    wrong = f"Write a whole number from {low} to {high}."
    return WholeField(
        label=label,
        min_value=low,
        max_value=high,
        required=required,
        help_text=help_text,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "maxlength": "40"}),
        error_messages={"required": wrong, "invalid": wrong, "min_value": wrong, "max_value": wrong},
    )
