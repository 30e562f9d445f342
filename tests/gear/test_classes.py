"""What each class of gear declares."""

import dataclasses

import pytest

from gear.catalogue.classes import BY_CODE, CLASSES, GATES, LOCKING_GATES, MATERIALS, TERMINATIONS
from gear.catalogue.gear_class import RATING_FIELDS, GearClass
from gear.catalogue.wear import WearMeasure
from gear.fact_changes.rules import SUBJECTS
from gear.models import GearItem
from jobs.mechanics.roles import GEAR_KINDS, find_role
from tests.rows import every_row

each_class = every_row("declared", CLASSES, ids=lambda c: c.code)


@each_class
def test_its_kind_is_one_the_mechanics_know(declared):
    assert declared.kind in GEAR_KINDS or (declared.kind == "" and not declared.carries_load)


@each_class
def test_every_position_it_may_take_exists_and_takes_its_kind(declared):
    for name in declared.roles:
        role = find_role(name) or find_role(f"{name}_1")
        assert role is not None, name
        assert declared.kind in role.kinds


@each_class
def test_a_connector_says_how_it_closes_since_the_mechanics_refuse_one_that_does_not(declared):
    assert declared.kind != "connector" or "gate" in declared.facts


def test_every_kind_of_item_can_be_registered():
    assert {c.kind for c in CLASSES} - {""} == set(GEAR_KINDS)


@each_class
def test_its_checklist_has_points_with_sources_and_reads_the_marking(declared):
    points = declared.checklist.points
    assert len(points) >= 4
    assert "marking" in {p.code for p in points}
    assert all(p.words and p.hint and p.source for p in points)
    assert len({p.code for p in points}) == len(points)
    assert declared.checklist_label == f"{declared.code} {declared.checklist.version}"


@each_class
def test_its_ratings_and_measures_name_columns_of_an_item(declared):
    columns = {field.name for field in GearItem._meta.fields}
    assert set(declared.ratings) <= columns & set(RATING_FIELDS)
    assert {m.of for m in declared.measures} - {""} <= columns
    assert all(m.source for m in declared.measures)
    assert all(m.name.endswith(("_mm", "_m", "_ratio")) for m in declared.measures)


@each_class
def test_its_design_factor_is_the_one_of_the_mechanics(declared):
    assert declared.design_factor == (7.0 if declared.kind == "sling" else 5.0)


@each_class
def test_its_materials_are_known_and_something_is_left_of_them(declared):
    assert set(declared.materials) <= set(dict(MATERIALS))
    assert set(declared.materials_refused) <= set(declared.materials)
    assert bool(declared.materials_allowed) == declared.carries_load


@each_class
def test_its_limits_name_a_published_source_or_say_how_else_they_are_known(declared):
    published = ("LOLER", "EM 385", "ASME", "CFR", "WAC")
    sources = [p.source for p in declared.checklist.points]
    sources += [m.source for m in declared.measures] + [declared.life.source]
    said = ("common practice", "from memory", "the inspector judges", *published)
    assert [source for source in sources if not any(word in source for word in said)] == []


def test_polypropylene_is_refused_where_it_would_melt():
    assert "polypropylene" in dict(MATERIALS)
    for code in ("rope", "hitch_cord", "eye_to_eye_sling"):
        assert "polypropylene" in BY_CODE[code].materials_refused


def test_textiles_have_a_life_and_metal_has_none_of_its_own():
    assert BY_CODE["sling"].life.years_from_manufacture == 10
    assert BY_CODE["block"].life.years_from_manufacture is None
    assert all(c.life.source for c in CLASSES)


def test_a_plain_gate_is_known_and_does_not_lock():
    assert "plain" in dict(GATES)
    assert "plain" not in LOCKING_GATES


def test_the_ends_are_the_seven_terminations_and_the_hitch():
    assert len(TERMINATIONS) == 8
    assert TERMINATIONS[-1][0] == "friction_hitch_on_line"


@every_row("field", [field.name for field in dataclasses.fields(GearClass)])
def test_a_class_that_leaves_something_out_is_a_mistake_at_once(field):
    said = {each.name: getattr(BY_CODE["block"], each.name) for each in dataclasses.fields(GearClass)}
    assert GearClass(**said) == BY_CODE["block"]
    del said[field]
    with pytest.raises(TypeError, match=field):
        GearClass(**said)


@each_class
def test_facts_it_declares_are_those_that_only_some_classes_have(declared):
    of_some = {column for subject in SUBJECTS if subject.of_some for column in subject.columns}
    assert {*declared.ratings, *declared.facts} <= of_some


def test_every_fact_that_only_some_classes_have_is_declared_by_one():
    declared = {column for each in CLASSES for column in (*each.ratings, *each.facts)}
    assert {column for subject in SUBJECTS if subject.of_some for column in subject.columns} == declared


def test_what_is_fixed_in_a_place_is_no_lifting_accessory():
    assert {c.code for c in CLASSES if not c.is_accessory} == {c.code for c in CLASSES if c.is_installed}


def test_a_measure_at_its_limit_passes_and_past_it_does_not():
    rope = WearMeasure("diameter_mm", "Smallest diameter", "mm", of="diameter_mm", min_ratio=0.9, source="x")
    assert rope.min_value(14.0) == pytest.approx(12.6)
    assert rope.passes(12.6, 14.0)
    assert not rope.passes(12.5, 14.0)
    drum = WearMeasure("groove_depth_mm", "Groove", "mm", max_value=2.0, source="x")
    assert drum.passes(2.0)
    assert not drum.passes(2.01)


def test_a_measure_against_an_unknown_figure_has_no_limit_to_fail():
    rope = WearMeasure("diameter_mm", "Smallest diameter", "mm", of="diameter_mm", min_ratio=0.9, source="x")
    assert rope.min_value(None) is None
