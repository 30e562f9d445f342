"""The intervals of inspection schemes, as forms."""

from django import forms

from crewlog.web.answers import WholeField
from gear.catalogue.classes import CLASS_CHOICES, USE_CHOICES
from gear.models.scheme import SCHEME_KINDS
from gear.schemes.services import OwnRule
from gear.web.form_fields import char_field, choice_field, tiles


class IntervalForm(forms.Form):
    months = WholeField(min_value=1, max_value=120)


class OwnRuleForm(forms.Form):
    """A rule of the company's own: which use it is for, how often, and what it rests on."""

    name = char_field("Scheme", required=True, longest=120, help_text="A new name, or one of your own schemes")
    use = choice_field("Use", USE_CHOICES, required=True, empty="Choose")
    gear_classes = forms.MultipleChoiceField(
        label="Classes",
        choices=CLASS_CHOICES,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: every class",
    )
    inspection_kind = tiles("Inspection", SCHEME_KINDS, initial="thorough")
    months = WholeField(
        label="Months between them",
        min_value=1,
        max_value=120,
        error_messages={"required": "Give the months.", "invalid": "Write a whole number."},
    )
    basis = char_field(
        "Basis", required=True, longest=200, help_text="A contract, an insurer's letter, your own method"
    )

    def rule(self) -> OwnRule:
        said = self.cleaned_data
        return OwnRule(**{**said, "gear_classes": tuple(said["gear_classes"])})
