"""The form of a calibration: pairs of readings on the hauling part and at the load."""

from typing import Any, ClassVar

from django import forms

from crewlog.quantities.fields import QuantityField, UnitForm
from crewlog.web.answers import answer, whole_number
from crewlog.web.form_boxes import offer_rows
from gear.models import GearItem
from jobs.efficiency.services import Pair
from jobs.models.plan import Rove
from jobs.web.typed_rows import RowForm, Rows

PAIRS, PAIRS_SHOWN = 12, 4
STATES = [("moving", "Hauling"), ("holding", "Held")]


class PairRow(RowForm):
    """One pair of readings, taken at the same moment."""

    needed: ClassVar[tuple[str, ...]] = ("hand_n", "load_n")

    hand_n = QuantityField(
        kind="hand_force", label="On the hauling part", required=False, min_value=0, min_exclusive=True
    )
    load_n = QuantityField(
        kind="force", label="At the load, in the line", required=False, min_value=0, min_exclusive=True
    )
    state = forms.ChoiceField(label="Tackle was", choices=STATES, initial="moving", required=False)

    def is_empty(self) -> bool:
        """The state alone is no pair."""
        return not any(str(self[name].value() or "").strip() for name in ("hand_n", "load_n"))

    def has_start(self) -> bool:
        return not self.is_empty()


class EfficiencyForm(UnitForm, forms.Form):
    """One calibration of one tackle."""

    measured_on = forms.DateField(
        label="Read on",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": "Give the day.", "invalid": "Write a day, such as 2026-11-26."},
    )
    parts = whole_number("Parts", 2, 8, required=True)
    rove = answer(Rove, "How it is rove", required=True)
    load_cell = forms.ModelChoiceField(
        label="Load cell at the load",
        queryset=GearItem.objects.none(),
        required=False,
        empty_label="None of the store's",
        help_text="Its calibration must be valid on that day.",
    )
    load_cell_words = forms.CharField(
        label="Another load cell", required=False, max_length=120, help_text="Borrowed or hired: maker's number."
    )
    conditions = forms.CharField(
        label="Rope and weather",
        required=False,
        max_length=200,
        help_text="Wet, dirty or new rope lowers the efficiency.",
    )
    because = forms.CharField(label="What was wrong", required=False, max_length=200)
    from_paper = forms.BooleanField(label="Entered from paper", required=False)

    def __init__(self, data: Any = None, *, item: GearItem, is_correction: bool = False, **kwargs: Any) -> None:
        super().__init__(data, unit_system=item.company.unit_system, **kwargs)
        cells = GearItem.objects.for_company(item.company).in_service().of_kind("gauge")
        offer_rows(self, "load_cell", cells.order_by("tag"))
        if not is_correction:
            del self.fields["because"]
        self.pairs = Rows(
            PairRow,
            prefix="pairs",
            count=PAIRS,
            unit_system=item.company.unit_system,
            data=data,
            initial=self.initial.get("pairs"),
            min_open=PAIRS_SHOWN,
        )

    def is_valid(self) -> bool:
        rows_are = self.pairs.is_valid()
        return super().is_valid() and rows_are

    @property
    def in_order(self) -> list[forms.BaseForm]:
        """The form and its rows, in the order of the page."""
        return [self, *self.pairs]

    def read_pairs(self) -> list[Pair]:
        """Hand and load of each row that is filled; after is_valid()."""
        return [
            Pair(row.cleaned_data["hand_n"], row.cleaned_data["load_n"], row.cleaned_data["state"] or "moving")
            for row in self.pairs.filled()
        ]
