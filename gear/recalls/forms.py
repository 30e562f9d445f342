"""A maker's recall, and what settles it for an item, as forms."""

from typing import Any

from django import forms

from gear.catalogue.classes import CLASS_CHOICES
from gear.fitness.rules import RecallNotice
from gear.models import Recall
from gear.web.form_fields import char_field, date_field, text_field


class ResolveForm(forms.Form):
    recall = forms.ModelChoiceField(label="Recall", queryset=Recall.objects.none(), empty_label=None)
    because = char_field(
        "Why it is not affected", required=True, longest=200, help_text="Batch or serial read, or mended by the maker"
    )


class RecallForm(forms.Form):
    maker = char_field("Maker", required=True, longest=80)
    gear_classes = forms.MultipleChoiceField(
        label="Classes it concerns",
        choices=CLASS_CHOICES,
        widget=forms.CheckboxSelectMultiple,
        help_text="A recall of ropes does not affect the same maker's connectors",
        error_messages={"required": "Tick the classes the notice is about; all of them where it names none."},
    )
    maker_model = char_field("Model", longest=80, help_text="Empty: every model")
    batches = char_field("Batches", longest=400, help_text="Parted by commas. Empty: every batch")
    serial_from = char_field("First serial number", longest=60)
    serial_to = char_field("Last serial number", longest=60)
    announced_on = date_field("Announced on", required=True)
    source = char_field("Where it was announced", required=True, longest=200)
    description = text_field("What to do")

    def facts(self) -> dict[str, Any]:
        data = dict(self.cleaned_data)
        data["batches"] = tuple(data["batches"].split(","))
        data["gear_classes"] = tuple(data["gear_classes"])
        return data

    def notice(self) -> RecallNotice:
        """What is recalled, for looking up what it may cover; after is_valid()."""
        data = self.cleaned_data
        return RecallNotice(
            maker=data["maker"].strip(),
            maker_model=data["maker_model"].strip(),
            batches=tuple(batch.strip() for batch in data["batches"].split(",") if batch.strip()),
            serial_from=data["serial_from"].strip(),
            serial_to=data["serial_to"].strip(),
            gear_classes=tuple(data["gear_classes"]),
        )
