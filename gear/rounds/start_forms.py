"""Which items go into a round, as a form."""

from collections.abc import Sequence
from typing import Any

from django import forms

from crewlog.web.form_boxes import offer_choices
from gear.models import GearItem
from gear.models.round import ROUND_KINDS
from gear.web.form_fields import char_field, tiles


class PickForm(forms.Form):
    """What the items to tick are narrowed to."""

    pick = forms.CharField(widget=forms.HiddenInput, required=False, initial="1")
    q = char_field("Tag or words", longest=120)


class StartRoundForm(forms.Form):
    """Which of the items go into a round, and what kind of inspection it is."""

    kind = tiles("Kind of inspection", ROUND_KINDS)
    item = forms.MultipleChoiceField(error_messages={"required": "Tick at least one item."})

    def __init__(self, *args: Any, items: Sequence[GearItem], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.keys = [str(item.pk) for item in items]
        offer_choices(self, "item", [(str(item.pk), item.tag) for item in items])

    def ticked(self, *, all_first: bool) -> set[str]:
        """The items whose box is ticked: as sent, else all or none."""
        if self.is_bound:
            return {str(key) for key in self["item"].data or ()}
        return set(self.keys) if all_first else set()
