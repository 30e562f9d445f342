"""What the database itself refuses, written past every form and service."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, IntegrityError, transaction

from crewlog.quantities.columns import BoundedColumn, QuantityColumn, WholeColumn, declared_columns
from gear.models import GearEvent, GearItem, Inspection, InspectionScheme, Retirement, SchemeRule
from gear.register.bulk import item_faults
from tests.factories.gear import ItemFactory, examined, happened
from tests.given import Given

pytestmark = pytest.mark.django_db
DAY = dt.date(2026, 11, 25)
BOUNDED = [
    column for column in declared_columns(GearItem) if isinstance(column, BoundedColumn) and column.above is not None
]
POSITIVE = [column.name for column in BOUNDED if column.max_value is None and column.name != "parts_expected"]
RATIOS = [column.name for column in BOUNDED if column.max_value == 1]


def test_every_figure_that_may_be_unknown_is_bounded_by_its_column():
    unknown = {c.name for c in declared_columns(GearItem) if c.null and isinstance(c, QuantityColumn | WholeColumn)}
    assert unknown == {*POSITIVE, *RATIOS, "parts_expected"}
    assert len(RATIOS) == 3


def refuse(item, **columns):
    """Writing past the form breaks a constraint, and the form's own check says why in words."""
    with pytest.raises(IntegrityError), transaction.atomic():
        GearItem.objects.filter(pk=item.pk).update(**columns)
    for name, value in columns.items():
        setattr(item, name, value)
    with pytest.raises(ValidationError) as caught:
        item.full_clean()
    assert not any("is violated" in message for message in caught.value.messages)


@pytest.mark.parametrize("field", POSITIVE)
def test_no_figure_is_nought(field):
    gear_class = {"parts_expected": "tackle_set"}.get(field, "rope")
    item = ItemFactory(gear_class=gear_class, breaking_strength_n=90_000.0, evidence=False)
    refuse(item, **{field: 0})


@pytest.mark.parametrize("field", RATIOS)
@pytest.mark.parametrize("value", [0.0, 1.01])
def test_ratios_lie_above_nought_and_up_to_one(field, value):
    item = ItemFactory(evidence=False)
    together: dict[str, Given] = {
        "sheave_efficiency": {"sheave_efficiency_origin": "maker"},
        "reference_load_ratio": {"reference_elongation_ratio": 0.02},
    }
    refuse(item, **{field: value}, **together.get(field, {}))


@pytest.mark.parametrize(
    "columns",
    [
        {"rope_diameter_min_mm": 16.0, "rope_diameter_max_mm": 12.0},
        {"extended_length_m": 1.0, "two_blocked_length_m": 1.0},
        {"breaking_strength_n": 10_000.0, "working_load_limit_n": 10_000.0},
        {"manufactured_on": DAY, "first_used_on": DAY - dt.timedelta(days=1)},
        {"reference_elongation_ratio": 0.02},
        {"sheave_efficiency": 0.9},
        {"sheave_efficiency": 0.9, "sheave_efficiency_origin": "guess"},
        {"proven_hold_n": 5_000.0},
        {"is_unused": True},
        {"due_back_on": DAY},
        {"pulls_at_ground": False},
        {"parts_expected": 3},
        {"gear_class": "tackle_set"},
        {"tag": ""},
        {"description": ""},
        {"gate": "zip"},
        {"material": "hemp-ish"},
        {"design_factor": 0.9},
        {"retired_on": DAY},
        {"quarantined_on": DAY},
        {"quarantined_because": "Dropped"},
        {"examination_pending_since": DAY},
        {"remark_due_on": DAY},
    ],
    ids=lambda columns: " ".join(columns),
)
def test_an_item_cannot_say_what_cannot_be(columns):
    refuse(ItemFactory(evidence=False), **columns)


@pytest.mark.parametrize(
    "columns",
    [{"gear_class": "hammock"}, {"design_factor": 4.9}, {"gear_class": "sling", "design_factor": 6.9}],
    ids=lambda columns: " ".join(columns),
)
def test_a_class_and_its_design_factor_are_held_by_every_way_into_the_store(columns):
    """The database knows no list of classes; what is written past all of these is named by the checks."""
    item = ItemFactory(evidence=False)
    for name, value in columns.items():
        setattr(item, name, value)
    with pytest.raises(ValidationError) as caught:
        item.full_clean()
    assert set(caught.value.error_dict) & set(columns)
    assert {name for name, _, _ in item_faults(item)} & set(columns)


