"""Fields that several forms share: answers as tiles, bearings, moments in the company's time zone, people."""

import datetime as dt
import zoneinfo
from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Choices

from crewlog.fields import QuantityField
from crewlog.form_fields import WholeField
from crewlog.models import Company, Person
from crewlog.widgets import Tiles

FULL_TURN_DEG = 360.0


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


class BearingField(QuantityField):
    """A compass bearing; 360° is north, stored as 0."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(kind="bearing", min_value=0, max_value=FULL_TURN_DEG, **kwargs)

    def to_python(self, value: Any) -> float | None:
        degrees = super().to_python(value)
        return None if degrees is None else degrees % FULL_TURN_DEG


class MomentField(forms.DateTimeField):
    """A day and time as the company's clocks show it."""

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")
    default_error_messages = {"invalid": "Write a day and a time, such as 2026-11-26 07:30."}
    zone: zoneinfo.ZoneInfo | None = None

    def set_company(self, company: Company) -> None:
        self.zone = zoneinfo.ZoneInfo(company.time_zone)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, dt.datetime) and value.tzinfo is not None and self.zone:
            return value.astimezone(self.zone).replace(tzinfo=None)
        return value

    def to_python(self, value: Any) -> dt.datetime | None:
        moment = super().to_python(value)
        if moment is None or self.zone is None:
            return moment
        try:
            return moment.replace(tzinfo=None).replace(tzinfo=self.zone).astimezone(dt.UTC)
        except OverflowError:
            raise ValidationError(self.error_messages["invalid"], code="invalid") from None


class PersonField(forms.ModelChoiceField):  # type: ignore[type-arg] # generic in the stubs only
    """Somebody of the company."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("empty_label", "Nobody chosen")
        super().__init__(queryset=Person.objects.none(), **kwargs)

    def set_company(self, company: Company) -> None:
        self.queryset = Person.objects.for_company(company).working().with_details()


class PeopleField(forms.ModelMultipleChoiceField):  # type: ignore[type-arg] # generic in the stubs only
    """Any number of the company's people."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=Person.objects.none(), **kwargs)

    def set_company(self, company: Company) -> None:
        self.queryset = Person.objects.for_company(company).working().with_details()


def give_company(form: forms.BaseForm, company: Company) -> None:
    """Let the fields that need it know whose form this is."""
    for field in form.fields.values():
        if isinstance(field, PersonField | PeopleField | MomentField):
            field.set_company(company)
