"""Logging an event, taking out of use, retiring, and ending an entry made by mistake, as forms."""

from typing import Any

from django import forms

from crewlog.models import Membership
from crewlog.quantities.fields import QuantityField, UnitForm
from gear.catalogue.events import EVENT_KINDS
from gear.models import Disposal
from gear.web.file_boxes import HeldFileField, let_hold
from gear.web.form_fields import char_field, date_field, text_field, tiles

WHAT_HAPPENED = [(kind.code, kind.words) for kind in EVENT_KINDS if kind.by_hand]
WHAT_FOLLOWS = {
    kind.code: "Goes out of use until it is examined"
    if kind.quarantines
    else "Needs an examination before the next use"
    if kind.requires_examination
    else "Stays in service"
    if kind.loaded is False
    else "Unfit until the marking is renewed and examined"
    for kind in EVENT_KINDS
    if kind.by_hand
}
LOADED = [("yes", "Loaded"), ("no", "Not loaded"), ("unknown", "Not known")]


class EventForm(UnitForm, forms.Form):
    kind = tiles("What happened", WHAT_HAPPENED, hints=WHAT_FOLLOWS)
    happened_on = date_field("On", required=True)
    description = text_field("How, and what you saw", required=True)
    loaded = tiles("Was the gear loaded", LOADED, required=False)
    load_n = QuantityField(
        label="Load, where it was read or can be estimated",
        kind="force",
        required=False,
        min_value=0.0,
        min_exclusive=True,
    )
    photo = HeldFileField(label="Photograph of it", camera=True, required=False)
    from_paper = forms.BooleanField(label="Entered from paper", required=False)

    def __init__(self, *args: Any, member: Membership, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        let_hold(self, member)

    def facts(self) -> dict[str, Any]:
        data = self.cleaned_data
        return {
            "photograph": data["photo"],
            "kind": data["kind"],
            "happened_on": data["happened_on"],
            "description": data["description"],
            "gear_loaded": {"yes": True, "no": False}.get(data["loaded"]),
            "load_n": data["load_n"],
            "from_paper": data["from_paper"],
        }


class OutOfUseForm(forms.Form):
    because = char_field("Why", required=True, longest=180)


class RetireForm(forms.Form):
    because = char_field("Why", required=True, longest=200, help_text="What was found, and where on it")
    disposal = tiles("What becomes of it", Disposal.choices)
    retired_on = date_field("Retired on", required=True)
    sure = forms.BooleanField(
        label="Retire it permanently",
        help_text="This cannot be undone, and the tag is never reused",
        error_messages={"required": "Tick this to retire it."},
    )


class MistakeForm(forms.Form):
    because = char_field(
        "What was wrong with the entry", required=True, longest=200, help_text="Entered twice, wrong class"
    )
