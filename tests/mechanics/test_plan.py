"""Whole plans: every fail and caution with its figures, and how they hang together."""

import math
import time
from typing import Any

import pytest

from jobs.mechanics.convert import from_json
from jobs.mechanics.errors import Refused
from jobs.mechanics.findings.codes import CODES, find_code
from jobs.mechanics.plan import plan
from jobs.mechanics.plan.input import PlanInput
from tests.mechanics.plans import changed, codes_with, full_inputs, passing_inputs, plain_inputs, solved
from tests.rows import every_row

PASSING, FULL = passing_inputs(), full_inputs()
SIDE_LEAN = {"tree.lean_azimuth_deg": 190.0, "tree.lean_deg": 4.0}
BAD_ITEM = "items.cleat"

# Each code of a plan with a change that brings it on, from the plan that passes (or the full one).
TRIGGERS: dict[str, tuple[Any, ...]] = {
    "too-few-people": (PASSING, {"people": 1}),
    "people-marginal": (PASSING, {"people": 2}),
    "hinge-too-thin": (PASSING, {"hinge.thickness_m": 0.022}),
    "hinge-thin": (PASSING, {"hinge.thickness_m": 0.036}),
    "hinge-too-thick": (PASSING, {"hinge.thickness_m": 0.0691}),
    "hinge-too-narrow": (PASSING, {"hinge.width_m": 0.28}),
    "notch-depth": (PASSING, {"hinge.notch_depth_ratio": 0.19}),
    "notch-opening": (PASSING, {"hinge.notch_opening_deg": 44.0}),
    "notch-narrow": (PASSING, {"hinge.notch_opening_deg": 69.0}),
    "wind-above-limit": (PASSING, {"wind.working_limit_m_s": 5.9}),
    "line-too-steep": (PASSING, {"line.anchor.distance_m": 7.0}),
    "line-steep": (PASSING, {"line.anchor.distance_m": 10.0}),
    "off-axis-pull": (PASSING, {"line.anchor.azimuth_deg": 106.0}),
    "off-axis": (PASSING, {"line.anchor.azimuth_deg": 96.0}),
    "attach-too-low": (PASSING, {"line.attach_height_m": 4.5}),
    "attach-low": (PASSING, {"line.attach_height_m": 7.9}),
    "redirect-will-be-struck": (FULL, {"line.redirects.0.distance_m": 11.9}),
    "back-lean-too-great": (PASSING, {"tree.lean_deg": 10.0}),
    "back-lean": (PASSING, {"tree.lean_deg": 5.0}),
    "hold-critical": (PASSING, {"wind.gust_m_s": 10.0}),
    "shared-anchor": (PASSING, {"wind.gust_m_s": 10.0}),
    "wedge-needed": (PASSING, {"wind.gust_m_s": 10.0}),
    "proof-needed": (PASSING, {"wind.gust_m_s": 10.0}),
    "side-lean-too-great": (FULL, {"tree.lean_deg": 11.0, "tree.lean_azimuth_deg": 180.0}),
    "side-line-needed": (PASSING, SIDE_LEAN),
    "side-moment": (PASSING, SIDE_LEAN | {"tree.lean_deg": 14.0, "hinge.rupture_modulus_mean_pa": 20e6}),
    "side-line-ineffective": (FULL, {"side_line.anchor.azimuth_deg": 175.0}),
    "side-line-holds-back": (FULL, {"side_line.anchor.azimuth_deg": 345.0}),
    "window-empty": (PASSING, {"wind.gust_m_s": 14.0, "tree.crown.0.frontal_area_m2": 14.0}),
    "bore-cut-needed": (PASSING, {"tree.lean_azimuth_deg": 90.0, "tree.lean_deg": 6.0}),
    "forward-lean-too-great": (PASSING, {"tree.lean_azimuth_deg": 90.0, "tree.lean_deg": 16.0}),
    "barber-chair-high": (PASSING, {"window.planned_pre_tension_n": 3200.0}),
    "place-missing:haulers": (PASSING, {"places": []}),
    "place-missing:hitch_tender": (PASSING, {"stages.0.extended_length_m": None}),
    "place-missing:side_tender": (FULL, {"places.2.place": "lookout"}),
    "crew-in-fall-zone:haulers": (PASSING, {"places.0.distance_m": 11.9}),
    "crew-in-fall-zone:hitch_tender": (PASSING, {"line.anchor.distance_m": 15.9}),
    "crew-near-fall-zone:bollard_tender": (PASSING, {"places.1.distance_m": 17.9}),
    "in-line-of-rope:haulers": (PASSING, {"places.0.azimuth_deg": 90.0}),
    "in-line-of-rope:lookout": (FULL, {"places.3": {"place": "lookout", "distance_m": 20.0, "azimuth_deg": 95.0}}),
    "pre-tension-needs-gauge": (PASSING, {"steady_force_n": 650.0}),
    "gauge-band-empty": (FULL, {"tension_gauge": "on_hauling_part", "window.split_fraction": 0.12}),
    "stem-bends": (PASSING, {"window.bending_fraction": 0.08}),
    "stem-can-snap": (PASSING, {"people": 12}),
    "proof-pull-too-high": (PASSING, {"window.bending_fraction": 0.08}),
    "restraint-needed": (PASSING, {"ground_fall_deg": 5.1}),
    "restraint-slack": (FULL, {"restraint.slack_m": 0.51}),
    "haul-too-long": (FULL, {"travel.extended_length_m": 1.5, "travel.setback_m": 0.3}),
    "position-empty:cleat": (PASSING, {BAD_ITEM: None}),
    "anchor-kind:anchor": (PASSING, {"items.anchor.kind": "post"}),
    "item-kind:cleat": (PASSING, {"items.cleat.kind": "block"}),
    "material-not-allowed:main_line": (PASSING, {"items.main_line.material": "polypropylene"}),
    "overdue:cleat": (PASSING, {"items.cleat.inspection_overdue": True}),
    "retired:cleat": (PASSING, {"items.cleat.retired": True}),
    "connector-gate:stem_connector": (PASSING, {"items.stem_connector.gate": "plain"}),
    "connector-cross-loaded:stem_connector": (PASSING, {"items.stem_connector.loaded": "across"}),
    "unrated:cleat": (PASSING, {"items.cleat.working_load_limit_n": None}),
    "residual-ratio:cleat": (PASSING, {"items.cleat.residual_strength_ratio": 1.2}),
    "termination-missing:tackle_rope": (PASSING, {"items.tackle_rope.terminations": []}),
    "sheave-too-small:tackle_rope": (PASSING, {"items.tackle_rope.bend_ratios": [2.9]}),
    "sheave-small:tackle_rope": (PASSING, {"items.tackle_rope.bend_ratios": [3.9]}),
    "sling-angle:anchor_sling": (PASSING, {"items.anchor_sling.basket_half_angle_deg": 61.0}),
    "under-rated:moving_block": (PASSING, {"items.moving_block.working_load_limit_n": 2890.0}),
    "over-tension-no-gauge:anchor": (PASSING, {"items.anchor.breaking_strength_n": 20000.0}),
}


