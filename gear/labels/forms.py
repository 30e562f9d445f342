"""Which labels to print, on what, and from which place of a part-used sheet."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from crewlog.web.answers import WholeField
from crewlog.web.form_fields import tiles
from crewlog.web.generics import ModelMultipleChoiceField
from crewlog.web.widgets import TickTiles
from gear.labels.formats import BANDS, BY_CODE, FORMATS, LabelFormat
from gear.models import GearItem

KINDS = [("label", "Labels with the code"), ("band", "Tracer bands")]
KIND_HINTS = {
    "label": "Tag and code, with class and company where they fit",
    "band": "A strip round a rope's end: tag and colour tracer in words",
}


class ItemTicks(ModelMultipleChoiceField[GearItem]):
    def label_from_instance(self, item: Any) -> str:
        return str(item.tag)


class LabelForm(forms.Form):
    kind = tiles("What", KINDS, hints=KIND_HINTS)
    size = forms.ChoiceField(label="Label size", choices=[(each.code, each.name) for each in FORMATS])
    start = WholeField(
        label="First free label",
        min_value=1,
        help_text="Of a part-used sheet, counted along the rows from 1",
        error_messages={"invalid": "Write a whole number.", "required": "Write 1 for a whole sheet."},
    )
    items = ItemTicks(
        label="Items",
        queryset=GearItem.objects.none(),
        widget=TickTiles,
        error_messages={"required": "Tick at least one item."},
    )

    def __init__(self, *args: Any, choices: "QuerySet[GearItem]", offered: "QuerySet[GearItem]", **kwargs: Any) -> None:
        """`offered` are shown, `choices` may be sent: what was ticked stays valid when the list is narrowed."""
        super().__init__(*args, **kwargs)
        field: Any = self.fields["items"]
        field.queryset = choices
        rows = list(offered)
        field.choices = [(item.pk, item.tag) for item in rows]
        field.widget.hints = {str(item.pk): item.description for item in rows}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        layout = self.layout()
        if layout is not None and data.get("start") is not None and data["start"] > layout.per_page:
            self.add_error("start", f"A sheet of this size has {layout.per_page}.")
        return data

    def layout(self) -> LabelFormat | None:
        """Bands have a size of their own."""
        if self.cleaned_data.get("kind") == "band":
            return BANDS
        return BY_CODE.get(self.cleaned_data.get("size", ""))
