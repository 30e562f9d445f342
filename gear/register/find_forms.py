"""Narrowing the register, and finding a tag."""

from typing import Any

from django import forms

from crewlog.web.form_boxes import offer_choices
from gear.catalogue.classes import CLASS_CHOICES
from gear.fitness.dates import DUE_WINDOWS
from gear.web.form_fields import char_field, choice_field


class FinderForm(forms.Form):
    """What the register is narrowed to; every part may be missing or nonsense, the list still shows."""

    q = char_field("Tag or words", longest=120)
    c = choice_field("Class", CLASS_CHOICES, empty="All classes")
    p = forms.ChoiceField(label="Place", required=False)
    due = choice_field("Falls due", [(str(days), f"Within {days} days") for days in DUE_WINDOWS], empty="Any day")

    def __init__(self, *args: Any, places: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_choices(self, "p", [("", "All places"), *((place, place) for place in places)])


class FindTagForm(forms.Form):
    tag = char_field(
        "Tag",
        required=True,
        longest=200,
        help_text="Type it, or scan the code on the item into the box",
        widget=forms.TextInput(attrs={"autofocus": True, "autocapitalize": "characters", "autocomplete": "off"}),
    )
