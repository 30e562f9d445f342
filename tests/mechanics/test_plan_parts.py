"""Single relations of a plan by hand: anchors, gauge, haul, places, grids, order of findings, gust in a turn."""

import math
from dataclasses import replace

import pytest

from jobs.mechanics.convert import from_json
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.findings.collected import Findings
from jobs.mechanics.inverse import grid, with_value
from jobs.mechanics.line import Line, Redirect, SitePoint
from jobs.mechanics.numeric import Vector
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.plan.loads import anchor_directions
from jobs.mechanics.plan.places import hitch_tender_spot, is_in_bight
from jobs.mechanics.plan.pull_checks import check_travel
from jobs.mechanics.plan.stem import stem_bending_tension, uncut_stem_tension
from jobs.mechanics.rotation import body_about, turned
from jobs.mechanics.situation import situation
from jobs.mechanics.stem import CrownLump, Section, SweepKnot, stem
from jobs.mechanics.wind import Push, Wind, crown_drag_lumps
from tests.given import stand_in
from tests.mechanics.plans import full_inputs, passing_inputs, solved
from tests.mechanics.rig import ANCHOR, CROWN, HINGE, LINE, TREE, WIND, pole, tree

FULL, PASSING = full_inputs(), passing_inputs()


def test_crew_at_full_strength_reaches_the_stem_less_what_the_redirects_hold():
    result = solved(FULL, {"people": 12})
    assert result.loads_n["main_line"] == pytest.approx(result.tackle_tension_n)
    efficiency = result.stem_tension_n / result.tackle_tension_n
    assert efficiency < 0.99
    snap = result.finding("stem-can-snap").facts
    assert snap["tension_n"] == pytest.approx(result.overhaul_tension_n * efficiency)
    assert snap["limit_n"] == pytest.approx(result.stem_snapping_tension_n)


def test_gauge_on_the_hauling_part_reads_the_window_over_the_advantage():
    # five parts, sheaves at 0.92 as stated: at worst 0.05 less, 1 + 0.87 + ... + 0.87^4
    in_line, by_hand = solved(FULL).gauge_band_n, solved(FULL, {"tension_gauge": "on_hauling_part"}).gauge_band_n
    assert by_hand.lowest == pytest.approx(in_line.lowest / sum(0.87**power for power in range(5)))


def test_slack_restraint_says_the_peak_it_brings():
    result = solved(FULL, {"restraint.slack_m": 0.6})
    assert result.finding("restraint-slack").facts["peak_n"] == pytest.approx(result.restraint.peak_tension_n)


def test_pull_on_each_redirect_is_as_strong_as_its_load():
    redirects = (
        Redirect(distance_m=16.0, azimuth_deg=70.0, height_m=1.0, kind="ring"),
        Redirect(distance_m=22.0, azimuth_deg=110.0, height_m=0.5, kind="sheave"),
    )
    bent = replace(LINE, redirects=redirects, anchor=replace(ANCHOR, distance_m=40.0, azimuth_deg=80.0))
    state = situation(TREE, HINGE, bent, WIND)
    pulls, towards_stem = anchor_directions(TREE, bent, state.route)
    lengths = [math.hypot(*(float(part) for part in pull)) for pull in pulls]
    assert lengths == pytest.approx(list(state.geometry.redirect_load_ratios))
    assert math.hypot(*(float(part) for part in towards_stem)) == pytest.approx(1.0)
    # all legs pull at what they are fixed to: together the pulls of stem, redirects and anchor leave nothing over
    out = state.route.direction
    tackle = 1.0 / state.geometry.line_efficiency
    total = [
        float(a) + sum(float(pull[i]) for pull in pulls) + tackle * float(towards_stem[i])
        for i, a in enumerate((out.x, out.y, out.z))
    ]
    assert total == pytest.approx([0.0, 0.0, 0.0], abs=1e-9)


