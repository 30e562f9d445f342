"""The last value on each side of a check, and what a plan says of itself: figures, limits and parts."""

import math
from dataclasses import replace

import pytest

from jobs.mechanics.checks import exceeds, falls_short, require_between, require_positive, require_word
from jobs.mechanics.convert import from_json
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.exchange import solve
from jobs.mechanics.hinge import elastic_modulus_for, hinge
from jobs.mechanics.line import Redirect, SitePoint
from jobs.mechanics.plan.checks import _will_be_struck
from jobs.mechanics.plan.crew import thickness_grid
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.plan.loads import anchor_directions
from jobs.mechanics.plan.side import side_route
from jobs.mechanics.pull import pull
from jobs.mechanics.ratings import Item, choke_ratio
from jobs.mechanics.restraint import Restraint, restraint
from jobs.mechanics.roles import role_title
from jobs.mechanics.stem import Section, SweepKnot, frustums
from jobs.mechanics.tackle import Stage
from jobs.mechanics.travel import RopeStretch, travel
from jobs.mechanics.uncertainty_inputs import Distribution
from jobs.mechanics.wind import stem_drag_lumps
from jobs.mechanics.window import WindowOptions
from tests.given import Given
from tests.mechanics.plans import codes_with, full_inputs, passing_inputs, solved
from tests.mechanics.rig import ANCHOR, HINGE, LINE, TREE, WIND, pole
from tests.mechanics.test_plan import SIDE_LEAN, TRIGGERS

FULL, PASSING = full_inputs(), passing_inputs()


# comparisons and checks


def test_limit_is_passed_by_more_than_rounding_only():
    assert not exceeds(1e-9, 0.0)
    assert exceeds(1.1e-9, 0.0)
    assert not falls_short(-1e-9, 0.0)
    assert falls_short(-1.1e-9, 0.0)


@pytest.mark.parametrize("value", [1e-12, 1.0, 1e12, None])
def test_positive_figures_run_from_next_to_nothing_to_beyond_any_meaning(value):
    require_positive("x", value)


@pytest.mark.parametrize("value", [0.0, 0.9e-12, -1.0, 1.1e12, math.inf, math.nan])
def test_nought_and_what_means_nothing_is_not_positive(value):
    with pytest.raises(OutOfRange):
        require_positive("x", value)


@pytest.mark.parametrize(("value", "passes"), [(2.0, True), (3.0, True), (1.9, False), (3.1, False), (math.nan, False)])
def test_both_ends_of_a_range_belong_to_it(value, passes):
    if passes:
        require_between("x", value, 2.0, 3.0)
    else:
        with pytest.raises(OutOfRange):
            require_between("x", value, 2.0, 3.0)


def test_unbounded_range_still_ends_before_infinity():
    with pytest.raises(OutOfRange):
        require_between("x", math.inf, 0.0, math.inf)


def test_word_is_one_of_the_list_or_not_given():
    require_word("x", None, ("a", "b"))
    require_word("x", "b", ("a", "b"))
    with pytest.raises(OutOfRange):
        require_word("x", "c", ("a", "b"))


@pytest.mark.parametrize(
    ("whole", "good", "bad"),
    [
        (HINGE, {"notch_opening_deg": 180.0}, {"notch_opening_deg": 180.1}),
        (TREE, {"tree_height_m": 0.0}, {"tree_height_m": -0.1}),
        (Section(height_m=1.0, diameter_m=0.1), {"diameter_m": 1e-4}, {"diameter_m": 0.9e-4}),
        (ANCHOR, {"height_m": -1.0}, {"height_m": math.nan}),
        (Redirect(distance_m=9.0, azimuth_deg=0.0, kind="sheave"), {"height_m": -1.0}, {"height_m": math.nan}),
        (Item(kind="sling", breaking_strength_n=1.0), {"choke_angle_deg": 0.0}, {"choke_angle_deg": -0.1}),
        (WindowOptions(), {"split_fraction": 0.1}, {"split_fraction": 0.0}),
        (Distribution(distribution="triangular", low_offset=-1.0, high_offset=1.0), {}, {"low_offset": math.nan}),
        (Distribution(distribution="triangular", low_offset=-1.0, high_offset=1.0), {}, {"high_offset": math.nan}),
    ],
)
def test_last_value_that_makes_sense_is_taken_and_the_next_is_not(whole, good, bad):
    assert replace(whole, **good)
    with pytest.raises(OutOfRange):
        replace(whole, **bad)