@every_row("code", TRIGGERS)
def test_code_is_given_with_its_figures(code):
    base, changes = TRIGGERS[code]
    result = solved(base, changes)
    finding = result.finding(code)
    assert finding is not None, result.codes
    assert code in result.codes
    assert result.passes == all(find_code(text).kind == "caution" for text in result.codes)
    assert code not in solved(base).codes


def test_every_fail_and_caution_of_the_list_is_brought_on_here():
    listed = {code.name for code in CODES if code.kind != "refusal"}
    assert {code.partition(":")[0] for code in TRIGGERS} == listed


def test_the_plans_started_from_have_no_code_at_all():
    assert solved(PASSING).codes == ()
    assert solved(FULL).codes == ()


@pytest.mark.parametrize(
    ("base", "at_the_limit"),
    [
        (PASSING, {"people": 12, "hinge.stem_diameter_m": 0.5, "hinge.thickness_m": 0.075}),
        (PASSING, {"hinge.notch_opening_deg": 70.0}),
        (PASSING, {"wind.working_limit_m_s": 6.0}),
        (PASSING, {"line.attach_height_m": 8.0}),
        (PASSING, {"places.0.distance_m": 18.0, "places.1.distance_m": 18.0}),
        (PASSING, {"line.anchor.distance_m": 22.0}),
        (PASSING, {"ground_fall_deg": 5.0}),
        (PASSING, {"items.tackle_rope.bend_ratios": [4.0]}),
        (PASSING, {"items.anchor_sling.basket_half_angle_deg": 60.0}),
        (
            FULL,
            {
                "restraint.slack_m": 0.5,
                "items.restraint_line.breaking_strength_n": 2e5,
                "items.side_anchor.breaking_strength_n": 9e4,
                "items.restraint_anchor.breaking_strength_n": 9e4,
            },
        ),
    ],
)
def test_a_value_equal_to_its_limit_passes(base, at_the_limit):
    over_the_limit = {
        "hinge-too-thick",
        "notch-narrow",
        "wind-above-limit",
        "attach-low",
        "crew-near-fall-zone:haulers",
    }
    over_the_limit |= {"crew-near-fall-zone:hitch_tender", "restraint-needed", "restraint-slack"}
    over_the_limit |= {"sheave-small:tackle_rope", "sling-angle:anchor_sling"}
    assert not codes_with(base, at_the_limit) & over_the_limit