def test_a_tag_is_never_used_twice_in_a_company_not_even_a_retired_one():
    gone = ItemFactory(tag="R-02", retired=True)
    with pytest.raises(IntegrityError), transaction.atomic():
        ItemFactory(company=gone.company, tag="r-02")
    assert ItemFactory(tag="R-02").pk  # another company's own


def test_a_tackle_set_is_no_part_of_another():
    outer = ItemFactory(gear_class="tackle_set", parts_expected=3, evidence=False)
    inner = ItemFactory(company=outer.company, gear_class="tackle_set", parts_expected=2, evidence=False)
    refuse(inner, assembly=outer)


@pytest.mark.parametrize("change", [{"verdict": "out_of_use"}, {"findings": "none"}])
def test_a_signed_inspection_cannot_be_changed(change):
    item = ItemFactory()
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        Inspection.objects.filter(item=item).update(**change)
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        Inspection.objects.filter(item=item)._raw_delete("default")


@pytest.mark.parametrize(("model", "story"), [(GearEvent, "quarantined"), (Retirement, "retired")])
def test_events_and_retirements_cannot_be_taken_out(model, story):
    item = ItemFactory(**{story: True})
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        model.objects.filter(item=item)._raw_delete("default")


@pytest.mark.parametrize(
    "columns",
    [
        {"kind": "glance"},
        {"verdict": "fine"},
        {"verdict": "remark"},
        {"remark_due_on": DAY},
        {"verdict": "remark", "remark_due_on": dt.date(2020, 1, 1)},
        {"next_due_on": dt.date(2020, 1, 1)},
        {"kind": "declaration"},
        {"declaration_dated_on": DAY},
        {"residual_strength_ratio": 0.0},
        {"residual_strength_ratio": 1.2},
    ],
    ids=lambda columns: " ".join(columns),
)
def test_an_inspection_cannot_say_what_cannot_be(columns):
    item = ItemFactory(evidence=False)
    with pytest.raises((IntegrityError, ValidationError)), transaction.atomic():
        examined(item, **columns)


def test_a_failing_verdict_without_telling_the_employer_is_refused():
    item = ItemFactory()
    row = Inspection.objects.get(item=item)
    row.pk = None
    row.verdict = "out_of_use"
    with pytest.raises(ValidationError, match="The employer must be told"):
        row.validate_constraints(exclude=["record"])


@pytest.mark.parametrize(
    ("kind", "columns"),
    [
        ("fell_over", {}),
        ("drop", {"description": ""}),
        ("shock_load", {"gear_loaded": None}),
        ("shock_load", {"gear_loaded": False}),
        ("near_miss_not_loaded", {"gear_loaded": True}),
        ("recall", {}),
        ("used", {"gear_loaded": True}),
        ("shortened", {"length_before_m": 40.0, "length_after_m": 45.0}),
    ],
)
def test_an_event_cannot_say_what_cannot_be(kind, columns):
    item = ItemFactory(evidence=False)
    with pytest.raises((IntegrityError, ValidationError)), transaction.atomic():
        happened(item, kind, **columns)


def test_an_interval_is_never_longer_than_its_default():
    item = ItemFactory()
    rule = SchemeRule.objects.filter(scheme__company=item.company).first()
    with pytest.raises(IntegrityError), transaction.atomic():
        SchemeRule.objects.filter(pk=rule.pk).update(months=rule.default_months + 1)


def test_a_scheme_rule_names_its_basis():
    scheme = InspectionScheme.objects.create(company=ItemFactory().company, name="Own rule")
    with pytest.raises(IntegrityError), transaction.atomic():
        SchemeRule.objects.create(scheme=scheme, use="measure", months=6, basis="", how_obtained="")


def test_gear_with_evidence_cannot_be_deleted():
    item = ItemFactory()
    with pytest.raises(DatabaseError), transaction.atomic():
        item.delete()
    assert GearItem.objects.filter(pk=item.pk).exists()