@pytest.mark.parametrize(
    ("haul_m", "resets", "noted"), [(60.0, 4, False), (60.1, 0, True), (1.0, 5, True), (1.0, 4, False)]
)
def test_haul_is_long_over_60_m_of_rope_or_4_resets(haul_m, resets, noted):
    stages = stand_in(resets=0), stand_in(resets=resets)
    findings = Findings()
    check_travel(findings, stand_in(travel=stand_in(total_haul_m=haul_m, stages=stages)))
    assert ("haul-too-long" in findings) is noted
    if noted:
        (found,) = findings.gravest_first()
        assert found.facts == {"haul_m": haul_m, "limit_m": 60.0, "resets": float(resets), "limit_resets": 4.0}


def test_hitch_tender_of_a_tackle_without_a_leg_is_at_its_anchor():
    at_the_stump = Line(attach_height_m=8.0, anchor=SitePoint(distance_m=0.0, azimuth_deg=90.0))
    assert hitch_tender_spot(at_the_stump, 3.0) == pytest.approx((0.0, 0.0))


def test_bight_without_any_size_holds_its_own_point_only():
    nowhere = ((0.0, 0.0),) * 3
    assert is_in_bight((0.0, 0.0), nowhere)
    assert not is_in_bight((0.5, 0.0), nowhere)


@pytest.mark.parametrize(("x_m", "inside"), [(0.05, True), (-0.05, False), (9.95, True), (10.05, False)])
def test_bight_that_is_a_thin_sliver_has_its_ends(x_m, inside):
    # 10 m long and 2 mm wide
    assert is_in_bight((x_m, 0.001 * x_m / 10.0), ((0.0, 0.0), (10.0, 0.0), (10.0, 0.002))) is inside


def test_findings_come_with_the_gravest_first():
    findings = Findings()
    findings.note("line-steep", angle_deg=40.0)
    findings.note("sheave-small", "tackle_rope", bend_ratio=3.5)
    findings.note("hinge-too-thick", thickness_m=0.1)
    findings.note("under-rated", "cleat", load_n=2.0)
    findings.note("under-rated", "anchor", load_n=2.0)
    severities = [found.severity for found in findings.gravest_first()]
    assert severities == sorted(severities, reverse=True) == ["fail"] * 3 + ["caution"] * 2
    codes = [found.code for found in findings.gravest_first()]
    assert codes.index("under-rated:anchor") < codes.index("under-rated:cleat")
    assert "line-steep" in findings
    assert "line-too-steep" not in findings
    assert findings.has_fail


def test_cautions_alone_are_no_fail_and_the_first_figures_of_a_code_stay():
    findings = Findings()
    findings.note("line-steep", angle_deg=40.0)
    findings.note("line-steep", angle_deg=41.0)
    assert not findings.has_fail
    assert [found.facts for found in findings.gravest_first()] == [{"angle_deg": 40.0}]


@pytest.mark.parametrize("name", ["decay", "no-such-code"])
def test_refusal_or_code_of_no_list_is_not_noted(name):
    with pytest.raises(KeyError):
        Findings().note(name)


# stem


def test_cylinder_bends_first_at_the_hinge():
    # sigma = 32 T cos(alpha) lever/(pi d^3), lever 8 - 0.3 m, a level line, 0.3 m without bark
    made = pole(length_m=12.0, base_m=0.3, top_m=0.3, hinge_height_m=0.3)
    level = Line(attach_height_m=8.0, anchor=SitePoint(distance_m=30.0, azimuth_deg=0.0, height_m=8.0))
    state = situation(made, HINGE, level, WIND)
    assert stem_bending_tension(state, 20e6) == pytest.approx(20e6 * math.pi * 0.3**3 / (32.0 * 7.7))
    low = situation(made, HINGE, replace(level, attach_height_m=0.35), WIND)
    level_ratio = math.hypot(float(low.route.direction.x), float(low.route.direction.y))
    assert stem_bending_tension(low, 20e6) == pytest.approx(20e6 * math.pi * 0.3**3 / (32.0 * level_ratio * 0.05))


def test_stress_that_the_weight_uses_up_leaves_no_proof_pull():
    assert uncut_stem_tension(situation(TREE, HINGE, LINE, WIND), 1.0) == 0.0


@pytest.mark.parametrize("diameters", [(0.4, 0.0, 0.2), (0.0, 0.3, 0.2), (0.4, -0.1, 0.2), (0.4, 0.3, -0.1)])
def test_section_without_wood_below_the_top_is_refused(diameters):
    sections = tuple(Section(height_m=h, diameter_m=d) for h, d in zip((0.0, 5.0, 10.0), diameters, strict=True))
    with pytest.raises(Refused) as caught:
        stem(tree(sections=sections))
    assert caught.value.code == "bad-sections"