def test_all_fails_and_cautions_come_at_once():
    codes = codes_with(
        plain_inputs(),
        {"hinge.thickness_m": 0.08, "items.cleat": None, "places": [], "ground_fall_deg": 20.0, "wind.gust_m_s": 12.0},
    )
    assert {
        "hinge-too-thick",
        "position-empty:cleat",
        "place-missing:haulers",
        "restraint-needed",
        "wind-above-limit",
        "too-few-people",
    } <= codes


def test_facts_hold_figure_and_limit():
    few = solved(plain_inputs()).finding("too-few-people").facts
    assert few["hand_force_n"] == pytest.approx(425.24, rel=1e-4)
    assert (few["limit_n"], few["people"], few["people_needed"]) == (250.0, 1.0, 2.0)
    near = solved(*TRIGGERS["crew-in-fall-zone:haulers"]).finding("crew-in-fall-zone:haulers")
    assert near.facts == {"distance_m": 11.9, "limit_m": 12.0}
    assert (near.subject, near.severity) == ("haulers", "fail")
    weak = solved(*TRIGGERS["under-rated:moving_block"]).finding("under-rated:moving_block").facts
    assert weak["load_n"] > weak["capacity_n"] == 2890.0


def test_hold_critical_is_met_by_own_anchor_wedge_and_proof():
    cured = {"wind.gust_m_s": 10.0, "backup_anchor": "own", "wedge_planned": True, "proof_pull_planned": True}
    assert codes_with(PASSING, cured) == {"hold-critical"}
    one_tree = cured | {
        "items.bollard_anchor.anchor_name": "oak 1",
        "items.anchor.breaking_strength_n": 90000.0,
        "items.bollard_anchor.breaking_strength_n": 90000.0,
    }
    assert codes_with(PASSING, one_tree) == {"hold-critical", "shared-anchor"}


def test_a_target_beside_the_stem_asks_for_a_side_line_sooner():
    slight = {"tree.lean_azimuth_deg": 220.0}
    assert "side-line-needed" not in codes_with(PASSING, slight)
    assert "side-line-needed" in codes_with(PASSING, slight | {"side_target": True})


def test_forward_lean_that_needs_a_bore_cut_is_not_told_twice():
    codes = codes_with(*TRIGGERS["bore-cut-needed"])
    assert "barber-chair-high" not in codes
    bored = TRIGGERS["bore-cut-needed"][1] | {"window.method": "bore_with_strap"}
    assert "bore-cut-needed" not in codes_with(PASSING, bored)


def test_exempt_people_may_stand_in_the_fall_zone_but_not_in_line_of_the_rope():
    exempt = {"place": "lookout", "distance_m": 6.0, "azimuth_deg": 10.0, "exempt": True}
    assert codes_with(PASSING, {"places.2": exempt}) == set()
    in_line = exempt | {"distance_m": 30.0, "azimuth_deg": 90.0}
    assert codes_with(PASSING, {"places.2": in_line}) == {"in-line-of-rope:lookout"}


@pytest.mark.parametrize(("azimuth_deg", "in_line"), [(104.0, False), (91.4, True), (88.6, True), (76.0, False)])
def test_behind_the_anchor_is_a_sector_of_fifteen_degrees_each_way(azimuth_deg, in_line):
    # The anchor is 27 m out; at 30 m a bearing 1.4 degrees off is 0.73 m aside of 3 m: 13.7 degrees.
    codes = codes_with(PASSING, {"places.0.azimuth_deg": azimuth_deg})
    assert ("in-line-of-rope:haulers" in codes) is in_line


