"""A declared column: its form field, its bounds in a CHECK, and what a migration sees of it."""

import pytest
from django import forms
from django.db import models
from django.db.models import Q
from django.test.utils import isolate_apps

from crewlog.quantities.columns import (
    ALWAYS,
    ChoiceColumn,
    CountColumn,
    DayColumn,
    FlagColumn,
    LargeCountColumn,
    LineColumn,
    ListedColumn,
    QuantityColumn,
    TextColumn,
    declared_columns,
)
from crewlog.quantities.fields import BearingField, QuantityField, UnitForm


class Wood(models.TextChoices):
    SOUND = "sound", "Sound"
    ROTTEN = "rotten", "Rotten"


@pytest.fixture
def spar():
    with isolate_apps("crewlog"):

        class Spar(models.Model):  # noqa: DJ008 - never shown
            name = models.CharField(max_length=10)
            height_m = QuantityColumn(
                "height of the spar", kind="length", above=0, max_value=80, null=True, hint="To its top.",
                needed=ALWAYS, method="measured_with", favourable="lower", check="spar_sizes",
            )  # fmt: skip
            bark_m = QuantityColumn(
                "bark", kind="diameter_stem", label="Bark, one side", min_value=0, max_value=0.2, check="spar_sizes",
            )  # fmt: skip
            lean_deg = QuantityColumn("lean", kind="angle", min_value=0, max_value=30, null=True, noun="lean")
            bearing_deg = QuantityColumn("bearing", kind="bearing", null=True, check="spar_bearing", needed="is_held")
            spare_m = QuantityColumn("room", kind="length", min_value=0, max_value=5, default=0.0, default_stands=True)
            people = CountColumn("people", min_value=1, max_value=12, null=True)
            parts = CountColumn("parts", min_value=2, max_value=8, default=5, check="spar_parts")
            wood = ChoiceColumn("wood", Wood, max_length=10)
            measured_with = ChoiceColumn("way it was measured", Wood, max_length=10, default=Wood.SOUND)
            is_held = FlagColumn("held", label="A line holds it", default=False)
            girth_m = QuantityColumn(
                "girth", kind="length", above=0, null=True, check="spar_%(column)s_positive",
                refusal="The girth must be above zero.",
            )  # fmt: skip
            turns = LargeCountColumn(
                "turns", above=0, box_max=100_000, null=True, heading="Turns made", check="spar_turns", counted="turns"
            )
            forester = LineColumn("forester", max_length=40)
            grain = ListedColumn("grain", [("straight", "Straight"), ("spiral", "Spiral")], max_length=10)
            remarks = TextColumn("remarks")
            felled_on = DayColumn("felled on", null=True)

            class Meta:
                app_label = "crewlog"
                constraints = [
                    models.CheckConstraint(name="spar_sizes", condition=Q()),
                    models.CheckConstraint(name="spar_bearing", condition=Q()),
                    models.CheckConstraint(name="spar_parts", condition=Q()),
                    models.CheckConstraint(name="spar_turns", condition=Q()),
                ]

        yield Spar


@pytest.fixture
def form(spar):
    class SparForm(UnitForm, forms.ModelForm):
        class Meta:
            model = spar
            fields = [column.name for column in spar._meta.concrete_fields if column.name != "id"]

    return SparForm


def constraint(model, name):
    return next(each for each in model._meta.constraints if each.name == name)


def test_only_declared_columns_are_listed_in_their_order(spar):
    assert [column.name for column in declared_columns(spar)][:3] == ["height_m", "bark_m", "lean_deg"]
    assert "name" not in {column.name for column in declared_columns(spar)}


def test_field_takes_label_hint_and_bounds_of_its_column(form):
    field = form.base_fields["height_m"]
    assert isinstance(field, QuantityField)
    assert (field.label, field.help_text, field.required) == ("Height of the spar", "To its top.", False)
    assert (field.limits.min_value, field.limits.max_value, field.limits.exclusive) == (0, 80, True)
    assert form.base_fields["bark_m"].label == "Bark, one side"
    assert form.base_fields["lean_deg"].limits.noun == "lean"


def test_bearing_counts_north_as_0(form):
    field = form.base_fields["bearing_deg"]
    field.unit_system = "metric"
    assert isinstance(field, BearingField)
    assert field.clean("360") == 0


