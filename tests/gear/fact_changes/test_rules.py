"""Which way a change of each fact goes."""

import pytest

from gear.fact_changes.rules import BY_SUBJECT, FACTS, SUBJECT_OF, SUBJECTS, About, is_mixed_life, ways_of
from gear.models import GearItem
from gear.register.editable import EDITABLE, PLAIN
from tests.rows import every_row

LIFE = ("life_from_maker", "life_years_from_manufacture", "life_years_from_first_use")
USES = ("pulls_at_ground", "lifts_or_lowers", "supports_person", "measures_load")


def way_of(before, after, *, gear_class="rope", has_interval=True):
    """The way of a change given by column; what is not named is empty on both sides."""
    names = {*FACTS, *before}
    blank = dict.fromkeys(names)
    said = (blank | before, blank | before | after)
    changed = {name for name in after if said[0][name] != said[1][name]}
    ways = set(ways_of(changed, said[0], said[1], About(gear_class, has_interval)).values())
    (way,) = ways or {"same"}
    return way


def test_every_fact_of_an_item_is_changed_in_place_or_as_an_event_and_never_both():
    assert set(EDITABLE) - {"parent"} == set(FACTS) | set(PLAIN)
    assert not set(FACTS) & set(PLAIN)


def test_every_fact_stands_in_one_subject():
    assert set(SUBJECT_OF) == set(FACTS)
    assert sum(len(subject.columns) for subject in SUBJECTS) == len(SUBJECT_OF)
    assert len(BY_SUBJECT) == len(SUBJECTS)
    assert all(rule.why for rule in FACTS.values())


def test_every_column_of_the_table_is_a_column_of_an_item():
    assert set(FACTS) <= {field.name for field in GearItem._meta.concrete_fields}


@every_row(
    ("name", "less", "more"),
    [
        ("breaking_strength_n", 50_000.0, 90_000.0),
        ("working_load_limit_n", 9_000.0, 10_000.0),
        ("vertical_rating_n", 9_000.0, 10_000.0),
        ("choker_rating_n", 9_000.0, 10_000.0),
        ("basket_rating_n", 9_000.0, 10_000.0),
        ("minor_axis_strength_n", 7_000.0, 9_000.0),
        ("proven_hold_n", 7_000.0, 9_000.0),
        ("length_m", 40.0, 60.0),
        ("rope_diameter_max_mm", 13.0, 16.0),
        ("sheave_diameter_mm", 80.0, 90.0),
        ("sheave_count", 1, 2),
        ("extended_length_m", 5.0, 6.0),
        ("manufactured_on", "2020-01-31", "2021-01-01"),
        ("permitted_uses", 20, 30),
        ("maker_interval_months", 6, 12),
    ],
)
def test_more_is_looser_and_less_is_stricter(name, less, more):
    assert way_of({name: less}, {name: more}) == "looser"
    assert way_of({name: more}, {name: less}) == "stricter"


@pytest.mark.parametrize(
    ("name", "less", "more"),
    [("design_factor", 5.0, 7.0), ("rope_diameter_min_mm", 8.0, 10.0), ("two_blocked_length_m", 1.0, 1.5),
     ("parts_expected", 3, 4)],
)  # fmt: skip
def test_less_is_looser_where_the_figure_guards(name, less, more):
    assert way_of({name: more}, {name: less}) == "looser"
    assert way_of({name: less}, {name: more}) == "stricter"


@pytest.mark.parametrize("name", ["length_m", "minor_axis_strength_n", "rope_diameter_max_mm", "manufactured_on"])
def test_a_figure_that_becomes_known_lifts_a_refusal(name):
    value = "2020-01-31" if name == "manufactured_on" else 9.0
    assert way_of({}, {name: value}) == "looser"
    assert way_of({name: value}, {name: None}) == "stricter"


@pytest.mark.parametrize("name", ["permitted_uses", "maker_interval_months", "sheave_diameter_mm"])
def test_a_limit_that_goes_is_looser(name):
    assert way_of({name: 9}, {name: None}) == "looser"
    assert way_of({}, {name: 9}) == "stricter"


def test_an_unknown_number_of_sheaves_is_one():
    assert way_of({}, {"sheave_count": 2}) == "looser"
    assert way_of({"sheave_count": 2}, {"sheave_count": None}) == "stricter"
    assert way_of({}, {"sheave_count": 1}) == "same"


def test_a_rating_that_goes_is_looser_where_another_stays():
    both = {"breaking_strength_n": 50_000.0, "working_load_limit_n": 8_000.0}
    assert way_of(both, {"working_load_limit_n": None}) == "looser"
    assert way_of({"working_load_limit_n": 8_000.0}, {"working_load_limit_n": None}) == "stricter"