def test_tip_without_wood_is_a_tip():
    sections = tuple(Section(height_m=h, diameter_m=d) for h, d in ((0.0, 0.4), (10.0, 0.0)))
    assert stem(tree(sections=sections, crown=())).volume_m3 > 0.0


# wind


def test_part_of_the_crown_faces_the_wind_at_its_own_offset_beside_the_sweep():
    swept = tree(
        sweep=tuple(SweepKnot(height_m=h, forward_m=0.1 * h, left_m=-0.2 * h) for h in (0.0, 10.0)),
        crown=(replace(CROWN[0], height_m=5.0, forward_m=0.4, left_m=0.3, frontal_area_m2=2.5, drag_coeff=0.8),),
    )
    (lump,) = crown_drag_lumps(swept)
    assert tuple(float(part) for part in lump) == pytest.approx((2.0, 4.7, 0.5 + 0.4, -1.0 + 0.3))


PUSHES = ((100.0, 3.0, 4.0), (50.0, -0.2, 8.0), (30.0, 1.0, 1.0), (20.0, 0.0, 12.0), (10.0, 0.5, -0.3))


@pytest.mark.parametrize("angle_deg", [0.0, 20.0, 45.0, 52.0, 60.0, 70.0])
def test_gust_counts_what_is_above_the_hinge_line_at_each_angle(angle_deg):
    loads = [Push(force, Vector(x, 1.0, z)) for force, x, z in PUSHES]
    body = body_about(
        0.0, Vector(0.0, 0.0, 5.0), Vector(0.0, 0.0, 9.0), Vector(30.0, 0.0, 0.0), weight_n=1.0, loads=loads, end_deg=70
    )
    angle = math.radians(angle_deg)
    by_hand = sum(force * max(0.0, z * math.cos(angle) - x * math.sin(angle)) for force, x, z in PUSHES)
    assert turned(body, math.cos(angle), math.sin(angle)).wind_moment_n_m == pytest.approx(by_hand)


def test_gust_in_still_air_has_no_moment():
    still = situation(TREE, HINGE, LINE, Wind(gust_m_s=0.0))
    assert still.wind_moment_n_m == 0.0


# grids of the questions asked backwards


def values(what, **changes):
    plan = replace(from_json(PlanInput, PASSING, "inputs"), **changes)
    return list(grid(plan, what))


def test_grids_run_from_their_first_value_to_their_last():
    assert values("people") == list(range(1, 13))
    assert values("parts") == list(range(2, 9))
    assert values("anchor_distance") == list(range(1, 49))  # four heights of 12 m
    heights = values("attach_height")
    assert (heights[0], heights[-1], len(heights)) == (1.3, 10.0, 88)  # 1 m above the hinge to the sound wood
    assert heights == pytest.approx([1.3 + 0.1 * step for step in range(88)])


def test_rope_is_tried_to_the_last_section_where_no_sound_wood_is_named():
    plan = from_json(PlanInput, PASSING, "inputs")
    assert values("attach_height", line=replace(plan.line, sound_wood_height_m=None))[-1] == 12.0
    assert values("attach_height", line=replace(plan.line, sound_wood_height_m=10.04))[-1] == 10.0


def test_each_variant_is_the_plan_with_that_one_value():
    plan = from_json(PlanInput, PASSING, "inputs")
    for value in grid(plan, "anchor_distance"):
        variant = with_value(plan, "anchor_distance", value)
        assert replace(variant, line=plan.line) == plan
        assert variant.line == replace(plan.line, anchor=replace(plan.line.anchor, distance_m=float(value)))
    for value in grid(plan, "parts"):
        variant = with_value(plan, "parts", value)
        assert replace(variant, stages=plan.stages) == plan
        assert (variant.stages[0].parts, variant.stages[1:]) == (value, plan.stages[1:])


def test_crown_lump_below_the_ground_is_nonsense():
    with pytest.raises(OutOfRange, match="height_m"):
        CrownLump(mass_kg=10.0, height_m=-0.1)
