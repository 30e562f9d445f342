"""The forms of failures: how the employer was told, and an answer entered by mistake."""

import datetime as dt
import zoneinfo
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils import timezone

from crewlog.models import Company
from crewlog.web.form_boxes import offer_rows
from gear.failures.services import Telling
from gear.models.failure import DANGERS, FailureFound
from gear.web.form_fields import char_field, tiles


class ToldForm(forms.Form):
    failure = forms.ModelChoiceField(
        queryset=FailureFound.objects.none(),
        widget=forms.HiddenInput,
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Open this page again, then say how."),
    )
    at = forms.DateTimeField(
        label="Employer told at",
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"],
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        error_messages={"required": "Give the moment.", "invalid": "Write it like 2026-11-25 14:30."},
    )
    how = char_field(
        "Who, how, and where it is noted", required=True, longest=160, help_text="Owner by telephone, noted in the van"
    )
    danger = tiles("How grave it is", DANGERS)
    authority_copy = char_field(
        "Copy to the authority", longest=160, help_text="Where the risk is existing or imminent: when and to whom"
    )

    def __init__(self, *args: Any, company: Company, failures: QuerySet[FailureFound], **kwargs: Any) -> None:
        """`failures` are those of the item; the one that the page showed comes back with the form."""
        super().__init__(*args, **kwargs)
        offer_rows(self, "failure", failures)
        self.zone = zoneinfo.ZoneInfo(company.time_zone)
        self.fields["at"].initial = timezone.now().astimezone(self.zone).replace(tzinfo=None, second=0, microsecond=0)

    def clean_at(self) -> dt.datetime:
        """The moment as the company's clock shows it."""
        told: dt.datetime = self.cleaned_data["at"]
        naive = timezone.make_naive(told) if timezone.is_aware(told) else told
        return naive.replace(tzinfo=self.zone)

    def facts(self) -> dict[str, Any]:
        """Which failure the employer was told of, and how, from a valid form."""
        data = self.cleaned_data
        telling = Telling(data["at"], data["how"], data["danger"], data["authority_copy"])
        return {"failure": data["failure"], "telling": telling}


class MistakeForm(forms.Form):
    because = char_field(
        "How the wrong answer came about", required=True, longest=300, help_text="Tapped with gloves on"
    )
    looked_at_again = forms.BooleanField(
        label="I looked at the item again",
        help_text="The failure and this reason both stay on record. Sheets that were withdrawn stay withdrawn",
        error_messages={"required": "Look at the item again first."},
    )