def test_a_working_load_limit_beside_a_breaking_strength_only_takes_away():
    strong = {"breaking_strength_n": 50_000.0}
    assert way_of(strong, {"working_load_limit_n": 8_000.0}) == "stricter"
    assert way_of({}, {"working_load_limit_n": 8_000.0}) == "looser"
    assert way_of(strong, {"working_load_limit_n": 8_000.0}, gear_class="sling") == "looser"


@pytest.mark.parametrize(
    ("before", "after", "way"),
    [("plain", "screw", "looser"), ("screw", "auto", "looser"), ("screw", "plain", "stricter"),
     ("screw", "", "stricter"), ("", "auto", "looser")],
)  # fmt: skip
def test_only_a_locking_gate_may_carry(before, after, way):
    assert way_of({"gate": before}, {"gate": after}) == way


@pytest.mark.parametrize(
    "name", ["material", "construction", "diameter_mm", "sheave_efficiency", "maker", "maker_model", "serial", "batch"]
)
def test_a_fact_without_a_direction_waits_whichever_way_it_goes(name):
    assert way_of({name: "a"}, {name: "b"}) == "looser"
    assert way_of({name: "b"}, {name: ""}) == "looser"


@pytest.mark.parametrize("name", ["terminations", "reference_elongation_ratio", "reference_load_ratio"])
def test_a_fact_that_is_refused_while_empty_may_be_emptied_at_once(name):
    assert way_of({name: ["bowline"]}, {name: []}) == "stricter"
    assert way_of({name: ["bowline"]}, {name: ["sewn_eye"]}) == "looser"


@pytest.mark.parametrize("name", ["mass_kg", "standard_marked", "proven_hold_basis"])
def test_what_no_rule_reads_counts_at_once(name):
    assert way_of({name: "a"}, {name: "b"}) == "stricter"


def test_the_splicer_is_shut_out_by_name_and_let_in_by_another():
    assert way_of({}, {"spliced_by": "one"}) == "stricter"
    assert way_of({"spliced_by": "one"}, {"spliced_by": None}) == "looser"
    assert way_of({"spliced_by": "one"}, {"spliced_by": "two"}) == "looser"


@pytest.mark.parametrize(
    ("before", "after", "way"),
    [
        ((True, None), (False, "2024-01-01"), "stricter"),
        ((False, "2024-01-01"), (True, None), "looser"),
        ((False, "2024-01-01"), (False, "2024-06-01"), "looser"),
        ((False, "2024-06-01"), (False, "2024-01-01"), "stricter"),
        ((False, None), (False, "2024-01-01"), "looser"),
        ((False, "2024-01-01"), (False, None), "stricter"),
    ],
)
def test_a_later_first_use_is_looser_and_unused_the_loosest(before, after, way):
    names = ("is_unused", "first_used_on")
    assert way_of(dict(zip(names, before, strict=True)), dict(zip(names, after, strict=True))) == way


@pytest.mark.parametrize(
    ("before", "after", "way"),
    [
        ((False, None, None), (True, None, None), "looser"),  # the class ends after 10 years, the maker never
        ((False, None, None), (True, 8, None), "stricter"),
        ((False, None, None), (True, 10, None), "same"),
        ((True, 12, 5), (True, 12, 4), "stricter"),
        ((True, 12, 5), (True, 12, None), "looser"),
        ((True, 12, None), (False, None, None), "stricter"),
    ],
)
def test_more_years_or_no_end_are_looser(before, after, way):
    said = [dict(zip(LIFE, each, strict=True)) for each in (before, after)]
    changed = {name for name in LIFE if said[0][name] != said[1][name]}
    assert set(ways_of(changed, said[0], said[1], About("rope")).values()) == {way}


def test_one_life_longer_and_the_other_shorter_is_told_apart():
    before, after = (dict(zip(LIFE, each, strict=True)) for each in ((True, 10, 5), (True, 12, 3)))
    assert is_mixed_life(before, after, About("rope"))
    assert not is_mixed_life(before, before, About("rope"))


def test_a_use_less_is_looser_and_a_use_more_only_where_no_interval_held_it():
    one, two = dict.fromkeys(USES, False) | {"pulls_at_ground": True}, dict.fromkeys(USES, False)
    two |= {"pulls_at_ground": True, "lifts_or_lowers": True}
    assert way_of(two, one) == "looser"
    assert way_of(one, two) == "stricter"
    assert way_of(one, two, has_interval=False) == "looser"
