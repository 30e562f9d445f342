"""The form of an item: every fact when it is registered, afterwards what is changed in place."""

from collections.abc import Mapping
from typing import Any

from django import forms

from crewlog.models import Company, Person
from crewlog.models.fields import column_of
from crewlog.quantities.fields import UnitForm
from crewlog.stale.forms import EditedForm, opened_of, put_back, with_theirs
from crewlog.web.form_boxes import offer_choices, offer_rows
from crewlog.web.generics import ModelForm
from gear.catalogue.classes import BY_CODE, CLASS_CHOICES, CLASSES, TACKLE_SET, TERMINATIONS
from gear.models import ITEM_COLUMNS, OTHER_HEADINGS, GearItem
from gear.register.editable import EDITABLE, PLAIN
from gear.web.form_fields import char_field, choice_field

CONSTRUCTIONS = sorted({choice for c in CLASSES for choice in c.constructions}, key=lambda choice: choice[1])
PLACED = PLAIN - {"assembly"}  # of an item on record: the set is changed on the set's own page


class ItemForm(EditedForm, UnitForm, ModelForm[GearItem]):
    """Facts of an item, their boxes made of its columns. Ratings stay empty when they are not known."""

    edited = "this item"

    tag = char_field("Tag", required=True, longest=24, help_text="As stamped or sewn on it. A tag is never reused.")
    gear_class = choice_field("Class", CLASS_CHOICES, required=True, empty="Choose a class")
    construction = choice_field(ITEM_COLUMNS["construction"].label, CONSTRUCTIONS)
    terminations = forms.MultipleChoiceField(
        label=OTHER_HEADINGS["terminations"], choices=TERMINATIONS, required=False, widget=forms.CheckboxSelectMultiple
    )
    assembly = forms.ModelChoiceField(
        label=OTHER_HEADINGS["assembly"], queryset=GearItem.objects.none(), required=False
    )
    spliced_by = forms.ModelChoiceField(
        label=OTHER_HEADINGS["spliced_by"],
        queryset=Person.objects.none(),
        required=False,
        help_text="May not examine it",
    )

    class Meta:
        model = GearItem
        fields = ("tag", "gear_class", *(name for name in EDITABLE if name != "parent"))

    def __init__(
        self,
        data: Any = None,
        *,
        company: Company,
        item: GearItem | None = None,
        initial: dict[str, Any] | None = None,
    ) -> None:
        if item is not None:
            initial = initial or initial_of(item)
            self.opened = opened_of(f"item:{item.pk}", data, lambda: initial_of(item))
            if data is not None and self.opened.values is not None:
                initial = as_shown(self.opened.values)
                if self.opened.takes_theirs:
                    theirs = ItemForm(company=company, item=item, initial=initial)
                    data = with_theirs(data, self.opened, [theirs], {})
        super().__init__(data, unit_system=company.unit_system, initial=initial)
        self.item = item
        sets = GearItem.objects.for_company(company).in_service().of_class(TACKLE_SET)
        offer_rows(self, "assembly", sets)
        offer_rows(self, "spliced_by", Person.objects.for_company(company).working().with_details())
        self.all_fields = dict(self.fields)
        if item is not None:
            offer_choices(self, "construction", [("", "Not stated"), *item.declared.constructions])
            self.fields = {name: field for name, field in self.fields.items() if name in PLACED}

    def _post_clean(self) -> None:
        """The form only reads what was typed: no row is made of it, and the service says what cannot be true."""

    def facts(self) -> dict[str, Any]:
        """Facts by column, ready for the service."""
        facts = dict(self.cleaned_data)
        if self.item is not None:
            return facts
        code = facts["gear_class"]
        if facts["design_factor"] is None and code in BY_CODE:
            facts["design_factor"] = BY_CODE[code].design_factor
        return facts


def as_shown(values: Mapping[str, Any]) -> dict[str, Any]:
    """Plain values of an item as its form takes them."""
    row = GearItem()
    put_back(row, values)
    return {name: getattr(row, column_of(GearItem, name).attname) for name in values}


def initial_of(item: GearItem) -> dict[str, Any]:
    """What the form shows of an item."""
    fixed = ("tag", "gear_class", "assembly")
    return {name: getattr(item, name) for name in ItemForm.base_fields if name not in fixed}
