"""Forms of the company itself: its particulars, and what reports say of an examiner."""

import zoneinfo
from typing import Any

from django import forms

from crewlog.form_fields import PHONE
from crewlog.models import Company, ExaminerDetails


class CompanyForm(forms.ModelForm):  # type: ignore[type-arg]
    """What papers print of the company, and how its pages read."""

    time_zone = forms.ChoiceField(label="Time zone", choices=[])

    class Meta:
        model = Company
        fields = ("name", "address", "emergency_number", "time_zone", "unit_system", "decimal_mark")
        labels = {
            "emergency_number": "Emergency number",
            "unit_system": "Units",
            "decimal_mark": "Decimals",
            "address": "Address",
        }
        help_texts = {
            "address": "As reports of examination print it",
            "emergency_number": "Printed on every sheet",
            "decimal_mark": "How numbers are typed and shown. With a comma, thousands are shown with a space: 1 250",
        }
        widgets = {"address": forms.Textarea(attrs={"rows": 3}), "emergency_number": forms.TextInput(attrs=PHONE)}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        zones = sorted(zone for zone in zoneinfo.available_timezones() if "/" in zone)
        self.fields["time_zone"].choices = [(zone, zone) for zone in zones]  # type: ignore[attr-defined]
        self.fields["address"].required = True


class ExaminerForm(forms.ModelForm):  # type: ignore[type-arg]
    """Paragraph 9 of the schedule: qualifications, address, for whom the person works."""

    class Meta:
        model = ExaminerDetails
        fields = ("qualifications", "address", "employment", "employer_name", "employer_address")
        labels = {"employer_name": "Name of the other firm", "employer_address": "Address of the other firm"}
        help_texts = {"address": "Where the person can be reached; a business address will do"}
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "employer_address": forms.Textarea(attrs={"rows": 3}),
            "employment": forms.RadioSelect,
        }

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("employment") == ExaminerDetails.Employment.OTHER:
            for name in ("employer_name", "employer_address"):
                if not data.get(name) and name not in self.errors:
                    self.add_error(name, "Give the name and address of the firm.")
        return data
