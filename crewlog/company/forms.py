"""Forms of the company itself: its particulars, and what reports say of an examiner."""

import copy
import zoneinfo
from typing import Any, ClassVar

from django import forms

from crewlog.models import Company, ExaminerDetails
from crewlog.stale.forms import EditedForm, opened_of, put_back, with_theirs
from crewlog.web.form_boxes import offer_choices
from crewlog.web.form_fields import PHONE
from crewlog.web.generics import ModelForm


class CompanyRowForm(EditedForm, ModelForm[Company]):
    """A form of some columns of the company, which other owners may have open too; `about` tells the forms apart."""

    about: ClassVar[str]

    def __init__(self, data: Any = None, *, instance: Company) -> None:
        names = self._meta.fields or ()
        self.opened = opened_of(self.about, data, lambda: {name: getattr(instance, name) for name in names})
        if data is not None and self.opened.values is not None:
            put_back(instance, self.opened.values)
            if self.opened.takes_theirs:
                data = with_theirs(data, self.opened, [type(self)(instance=copy.copy(instance))], {})
        super().__init__(data, instance=instance)


class CompanyForm(CompanyRowForm):
    """What papers print of the company, and how its pages read."""

    about = "company"

    time_zone = forms.ChoiceField(label="Time zone", choices=[])

    class Meta:
        model = Company
        fields = ("name", "address", "emergency_number", "time_zone", "unit_system", "decimal_mark", "felling_words")
        labels = {
            "emergency_number": "Emergency number",
            "unit_system": "Units",
            "decimal_mark": "Decimals",
            "felling_words": "Words of felling",
            "address": "Address",
        }
        help_texts = {
            "address": "As reports of examination print it",
            "emergency_number": "Printed on every sheet",
            "decimal_mark": "How numbers are typed and shown. With a comma, thousands are shown with a space: 1 250",
            "felling_words": "What plans and new sheets call the cuts. What people typed stays as it is",
        }
        widgets = {"address": forms.Textarea(attrs={"rows": 3}), "emergency_number": forms.TextInput(attrs=PHONE)}

    def __init__(self, data: Any = None, *, instance: Company) -> None:
        super().__init__(data, instance=instance)
        zones = sorted(zone for zone in zoneinfo.available_timezones() if "/" in zone)
        offer_choices(self, "time_zone", [(zone, zone) for zone in zones])
        self.fields["address"].required = True


class ExaminerForm(ModelForm[ExaminerDetails]):
    """Paragraph 9 of the schedule: qualifications, address, for whom the person works."""

    class Meta:
        model = ExaminerDetails
        fields = ("qualifications", "address", "employment", "employer_name", "employer_address")
        labels = {"employer_name": "Name of the other firm", "employer_address": "Address of the other firm"}
        help_texts = {"address": "Where the person can be reached, such as a business address"}
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