def test_a_default_has_to_be_answered_unless_it_stands_for_an_empty_box(spar, form):
    required = {name for name, field in form.base_fields.items() if field.required}
    assert required == {"name", "parts", "measured_with", "forester"}
    assert {c.name for c in declared_columns(spar) if c.is_asked_at_first} == {"parts", "measured_with"}


def test_answers_are_shown_in_words_and_start_unanswered(spar, form):
    assert [label for _, label in form.base_fields["wood"].choices] == ["Sound", "Rotten"]
    assert spar().wood == ""
    assert form.base_fields["is_held"].label == "A line holds it"


def test_check_holds_the_bounds_of_the_columns_that_name_it(spar):
    assert constraint(spar, "spar_sizes").condition == (
        (Q(height_m__isnull=True) | Q(height_m__gt=0, height_m__lte=80)) & Q(bark_m__gte=0, bark_m__lte=0.2)
    )
    bearing = Q(bearing_deg__isnull=True) | Q(bearing_deg__gte=0, bearing_deg__lt=360)
    assert constraint(spar, "spar_bearing").condition == bearing
    assert constraint(spar, "spar_parts").condition == Q(parts__gte=2, parts__lte=8)


def test_a_column_with_a_refusal_brings_a_check_of_its_own(spar):
    own = constraint(spar, "spar_girth_m_positive")
    assert own.condition == Q(girth_m__isnull=True) | Q(girth_m__gt=0)
    assert own.violation_error_message == "The girth must be above zero."


def test_what_a_box_takes_at_most_is_no_bound_of_the_check(spar, form):
    field = form.base_fields["turns"]
    assert (field.min_value, field.max_value) == (1, 100_000)
    assert constraint(spar, "spar_turns").condition == Q(turns__isnull=True) | Q(turns__gt=0)
    assert spar._meta.get_field("turns").heading == "Turns made"


def test_words_lists_and_days_have_boxes_of_their_columns(form):
    assert form.base_fields["forester"].max_length == 40
    assert [label for _, label in form.base_fields["grain"].choices] == ["Not stated", "Straight", "Spiral"]
    assert isinstance(form.base_fields["remarks"].widget, forms.Textarea)
    assert form.base_fields["felled_on"].error_messages["invalid"] == "Write the day like 2026-11-25."


@pytest.mark.parametrize(
    ("name", "inside", "outside"),
    [
        ("height_m", (0.01, 80), (0, -1, 80.1)),
        ("bark_m", (0, 0.2), (-0.01, 0.21)),
        ("bearing_deg", (0, 359.9), (-1, 360)),
        ("people", (1, 12), (0, 13)),
    ],
)
def test_a_column_says_which_values_it_holds(spar, name, inside, outside):
    column = spar._meta.get_field(name)
    assert all(column.holds(value) for value in inside)
    assert not any(column.holds(value) for value in outside)


def test_needed_always_or_by_what_the_row_says(spar):
    height, bearing, bark = (spar._meta.get_field(name) for name in ("height_m", "bearing_deg", "bark_m"))
    assert height.is_needed(spar())
    assert not bearing.is_needed(spar())
    assert bearing.is_needed(spar(is_held=True))
    assert not bark.is_needed(spar())


def test_migration_sees_a_plain_field_without_words_and_choices(spar):
    for column in declared_columns(spar):
        _, path, args, kwargs = column.deconstruct()
        assert path.startswith("django.db.models.")
        assert not args
        assert set(kwargs) <= {"null", "blank", "default", "max_length"}
        assert type(column.clone()).__module__.startswith("django.")


def test_column_that_names_no_check_of_its_model_is_refused():
    with isolate_apps("crewlog"), pytest.raises(LookupError, match="no_such_check"):

        class Spar(models.Model):  # noqa: DJ008 - never shown
            height_m = QuantityColumn("height", kind="length", check="no_such_check")

            class Meta:
                app_label = "crewlog"


def test_column_with_two_lower_bounds_is_refused():
    with pytest.raises(ValueError, match="either"):
        QuantityColumn("height", kind="length", min_value=0, above=0)


def test_count_without_bounds_has_no_box():
    with pytest.raises(ValueError, match="no bounds"):
        CountColumn("people", min_value=1).formfield()