@pytest.mark.parametrize(("thickness_m", "refused"), [(0.27, False), (0.279, False), (0.281, True)])
def test_hinge_leaves_a_twentieth_of_the_stem_behind_it(thickness_m, refused):
    # 0.4 m, notch a quarter: apex 0.1 m before the middle; back of the hinge at -0.18 m at most
    given = replace(HINGE, stem_diameter_m=0.4, notch_depth_ratio=0.25, thickness_m=thickness_m)
    if refused:
        with pytest.raises(Refused):
            hinge(given)
    else:
        assert hinge(given).hinge_back_x_m == pytest.approx(0.1 - thickness_m)


def test_modulus_of_a_measured_hinge_takes_its_own_width():
    measured = replace(HINGE, stem_diameter_m=0.4, width_m=0.31)
    assert elastic_modulus_for(measured, 0.4, 0.05) == pytest.approx(0.31 * 0.05**2 / 6.0)
    assert elastic_modulus_for(measured, 0.4, HINGE.thickness_m) == pytest.approx(
        hinge(measured).elastic_section_modulus_m3
    )


@pytest.mark.parametrize(("diameter_m", "first_mm", "last_mm"), [(0.5, 25, 75), (0.3, 20, 45), (0.333, 20, 49)])
def test_grid_of_thicknesses_by_hand(diameter_m, first_mm, last_mm):
    # from 2 cm or a twentieth to 15 % of the diameter
    assert thickness_grid(diameter_m) == pytest.approx([mm / 1000 for mm in range(first_mm, last_mm + 1)])


@pytest.mark.parametrize(("angle", "ratio"), [(120.0, 1.0), (119.0, 0.87), (60.0, 0.74), (30.0, 0.62), (0.0, 0.49)])
def test_choker_loses_with_its_angle(angle, ratio):
    assert choke_ratio(angle) == ratio


def test_log_without_any_drive_pulls_at_nothing():
    level: Given = {"mass_kg": 9.0, "slope_deg": 0.0, "attachment": "axis", "rolling_resistance_coeff": 0.0}
    still = restraint(Restraint(**level, stiffness_n_m=1e4))
    assert (still.driving_force_n, still.stiffness_n_m, still.peak_tension_n) == (0.0, None, 0.0)


def test_second_stage_tips_the_stem_in_one_throw_of_the_parts_of_the_first():
    def tips(throw_m):
        first = Stage(parts=5, rove="to_advantage", extended_length_m=3.0, two_blocked_length_m=1.0, setback_m=0.1)
        second = replace(first, extended_length_m=1.0 + throw_m)
        rope = RopeStretch(45000.0, 0.02, 0.1)
        worked = travel(20.0, 1000.0, rope, tip_travel_m=1.0, stages=(first, second))
        return worked.stages[1].tips_in_one_throw

    assert tips(5.0)
    assert not tips(4.9)


def test_answer_to_a_topic_that_is_no_text_names_none():
    assert solve({"topic": 5, "inputs": {}})["topic"] is None


def test_reading_of_a_pair_that_is_no_pair_is_an_error():
    readings = {"parts": 5, "rove": "to_advantage", "readings_n": [[100, 400], [100], [100, 420]]}
    answer = solve({"topic": "measured_efficiency", "inputs": readings})
    assert answer["path"].startswith("inputs.readings_n[1]")


def test_swept_stem_faces_the_wind_where_it_stands():
    knots = tuple(SweepKnot(height_m=h, forward_m=0.1 * h, left_m=-0.2 * h) for h in (0.0, 10.0))
    swept = replace(pole(length_m=10.0, base_m=0.3, top_m=0.3, hinge_height_m=1.0), sweep=knots)
    lumps = stem_drag_lumps(swept, frustums(swept), 1.2)
    # 9 m of 0.3 m wide cylinder at a drag of 1.2, in the middle 4.5 m above the hinge, 5.5 m above the ground
    (lump,) = lumps
    assert tuple(float(part) for part in lump) == pytest.approx((9.0 * 0.3 * 1.2, 4.5, 0.55, -1.1))


# a plan's figures


@pytest.mark.parametrize(
    ("lay_deg", "azimuth_deg", "distance_m", "struck"),
    [
        (90.0, 105.0, 5.0, True),
        (90.0, 75.0, 5.0, True),
        (90.0, 105.1, 5.0, False),
        (90.0, 74.9, 5.0, False),
        (5.0, 350.0, 5.0, True),
        (355.0, 10.0, 5.0, True),
        (5.0, 349.0, 5.0, False),
        (90.0, 90.0, 11.9, True),
        (90.0, 90.0, 12.0, False),
    ],
)
def test_redirect_is_struck_within_15_degrees_of_the_lay_and_the_height(lay_deg, azimuth_deg, distance_m, struck):
    redirect = Redirect(distance_m=distance_m, azimuth_deg=azimuth_deg, kind="sheave")
    assert _will_be_struck(redirect, lay_deg, 12.0) is struck


