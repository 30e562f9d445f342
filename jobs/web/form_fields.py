"""Fields that several forms share: moments in the company's time zone, people."""

import datetime as dt
import zoneinfo
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from crewlog.models import Company, Person
from crewlog.web.generics import ModelChoiceField, ModelMultipleChoiceField


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


class PersonField(ModelChoiceField[Person]):
    """Somebody of the company."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("empty_label", "Nobody chosen")
        super().__init__(queryset=Person.objects.none(), **kwargs)

    def set_company(self, company: Company) -> None:
        self.queryset = Person.objects.for_company(company).working().with_details()


class PeopleField(ModelMultipleChoiceField[Person]):
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
