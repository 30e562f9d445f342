"""Alterations, as a form."""

from typing import Any

from django import forms

from crewlog.models import Company, Person
from crewlog.quantities.fields import UnitForm
from crewlog.web.form_boxes import offer_rows
from gear.catalogue.classes import TERMINATIONS
from gear.web.form_fields import char_field, date_field, figure, text_field, tiles

ALTERATIONS = [("shortened", "Cut shorter"), ("re_terminated", "New end made"), ("divided", "Pieces cut off")]
ALTERATION_HINTS = {
    "shortened": "Keeps its tag",
    "re_terminated": "The ends it now has permanently",
    "divided": "Each piece gets a tag of its own and carries the history",
}
PIECES = (1, 2, 3)


class AlterForm(UnitForm, forms.Form):
    """What was done to a rope; each makes an examination pending."""

    kind = tiles("What was done", ALTERATIONS, hints=ALTERATION_HINTS)
    altered_on = date_field("On", required=True)
    description = text_field("Why, and where on it", required=True, rows=2)
    length_after_m = figure("Cut shorter: length left", "length")
    terminations = forms.MultipleChoiceField(
        label="New end: all the ends it has", choices=TERMINATIONS, required=False, widget=forms.CheckboxSelectMultiple
    )
    spliced_by = forms.ModelChoiceField(
        label="New end: made by", queryset=Person.objects.none(), required=False, help_text="May not examine it"
    )
    piece_1_tag, piece_1_m = char_field("First piece: tag", longest=24), figure("First piece: length", "length")
    piece_2_tag, piece_2_m = char_field("Second piece: tag", longest=24), figure("Second piece: length", "length")
    piece_3_tag, piece_3_m = char_field("Third piece: tag", longest=24), figure("Third piece: length", "length")

    def __init__(self, *args: Any, company: Company, **kwargs: Any) -> None:
        super().__init__(*args, unit_system=company.unit_system, **kwargs)
        offer_rows(self, "spliced_by", Person.objects.for_company(company).working().with_details())

    def clean(self) -> dict[str, Any]:
        """Ask for what the chosen alteration needs."""
        data: dict[str, Any] = self.cleaned_data
        if data.get("kind") == "shortened" and data.get("length_after_m") is None:
            self.add_error("length_after_m", "Give the length that is left.")
        if data.get("kind") == "re_terminated" and not data.get("terminations"):
            self.add_error("terminations", "Choose the ends it has.")
        for n in PIECES:
            tag, length_m = data.get(f"piece_{n}_tag"), data.get(f"piece_{n}_m")
            if bool(tag) != (length_m is not None):
                self.add_error(f"piece_{n}_tag", "Give the tag and the length of a piece.")
        if data.get("kind") == "divided" and not self.pieces():
            self.add_error("piece_1_tag", "Give the first piece.")
        return data

    def pieces(self) -> dict[str, float]:
        """Length [m] by new tag."""
        pairs = ((self.cleaned_data.get(f"piece_{n}_tag"), self.cleaned_data.get(f"piece_{n}_m")) for n in PIECES)
        return {tag: length_m for tag, length_m in pairs if tag and length_m is not None}