def facts(code):
    return solved(*TRIGGERS[code]).finding(code).facts


def test_codes_with_more_than_one_figure_say_them_all():
    assert facts("notch-depth") == {"depth_ratio": 0.19, "limit_low_ratio": 0.20, "limit_high_ratio": 0.35}
    side = facts("side-line-needed")
    leaning = solved(PASSING, SIDE_LEAN)
    assert side["utilisation_ratio"] == pytest.approx(leaning.side_utilisation_ratio)
    assert side["limit_ratio"] == 0.5
    split = facts("barber-chair-high")
    assert split["governing"] in ("bend", "split", "shear")
    assert split["score"] >= 0.0
    over = solved(*TRIGGERS["over-tension-no-gauge:anchor"])
    said, used = over.finding("over-tension-no-gauge:anchor").facts, over.utilisations["anchor"]
    assert said["limit_n"] == pytest.approx(used.capacity_n)  # an anchor has no reserve beyond its capacity
    assert said["load_n"] == pytest.approx(used.overhaul_utilisation_ratio * used.capacity_n)
    assert said["utilisation_ratio"] == pytest.approx(used.overhaul_utilisation_ratio)
    assert said["limit_ratio"] == 1.0


def test_line_that_loses_its_lever_says_where():
    near = SitePoint(distance_m=6.0, azimuth_deg=90.0, height_m=4.0)
    with pytest.raises(Refused) as caught:
        pull(TREE, replace(HINGE, rupture_modulus_mean_pa=400e6), replace(LINE, anchor=near), WIND)
    assert caught.value.code == "line-loses-lever"
    assert 0.0 <= float(caught.value.facts["angle_deg"]) <= 70.0


def test_every_part_that_was_asked_for_is_in_the_result():
    result = solved(FULL, {"uncertainty": {"samples": 200}})
    for name in ("side", "uncertainty", "travel", "bollard", "restraint", "gauge_band_n", "working"):
        assert getattr(result, name) is not None, name
    bare = solved(PASSING)
    for name in ("side", "uncertainty", "bollard", "restraint", "gauge_band_n"):
        assert getattr(bare, name) is None, name


def test_one_person_steadily_pulls_with_the_best_sheaves_less_the_redirects():
    result = solved(FULL)
    best = sum(0.98**power for power in range(5))
    assert result.steady_tension_n == pytest.approx(250.0 * best * result.stem_tension_n / result.tackle_tension_n)


def test_gauge_in_place_of_a_proof_pull_is_enough_where_the_line_alone_holds():
    windy = {"wind.gust_m_s": 10.0}
    gauge = {"tension_gauge": "in_line", "items.tension_gauge": {"kind": "gauge", "working_load_limit_n": 2e4}}
    assert "proof-needed" in codes_with(PASSING, windy)
    assert "proof-needed" not in codes_with(PASSING, windy | gauge)
    assert "proof-needed" not in codes_with(PASSING, windy | {"proof_pull_planned": True})


def test_empty_window_is_not_told_again_by_its_gauge():
    gauge = {"tension_gauge": "in_line", "items.tension_gauge": {"kind": "gauge", "working_load_limit_n": 2e4}}
    codes = codes_with(PASSING, TRIGGERS["window-empty"][1] | gauge)
    assert "window-empty" in codes
    assert "gauge-band-empty" not in codes


def test_side_line_on_the_anchor_of_the_tackle_adds_as_a_vector():
    shared = {f"items.{role}.anchor_name": "oak 1" for role in ("anchor", "side_anchor")}
    plan = from_json(PlanInput, FULL, "inputs")
    result = solved(FULL, shared)
    state = result.working.situation
    _, pull_way = anchor_directions(plan.tree, plan.line, state.route)
    _, side_way = anchor_directions(plan.tree, plan.side_line, side_route(state, plan.side_line))
    loads = result.loads_n
    total = [
        loads["anchor"] * float(a) + loads["side_anchor"] * float(b) for a, b in zip(pull_way, side_way, strict=True)
    ]
    assert result.utilisations["side_anchor"].load_n == pytest.approx(math.hypot(*total))


@pytest.mark.parametrize(
    ("role", "title"), [("redirect_block_2", "2"), ("side_redirect_anchor_1", "1"), ("no_such_role", "no_such_role")]
)
def test_title_of_a_numbered_role_says_its_number(role, title):
    assert title in role_title(role)
    assert role_title("redirect_block_1") != role_title("redirect_block_2")