def test_at_the_anchor_itself_is_in_line():
    codes = codes_with(PASSING, {"places.1.azimuth_deg": 90.0, "places.1.distance_m": 27.0})
    assert codes == {"in-line-of-rope:bollard_tender"}


@pytest.mark.parametrize(("distance_m", "in_bight"), [(10.0, True), (20.0, True), (20.5, False)])
def test_inside_and_on_the_bight_of_a_redirect_is_in_line(distance_m, in_bight):
    place = {"place": "lookout", "distance_m": distance_m, "azimuth_deg": 90.0, "exempt": True}
    codes = codes_with(FULL, {"places.3": place})
    assert ("in-line-of-rope:lookout" in codes) is in_bight


def test_straight_line_over_a_redirect_has_a_bight_without_width():
    straight = {"line.redirects.0.azimuth_deg": 90.0, "line.anchor.azimuth_deg": 90.0}
    on_it = {"place": "lookout", "distance_m": 25.0, "azimuth_deg": 90.0, "exempt": True}
    beside = on_it | {"azimuth_deg": 92.0}
    assert "in-line-of-rope:lookout" in codes_with(FULL, straight | {"places.3": on_it})
    assert "in-line-of-rope:lookout" not in codes_with(FULL, straight | {"places.3": beside})


def test_hitch_tender_stands_by_the_tackle_and_not_beyond_the_last_redirect():
    assert solved(PASSING).hitch_tender_distance_m == pytest.approx(27.0 - 3.0 - 1.0)
    long = solved(FULL, {"travel.extended_length_m": 50.0})
    assert long.hitch_tender_distance_m == pytest.approx(20.0)
    assert solved(PASSING, {"stages.0.extended_length_m": None}).hitch_tender_distance_m is None


def test_listed_hitch_tender_is_passed_over_where_the_tackle_says_where_he_stands():
    listed = {"place": "hitch_tender", "distance_m": 1.0, "azimuth_deg": 90.0}
    assert codes_with(PASSING, {"places.2": listed}) == set()


def test_optional_roles_may_stay_empty_and_reasons_must_be_the_roles_own():
    assert "rope_grab" in solved(PASSING).loads_n
    for reason, codes in (("part_of_block", set()), ("tied_direct", {"position-empty:cleat"})):
        assert codes_with(PASSING, {"items.cleat": None, "not_used.cleat": reason}) == codes
    invented = {"items.cleat": None, "not_used.cleat": "forgotten"}
    assert codes_with(PASSING, invented) == {"position-empty:cleat"}


def test_rope_grab_in_place_of_a_hitch_must_be_there():
    without = {"items.hitch_cord": None, "not_used.hitch_cord": "rope_grab_used"}
    assert codes_with(PASSING, without) == {"position-empty:hitch_cord"}
    grab = {"items.rope_grab": {"kind": "rope_grab", "working_load_limit_n": 9000.0}}
    assert codes_with(PASSING, without | grab) == set()


def test_items_outside_the_path_are_passed_over():
    assert (
        codes_with(PASSING, {"items.redirect_block_1": {"kind": "tree"}, "items.side_line": {"kind": "rope"}}) == set()
    )


def test_anchors_of_one_name_carry_the_sum_along_the_line():
    shared = solved(PASSING, {"items.bollard_anchor.anchor_name": "oak 1"})
    load = shared.loads_n["anchor"] + shared.loads_n["bollard_anchor"]
    assert shared.utilisations["anchor"].load_n == pytest.approx(load)
    assert shared.utilisations["bollard_anchor"].load_n == pytest.approx(load)
    assert shared.loads_n["anchor"] == pytest.approx(load / 2)


def test_anchors_of_one_name_in_different_directions_carry_the_vector_sum():
    shared = solved(FULL, {"items.redirect_anchor_1.anchor_name": "oak 1"})
    parts = shared.loads_n["anchor"], shared.loads_n["redirect_anchor_1"]
    assert abs(parts[0] - parts[1]) < shared.utilisations["anchor"].load_n < sum(parts)


def test_anchors_without_a_name_are_not_the_same():
    nameless = {"items.anchor.anchor_name": None, "items.bollard_anchor.anchor_name": None}
    assert solved(PASSING, nameless).utilisations["anchor"].load_n == solved(PASSING).loads_n["anchor"]


