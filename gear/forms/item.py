"""The form of an item: every fact when it is registered, afterwards what is changed in place."""

from collections.abc import Mapping
from typing import Any

from django import forms

from crewlog.fields import UnitForm
from crewlog.models import Company, Person
from crewlog.stale.forms import EditedForm, opened_of, put_back, with_theirs
from gear.classes import (
    BY_CODE,
    CLASS_CHOICES,
    CLASSES,
    EFFICIENCY_ORIGINS,
    GATES,
    MATERIALS,
    TACKLE_SET,
    TERMINATIONS,
    USES,
)
from gear.forms.fields import day, figure, one_of, text, whole, words
from gear.models import GearItem
from gear.services.register import PLAIN

CONSTRUCTIONS = sorted({choice for c in CLASSES for choice in c.constructions}, key=lambda choice: choice[1])
PLACED = PLAIN - {"assembly"}  # of an item on record: the set is changed on the set's own page
HOLD_HINT = "Cord, host rope, wraps and how it was loaded"


class ItemForm(EditedForm, UnitForm, forms.Form):
    """Facts of an item. Ratings stay empty when they are not known."""

    edited = "this item"

    tag = words("Tag", required=True, longest=24, help_text="As stamped or sewn on it. Never used twice.")
    gear_class = one_of("Class", CLASS_CHOICES, required=True, empty="Choose a class")
    construction = one_of("Construction", CONSTRUCTIONS)
    description = words("What it is", required=True, help_text="Such as: Line, 14 mm, 45 m")
    maker = words("Maker", longest=80)
    maker_model = words("Model", longest=80)
    serial = words("Serial number", longest=60)
    batch = words("Batch", longest=60)
    standard_marked = words("Standard marked on it", longest=80)
    colour_tracer = words("Colour or tracer", longest=40)
    material = one_of("Material", MATERIALS)

    pulls_at_ground = forms.BooleanField(label=USES[0][2], required=False)
    lifts_or_lowers = forms.BooleanField(label=USES[1][2], required=False)
    supports_person = forms.BooleanField(label=USES[2][2], required=False)
    measures_load = forms.BooleanField(label=USES[3][2], required=False)

    working_load_limit_n = figure("Working load limit, as marked", "force")
    breaking_strength_n = figure("Minimum breaking strength", "force")
    vertical_rating_n = figure("Sling: straight", "force", help_text="Slings: as printed on the tag")
    choker_rating_n = figure("Sling: choker", "force")
    basket_rating_n = figure("Sling: basket", "force")
    minor_axis_strength_n = figure("Strength across", "force", help_text="Connectors: minor axis")
    gate = one_of("Gate", GATES)
    design_factor = figure(
        "Design factor", "number", help_text="Empty: that of its class. Stricter allowed, looser never."
    )
    proven_hold_n = figure("Proven hold of the hitch", "force")
    proven_hold_basis = words("How the hold was proven", longest=160, help_text=HOLD_HINT)

    length_m = figure("Length now", "length")
    diameter_mm = figure("Diameter", "diameter_gear")
    terminations = forms.MultipleChoiceField(
        label="Ends it has for good", choices=TERMINATIONS, required=False, widget=forms.CheckboxSelectMultiple
    )
    rope_diameter_min_mm = figure("Thinnest rope", "diameter_gear")
    rope_diameter_max_mm = figure("Thickest rope", "diameter_gear")
    sheave_diameter_mm = figure("Sheave or drum diameter", "diameter_gear")
    sheave_count = whole("Sheaves", most=8)
    sheave_efficiency = figure("Efficiency of a sheave", "percent")
    sheave_efficiency_origin = one_of("Efficiency comes from", EFFICIENCY_ORIGINS)
    extended_length_m = figure("Extended length of the set", "length")
    two_blocked_length_m = figure("Two-blocked length of the set", "length")
    reference_elongation_ratio = figure("Stretch", "percent")
    reference_load_ratio = figure("at this part of its breaking strength", "percent")
    mass_kg = figure("Mass", "mass")

    manufactured_on = day("Made on")
    is_unused = forms.BooleanField(label="Not used yet", required=False)
    first_used_on = day("First used on")
    life_from_maker = forms.BooleanField(
        label="The maker sets its life", required=False, help_text="Both empty then means: no end by age"
    )
    life_years_from_manufacture = whole("Years from manufacture", most=60)
    life_years_from_first_use = whole("Years from first use", most=60)
    permitted_uses = whole("Uses permitted", most=1_000_000)
    maker_interval_months = whole("Maker's inspection interval, months", most=120)

    storage_place = words("Kept at", longest=80)
    assembly = forms.ModelChoiceField(label="Part of tackle set", queryset=GearItem.objects.none(), required=False)
    parts_expected = whole("Tagged parts of the set", most=30, help_text="Tackle sets only")
    spliced_by = forms.ModelChoiceField(
        label="Spliced by", queryset=Person.objects.none(), required=False, help_text="May not examine it"
    )
    borrowed_from = words("Borrowed from", longest=120)
    due_back_on = day("Due back on")
    documents = text("Papers", help_text="Certificates and instructions, and where they are kept")
    notes = text("Notes")

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
        self.fields["assembly"].queryset = sets  # type: ignore[attr-defined]
        self.fields["spliced_by"].queryset = Person.objects.for_company(company).working().with_details()  # type: ignore[attr-defined]
        self.all_fields = dict(self.fields)
        if item is not None:
            self.fields["construction"].choices = [("", "Not stated"), *item.declared.constructions]  # type: ignore[attr-defined]
            self.fields = {name: field for name, field in self.fields.items() if name in PLACED}

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
    return {name: getattr(row, GearItem._meta.get_field(name).attname) for name in values}  # type: ignore[union-attr]


def initial_of(item: GearItem) -> dict[str, Any]:
    """What the form shows of an item."""
    fixed = ("tag", "gear_class", "assembly")
    return {name: getattr(item, name) for name in ItemForm.base_fields if name not in fixed}
