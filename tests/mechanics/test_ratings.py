"""What an item carries where it stands."""

import math

import pytest

from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.rating_data import CHOKE_STEPS, DESIGN_FACTORS, TERMINATIONS
from jobs.mechanics.ratings import (
    Item,
    LoadedItem,
    bend_efficiency,
    capacity,
    choke_ratio,
    has_small_sheave,
    utilisations,
)
from jobs.mechanics.resultants import ResultantItem, hitch_leg, resultant, resultants
from jobs.mechanics.roles import ITEM_KINDS
from tests.given import Given


def rope(**more):
    given: Given = {"kind": "rope", "breaking_strength_n": 30000.0, "terminations": ("bowline",)}
    return Item(**(given | more))


def sling(**more):
    given: Given = {"kind": "sling", "working_load_limit_n": 10000.0}
    return Item(**(given | more))


def refusal_of(item):
    with pytest.raises(Refused) as refusal:
        capacity(item)
    return refusal.value.code


def test_every_kind_has_a_design_factor():
    assert set(DESIGN_FACTORS) == set(ITEM_KINDS)
    assert (DESIGN_FACTORS["rope"], DESIGN_FACTORS["sling"], DESIGN_FACTORS["tree"]) == (5, 7, 2)


def test_base_is_the_least_of_limit_and_strength_over_factor():
    assert capacity(rope(working_load_limit_n=5000.0)).base_capacity_n == 5000.0
    assert capacity(rope(working_load_limit_n=9000.0)).base_capacity_n == 6000.0
    assert capacity(rope(design_factor=10.0)).base_capacity_n == 3000.0


def test_weakest_of_knots_and_bends_counts_and_they_are_not_multiplied():
    both = rope(terminations=("bowline", "sewn_eye"), bend_ratios=(4.0,))
    assert capacity(both).reduction_ratio == pytest.approx(0.60)


def test_wet_nylon_and_what_is_left_of_the_strength_multiply():
    assert capacity(rope(material="nylon", residual_strength_ratio=0.9)).reduction_ratio == pytest.approx(
        0.6 * 0.9 * 0.8
    )


def test_seven_terminations_end_a_rope_and_two_do_not():
    assert sum(row.ends_the_rope for row in TERMINATIONS.values()) == 7
    assert refusal_of(rope(terminations=("friction_hitch_on_line", "none"))) == "termination-missing"
    for kind in ("tackle_rope", "hitch_cord"):
        assert refusal_of(rope(kind=kind, terminations=())) == "termination-missing"


def test_bend_of_four_diameters_leaves_three_quarters():
    # Bend factor from wire-rope practice, from memory: 1 - 0.5/sqrt(D/d).
    assert bend_efficiency(4.0) == pytest.approx(0.75)
    assert bend_efficiency(3.0) == pytest.approx(1 - 0.5 / math.sqrt(3))


def test_bend_under_three_is_refused_and_under_four_is_small():
    assert refusal_of(rope(bend_ratios=(2.99,))) == "sheave-too-small"
    assert has_small_sheave(rope(bend_ratios=(8.0, 3.5)))
    assert not has_small_sheave(rope(bend_ratios=(4.0,)))


@pytest.mark.parametrize(
    ("angle_deg", "ratio"),
    [(180, 1.0), (120, 1.0), (119, 0.87), (90, 0.87), (60, 0.74), (30, 0.62), (29, 0.49), (0, 0.49)],
)
def test_choke_angle_takes_the_step_it_reaches(angle_deg, ratio):
    assert choke_ratio(float(angle_deg)) == ratio
    assert [step.min_angle_deg for step in CHOKE_STEPS] == sorted((s.min_angle_deg for s in CHOKE_STEPS), reverse=True)


def test_printed_rating_of_the_mode_is_the_base_alone():
    tag = {"vertical_rating_n": 9800.0, "choker_rating_n": 7850.0, "basket_rating_n": 19600.0}
    assert capacity(sling(working_load_limit_n=1.0, configuration="straight", **tag)).capacity_n == 9800.0
    assert capacity(sling(configuration="choker", choke_angle_deg=95.0, **tag)).capacity_n == pytest.approx(7850 * 0.87)
    basket = sling(configuration="basket", basket_half_angle_deg=60.0, **tag)
    assert capacity(basket).capacity_n == pytest.approx(9800.0)


def test_basket_without_a_printed_rating_has_two_legs():
    basket = sling(configuration="basket", basket_half_angle_deg=20.0)
    assert capacity(basket).capacity_n == pytest.approx(20000.0 * math.cos(math.radians(20)))


def test_basket_wider_than_sixty_degrees_or_of_unknown_angle_is_refused():
    assert refusal_of(sling(configuration="basket", basket_half_angle_deg=60.1)) == "sling-angle"
    assert refusal_of(sling(configuration="basket")) == "sling-angle"


def test_connector_across_its_axis_rests_on_its_minor_axis_alone():
    connector = Item(
        kind="connector", breaking_strength_n=30000.0, gate="screw", loaded="across", minor_axis_strength_n=7000.0
    )
    assert capacity(connector).capacity_n == pytest.approx(1400.0)


