"""A reading taken on the day, and the day as its lead records it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms

from crewlog.models import Company
from crewlog.quantities.fields import QuantityField, UnitForm
from crewlog.web.answers import answer
from crewlog.web.form_boxes import offer_choices, offer_rows
from crewlog.web.widgets import TickTiles
from gear.models import GearItem
from jobs.mechanics.roles import role_title
from jobs.models import Assignment, DayResult, ReadingKind, ReadingMoment
from jobs.web.form_fields import MomentField, give_company

KIND_HINTS = {"line": "The cell hangs in the main line at the tackle", "hand": "The cell hangs on the hauling part"}


class ReadingForm(UnitForm, forms.Form):
    """What a load cell showed."""

    kind = answer(ReadingKind, "What was read", required=True, hints=KIND_HINTS)
    force_n = QuantityField(kind="force", label="It showed", min_value=0.0, min_exclusive=True)
    gauge = forms.ModelChoiceField(
        label="Load cell",
        queryset=GearItem.objects.none(),
        empty_label="None chosen",
        error_messages={"required": "Choose the load cell it was read with."},
    )
    moment = answer(ReadingMoment, "When in the work", required=True)
    read_at = MomentField(label="Read at")
    note = forms.CharField(label="Note", max_length=200, required=False)
    from_paper = forms.BooleanField(label="Entered from paper", required=False)

    def __init__(self, *args: Any, company: Company, **kwargs: Any) -> None:
        super().__init__(*args, unit_system=company.unit_system, **kwargs)
        give_company(self, company)
        cells = GearItem.objects.for_company(company).of_kind("gauge").order_by("tag")
        offer_rows(self, "gauge", cells)


@dataclass(frozen=True, slots=True)
class DayDone:
    """What became of the stem and which items were used, as its lead records it."""

    result: str
    used: list[Assignment]
    note: str
    from_paper: bool


class DayForm(forms.Form):
    """What became of the stem, and which items were used."""

    result = answer(DayResult, "What became of the stem", required=True)
    used = forms.MultipleChoiceField(
        label="Used that day",
        required=False,
        widget=TickTiles,
        help_text="Each counts one use. Untick what stayed in the van; tick an alternate that was swapped in.",
    )
    note = forms.CharField(
        label="What went otherwise than planned",
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    from_paper = forms.BooleanField(label="Entered from paper", required=False)

    def __init__(self, *args: Any, hung: Sequence[Assignment], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.hung = {str(row.pk): row for row in hung}
        offer_choices(self, "used", [(key, str(row.item)) for key, row in self.hung.items()])
        self.fields["used"].widget.hints = {key: hint_of(row) for key, row in self.hung.items()}

    def day(self) -> DayDone:
        """What the lead says of the day; after is_valid()."""
        said = self.cleaned_data
        return DayDone(
            result=said["result"],
            used=[self.hung[key] for key in said["used"]],
            note=said["note"],
            from_paper=said["from_paper"],
        )


def hint_of(row: Assignment) -> str:
    title = role_title(row.role)
    return f"Alternate for: {title.lower()}" if row.rank else title
