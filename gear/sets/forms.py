"""Swapping a part of a tackle set, putting one in, taking one out, and correcting what was recorded of it."""

from typing import Any

from django import forms

from crewlog.models import Company
from crewlog.web.form_boxes import offer_choices
from gear.models import GearItem
from gear.register.address import item_by_tag
from gear.web.form_fields import char_field, choice_field, date_field, tiles

SWAP, PUT_IN, TAKE_OUT = "swap", "in", "out"
KINDS = [(SWAP, "Swap a part"), (PUT_IN, "Add a part"), (TAKE_OUT, "Remove a part")]
TYPED = "Type it, or scan the code on the item into the box"


class PartField(forms.CharField):
    """An item of the company by the tag that was typed or scanned."""

    company: Company

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.TextInput(attrs={"autocapitalize": "characters", "autocomplete": "off"})
        super().__init__(required=False, max_length=200, widget=widget, **kwargs)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        found = item_by_tag(self.company, text)
        if found is None:
            raise forms.ValidationError("No item here has this tag. Check the tag.")
        return found


def look_in(form: forms.BaseForm, company: Company) -> None:
    """Let the boxes of parts find items of this company."""
    for field in form.fields.values():
        if isinstance(field, PartField):
            field.company = company


class PartChangeForm(forms.Form):
    """One change of a set's parts."""

    kind = tiles("What was done", KINDS)
    out = choice_field("Part removed", (), empty="None")
    part = PartField(label="Tag of the part added", help_text=TYPED)
    on = date_field("On", required=True)
    because = char_field("Why", required=True, longest=200)

    def __init__(self, *args: Any, assembly: GearItem, held: list[GearItem], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.held = {part.tag: part for part in held}
        shown = [(part.tag, f"{part.tag} {part.description}") for part in held]
        offer_choices(self, "out", [("", "None"), *shown])
        look_in(self, assembly.company)

    def clean(self) -> dict[str, Any]:
        """Ask for the parts the chosen change names."""
        data: dict[str, Any] = self.cleaned_data
        kind = data.get("kind")
        if kind in (SWAP, TAKE_OUT) and not data.get("out"):
            self.add_error("out", "Choose the part that was removed.")
        if kind in (SWAP, PUT_IN) and data.get("part") is None and "part" not in self.errors:
            self.add_error("part", "Give the tag of the part that was added.")
        return data

    @property
    def part_out(self) -> GearItem:
        return self.held[self.cleaned_data["out"]]


class CorrectionForm(forms.Form):
    """What a recorded change should have said."""

    part = PartField(label="Tag of the part", help_text=TYPED)
    on = date_field("On", required=True)
    because = char_field("What was wrong with the record", required=True, longest=200)

    def __init__(self, *args: Any, company: Company, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        look_in(self, company)


class OnDayForm(forms.Form):
    on = date_field("On the day", required=True)
