"""Form fields that ask with the house's messages: a day, a line of words, several lines, one of a list."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.db.models import QuerySet

Choices = Iterable[tuple[str, str]]
LONGEST_TEXT = 4_000


def date_field(label: str, *, required: bool = False, **kwargs: Any) -> forms.DateField:
    """A date box: the day is picked, or typed like 2026-11-25. Cleans to `date`, to None where it was left empty."""
    return forms.DateField(
        label=label,
        required=required,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write the day like 2026-11-25.", "required": "Give the day."},
        **kwargs,
    )


def char_field(label: str, *, required: bool = False, longest: int = 120, **kwargs: Any) -> forms.CharField:
    """One line of at most `longest` characters. Cleans to `str`, "" where it was left empty."""
    return forms.CharField(
        label=label, required=required, max_length=longest, error_messages={"required": "Fill this in."}, **kwargs
    )


def text_field(label: str, *, required: bool = False, rows: int = 3, **kwargs: Any) -> forms.CharField:
    """Several lines of at most `LONGEST_TEXT` characters, in a box of `rows` lines. Cleans to `str`."""
    return forms.CharField(
        label=label,
        required=required,
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": rows}),
        error_messages={"required": "Fill this in."},
        **kwargs,
    )


def choice_field(
    label: str, choices: Choices, *, required: bool = False, empty: str = "Not stated", **kwargs: Any
) -> Any:
    """One of `choices`, pairs of code and words, below a first row `empty` with the code "". Cleans to the code."""
    return forms.ChoiceField(
        label=label,
        required=required,
        choices=[("", empty), *choices],
        error_messages={"required": "Choose one."},
        **kwargs,
    )


def offer_choices(form: forms.BaseForm, name: str, choices: Choices) -> None:
    """Let a box of choices offer these."""
    choice_box(form, name).choices = list(choices)


def choices_of(form: forms.BaseForm, name: str) -> dict[str, str]:
    """What a box of choices offers: words by code."""
    offered: Any = choice_box(form, name).choices
    return {str(code): str(words) for code, words in offered}


def choice_box(form: forms.BaseForm, name: str) -> forms.ChoiceField:
    field = form.fields[name]
    if not isinstance(field, forms.ChoiceField):
        raise TypeError(f"{name} is no box of choices")
    return field


def offer_rows(form: forms.BaseForm, name: str, rows: QuerySet[Any]) -> None:
    """Let a box of rows offer these."""
    field = form.fields[name]
    if not isinstance(field, forms.ModelChoiceField):
        raise TypeError(f"{name} is no box of rows")
    field.queryset = rows