@pytest.mark.parametrize("gate", ["plain", None])
def test_connector_without_a_locking_gate_is_refused(gate):
    assert refusal_of(Item(kind="connector", breaking_strength_n=30000.0, gate=gate)) == "connector-gate"


def test_shock_takes_ropes_down_and_nothing_else():
    assert capacity(rope(), shock_credible=True).base_capacity_n == 3000.0
    assert capacity(rope(design_factor=12.0), shock_credible=True).base_capacity_n == 2500.0
    limited = rope(breaking_strength_n=None, working_load_limit_n=4000.0)
    assert capacity(limited, shock_credible=True).base_capacity_n == 2000.0
    assert capacity(sling(), shock_credible=True).capacity_n == 10000.0


@pytest.mark.parametrize("ratio", [0.0, -0.5, 1.01])
def test_residual_strength_outside_nought_to_one_is_refused(ratio):
    assert refusal_of(rope(residual_strength_ratio=ratio)) == "residual-ratio"


@pytest.mark.parametrize(
    "ratings", [{}, {"breaking_strength_n": 0.0}, {"working_load_limit_n": 0.0, "breaking_strength_n": 9e4}]
)
def test_nothing_to_make_a_base_of_is_unrated(ratings):
    assert refusal_of(Item(kind="block", **ratings)) == "unrated"


def test_refusals_come_in_their_order():
    worst: Given = {
        "kind": "fence",
        "inspection_overdue": True,
        "retired": True,
        "residual_strength_ratio": 5.0,
        "bend_ratios": (2.0,),
    }
    cures: list[tuple[str, Given]] = [
        ("item-kind", {"kind": "rope"}),
        ("overdue", {"inspection_overdue": False}),
        ("retired", {"retired": False}),
        ("unrated", {"breaking_strength_n": 1e4}),
        ("residual-ratio", {"residual_strength_ratio": 1.0}),
        ("termination-missing", {"terminations": ("sewn_eye",)}),
        ("sheave-too-small", {"bend_ratios": (8.0,)}),
    ]
    for code, cure in cures:
        assert refusal_of(Item(**worst)) == code
        worst |= cure
    assert capacity(Item(**worst)).capacity_n == pytest.approx(1e4 / 5 * (1 - 0.5 / math.sqrt(8)))


def test_connector_refusals_come_before_the_rating():
    worst: Given = {"kind": "connector", "gate": None, "loaded": "across"}
    assert refusal_of(Item(**worst)) == "connector-gate"
    assert refusal_of(Item(**(worst | {"gate": "bolt"}))) == "connector-cross-loaded"


def test_load_equal_to_the_capacity_passes_and_a_refused_item_says_so_alone():
    good, bad = utilisations([LoadedItem(rope(), 3600.0), LoadedItem(rope(retired=True), 1.0)]).items
    assert good.within_capacity
    assert good.utilisation_ratio == pytest.approx(1.0)
    assert (bad.refused, bad.load_n, bad.capacity_n) == ("retired", None, None)


def test_item_figures_that_are_nonsense_are_refused():
    for bad in (
        {"breaking_strength_n": -1.0},
        {"design_factor": 0.9},
        {"bend_ratios": (0.0,)},
        {"choke_angle_deg": 181.0},
    ):
        with pytest.raises(OutOfRange):
            rope(**bad)
    with pytest.raises(OutOfRange):
        LoadedItem(rope(), -1.0)


@pytest.mark.parametrize(
    ("included_deg", "factor"), [(0, 2.0), (60, math.sqrt(3)), (90, math.sqrt(2)), (120, 1.0), (180, 0.0)]
)
def test_two_equal_legs_load_their_block_by_the_angle_between_them(included_deg, factor):
    # Snatch-block factor 2 cos(angle/2), textbook.
    assert resultant(1000.0, 1000.0, float(included_deg)) == pytest.approx(1000.0 * factor, abs=1e-4)


def test_hitch_legs_share_the_tension_until_they_spread_too_far():
    assert hitch_leg(1000.0, 0.0) == 500.0
    assert hitch_leg(1000.0, 119.9) < 1000.0
    with pytest.raises(Refused) as refusal:
        hitch_leg(1000.0, 120.0)
    assert refusal.value.code == "hitch-spread"


def test_resultants_answer_in_order_and_the_first_refusal_stops_them():
    items = [
        ResultantItem("resultant", tension_1_n=3.0, tension_2_n=4.0, included_angle_deg=90.0),
        ResultantItem("hitch_leg", tension_n=10.0, spread_deg=0.0),
        ResultantItem("bend_efficiency", bend_ratio=4.0),
    ]
    assert resultants(items).values == pytest.approx((5.0, 5.0, 0.75))
    with pytest.raises(Refused):
        resultants([*items, ResultantItem("bend_efficiency", bend_ratio=2.0)])


@pytest.mark.parametrize("given", [{"tension_n": 1.0}, {"bend_ratio": 4.0, "spread_deg": 1.0}, {}])
def test_a_question_needs_its_own_figures_and_no_others(given):
    with pytest.raises(OutOfRange):
        ResultantItem("bend_efficiency", **given)