def test_gauge_takes_over_tension_off_the_list():
    weak = {"items.anchor.breaking_strength_n": 20000.0}
    gauge = {"tension_gauge": "in_line", "items.tension_gauge": {"kind": "gauge", "working_load_limit_n": 2e4}}
    assert codes_with(PASSING, weak) == {"over-tension-no-gauge:anchor"}
    assert codes_with(PASSING, weak | gauge) == set()


def test_gauge_on_the_hauling_part_carries_the_hand_and_shows_its_share():
    result = solved(FULL, {"tension_gauge": "on_hauling_part"})
    assert result.loads_n["tension_gauge"] == result.hauling_force_n
    in_line = solved(FULL).gauge_band_n
    assert result.gauge_band_n.highest == pytest.approx(in_line.highest / 4.80396016, rel=1e-6)
    assert result.gauge_band_n.lowest > in_line.lowest / 4.26148096


def test_credible_shock_halves_what_the_ropes_carry():
    calm, shocked = solved(PASSING), solved(PASSING, {"shock_credible": True})
    for role in ("main_line", "tackle_rope", "hitch_cord"):
        assert shocked.utilisations[role].capacity_n == pytest.approx(calm.utilisations[role].capacity_n / 2)
    assert shocked.utilisations["cleat"] == calm.utilisations["cleat"]
    assert shocked.shock_credible
    assert not calm.shock_credible


def test_slack_in_the_restraint_is_a_shock_for_its_rope_alone():
    tight = solved(FULL, {"restraint.slack_m": 0.0})
    assert not tight.shock_credible
    slack = solved(FULL)
    assert tight.utilisations["restraint_line"].capacity_n == pytest.approx(
        2 * slack.utilisations["restraint_line"].capacity_n
    )
    assert tight.utilisations["main_line"].capacity_n == slack.utilisations["main_line"].capacity_n


def test_log_that_does_not_roll_needs_no_restraint_gear():
    flat = solved(FULL, {"restraint.slope_deg": 1.0})
    assert "restraint_line" not in flat.loads_n
    assert flat.codes == ()


def test_side_line_that_does_not_work_loads_nothing():
    result = solved(*TRIGGERS["side-line-ineffective"])
    assert (result.side.side_tension_n, result.side.side_bollard_tension_n) == (None, None)
    assert "side_line" not in result.loads_n
    assert "position-empty:side_line" not in result.codes


def test_redirect_of_the_side_line_is_in_the_path():
    redirect = {"distance_m": 16.0, "azimuth_deg": 5.0, "height_m": 0.4, "kind": "ring"}
    result = solved(FULL, {"side_line.redirects": [redirect], "side_line.anchor.azimuth_deg": 40.0})
    assert {"position-empty:side_redirect_block_1", "position-empty:side_redirect_anchor_1"} <= set(result.codes)
    assert result.side.side_bollard_tension_n > result.side.side_tension_n


def test_stem_that_falls_by_itself_needs_no_pull_but_its_crew_can_still_haul():
    forward = {"tree.lean_azimuth_deg": 90.0, "tree.lean_deg": 14.0, "hinge.thickness_m": 0.024, "wind.gust_m_s": 1.0}
    result = solved(PASSING, forward | {"window.method": "bore_with_strap"})
    assert result.tackle_tension_n == 0.0
    assert result.hauling_force_n == 0.0
    used = result.utilisations["anchor"]
    assert used.load_n == 0.0
    assert used.overhaul_utilisation_ratio == pytest.approx(result.overhaul_tension_n / used.capacity_n)
    assert result.people_max_by_role["anchor"] == solved(PASSING).people_max_by_role["anchor"]


def test_redirect_on_a_straight_line_carries_nothing_and_limits_nobody():
    straight = {
        "line.redirects.0": {
            "distance_m": 15.0,
            "azimuth_deg": 90.0,
            "slope_deg": 0.0,
            "height_m": 0.0,
            "kind": "sheave",
        },
        "line.attach_height_m": 8.5,
    }
    result = solved(FULL, straight)
    assert all(math.isfinite(value) for value in result.loads_n.values())


def test_spread_of_the_inputs_raises_the_crews_task():
    calm, spread = solved(PASSING), solved(PASSING, {"uncertainty": {"samples": 2000}})
    assert spread.crew_tension_n == spread.uncertainty.crew_tension_p95_n > calm.crew_tension_n
    assert spread.stem_tension_n >= spread.uncertainty.required_tension_p95_n


@pytest.mark.parametrize(("people", "thickest_m"), [(1, 0.024), (2, 0.043), (3, 0.057)])
def test_thickest_hinge_is_the_last_millimetre_the_crew_can_pull(people, thickest_m):
    result = solved(PASSING, {"people": people})
    assert result.thickest_hinge_m == pytest.approx(thickest_m, abs=0.0021)
    at, beyond = (
        solved(PASSING, {"people": people, "hinge.thickness_m": t})
        for t in (result.thickest_hinge_m, result.thickest_hinge_m + 0.001)
    )
    assert "too-few-people" not in at.codes
    assert "too-few-people" in beyond.codes


def test_thickest_hinge_is_cut_down_by_the_spread():
    spread = solved(PASSING, {"uncertainty": {"samples": 2000}, "people": 2})
    assert spread.thickest_hinge_m < solved(PASSING, {"people": 2}).thickest_hinge_m


def test_no_hinge_is_thin_enough_for_a_crew_too_weak():
    assert solved(PASSING, {"people": 1, "sustained_force_n": 10.0}).thickest_hinge_m is None


def test_people_max_is_the_number_at_which_the_role_reaches_its_limit():
    result = solved(plain_inputs())
    most = result.people_max_by_role["hitch_cord"]
    limit = {"people": most}, {"people": most + 1}
    ratios = [solved(plain_inputs(), change).utilisations["hitch_cord"].overhaul_utilisation_ratio for change in limit]
    assert ratios[0] <= 2.0 < ratios[1]
    assert result.weakest_role == "hitch_cord"


def test_weakest_of_equals_is_the_first_by_name():
    weak = {f"items.{role}.working_load_limit_n": 3000.0 for role in ("moving_block", "bollard")}
    assert solved(PASSING, weak).weakest_role == "bollard"
    nearly = weak | {"items.moving_block.working_load_limit_n": 3000.0 * (1 - 1e-8)}
    assert solved(PASSING, nearly).weakest_role == "bollard"
    weaker = weak | {"items.moving_block.working_load_limit_n": 2999.0}
    assert solved(PASSING, weaker).weakest_role == "moving_block"


@pytest.mark.parametrize(
    ("base", "changes", "code"),
    [
        (PASSING, {"tree.decay": True, "wind": {}}, "decay"),
        (PASSING, {"line.attach_height_m": 10.5, "hinge.notch_depth_ratio": 0.6}, "attach-above-sound-wood"),
        (PASSING, {"hinge.notch_depth_ratio": 0.6, "wind": {}}, "hinge-geometry"),
        (PASSING, {"line.anchor.azimuth_deg": 125.0, "wind": {}}, "line-geometry"),
        (PASSING, {"wind": {}, "stages.0.parts": 9}, "unknown:gust"),
        (PASSING, {"stages.0.parts": 9, "hitch_spread_deg": 130.0}, "tackle-parts"),
        (FULL, {"side_line.sound_wood_height_m": 8.0, "restraint.slip_force_n": 1.0}, "attach-above-sound-wood"),
        (FULL, {"side_line.attach_height_m": 12.5, "restraint.slip_force_n": 1.0}, "attach-outside-stem"),
        (FULL, {"restraint.slip_force_n": 1.0, "travel.extended_length_m": 0.5}, "bollard-runaway"),
        (FULL, {"travel.extended_length_m": 0.5, "hitch_spread_deg": 130.0}, "no-throw"),
        (FULL, {"hitch_spread_deg": 120.0}, "hitch-spread"),
    ],
)
def test_first_refusal_met_stops_the_plan(base, changes, code):
    with pytest.raises(Refused) as refusal:
        solved(base, changes)
    assert refusal.value.code == code
    assert refusal.value.message


def test_plan_costs_a_few_milliseconds():
    given = from_json(PlanInput, FULL, "inputs")
    plan(given)
    start = time.process_time()
    for _ in range(10):
        plan(given)
    # It takes about 3.5 ms; five times that still catches a scan done once for every hinge thickness.
    assert (time.process_time() - start) / 10 < 0.018


def test_changed_inputs_are_copies():
    assert changed(PASSING, {"people": 2})["people"] == 2
    assert PASSING["people"] == 4
