"""Section 5: the tension that pulls the stem over."""

import math
from dataclasses import replace

import numpy as np
import pytest

from jobs.mechanics.axis import axis_direction, axis_point, difference, length_of, scaled
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.line import Line, Redirect, SitePoint
from jobs.mechanics.numeric import Vector
from jobs.mechanics.pull import (
    demand_in,
    max_tension,
    max_tensions_by_thickness,
    possible_thicknesses,
    pull,
    scan_of,
    turn_at,
)
from jobs.mechanics.rotation import Margins, angle_grid, body_about, loses_lever, moment_demand, tension_for, turned
from jobs.mechanics.situation import situation
from jobs.mechanics.wind import Wind
from tests.mechanics.rig import HINGE, LINE, WIND, hinge, line, pole, tree, wind

PLAIN = Margins(adverse_factor=1.0, favourable_factor=1.0)
CREW = Margins(adverse_factor=1.25, favourable_factor=0.9)
# Levels with the hinge, far off: no downward pull to speak of.
LEVEL = Line(attach_height_m=8.0, anchor=SitePoint(distance_m=30.0, azimuth_deg=0.0, height_m=8.0))


def taken_in(scan):
    """Line that comes in from the first angle of a scan to the last, m."""
    legs = np.asarray(scan.turn.leg_m)
    return float(legs[0] - legs[-1])


def solved(made_tree=None, made_hinge=HINGE, made_line=LINE, made_wind=WIND, **options):
    return pull(made_tree or tree(), made_hinge, made_line, made_wind, **options)


def refusal(*inputs, **options):
    with pytest.raises(Refused) as caught:
        solved(*inputs, **options)
    return caught.value.code


@pytest.mark.parametrize(
    ("weight", "centre", "lean", "rope", "fall", "tension", "arm"),
    [
        (10000.0, 8.0, 5.0, 12.0, 30.0, 709.3, 9.8298),
        (20000.0, 9.0, 3.0, 15.0, 20.0, 682.3, 13.8076),
        (5000.0, 6.0, 10.0, 8.0, 45.0, 1135.3, 4.5886),
    ],
)
def test_back_leaning_stem_is_held_by_the_moment_balance_about_the_hinge(
    weight, centre, lean, rope, fall, tension, arm
):
    # Closed form of the moment balance about the hinge, W l sin(lean)/arm, its figures worked out beforehand by hand.
    axis = axis_direction(math.radians(lean), math.pi)
    attach = axis_point(axis, rope, 0.0, 0.0)
    down = math.radians(fall)
    first_point = Vector(attach.x + 40.0 * math.cos(down), 0.0, attach.z - 40.0 * math.sin(down))
    body = body_about(
        0.0, axis_point(axis, centre, 0.0, 0.0), attach, first_point, weight_n=weight, loads=(), end_deg=70.0
    )
    upright = turned(body, 1.0, 0.0)
    demand = moment_demand(upright.gravity_moment_n_m, 0.0, 0.0, PLAIN)
    assert upright.lever_arm_m == pytest.approx(arm, abs=5e-5)
    assert tension_for(demand, upright.lever_arm_m) == pytest.approx(tension, abs=0.05)


def test_upright_stem_needs_only_what_hinge_and_gust_ask():
    made, gust = pole(length_m=12.0, base_m=0.4, top_m=0.2), Wind(gust_m_s=6.0)
    state = situation(made, HINGE, LEVEL, gust)
    result = solved(made, HINGE, LEVEL, gust)
    back = state.stem.weight_n * state.section.hinge_line_x_m
    asked = 1.5 * (back + state.wind_moment_n_m + state.section.plastic_moment_high_n_m)
    assert result.required_tension_upright_n == pytest.approx(asked / 8.0)
    assert result.lever_arm_m == pytest.approx(8.0)


def test_margins_act_on_what_is_against_and_on_gravity_that_helps():
    assert moment_demand(-100.0, 20.0, 30.0, CREW) == pytest.approx(1.25 * 150.0)
    assert moment_demand(100.0, 20.0, 30.0, CREW) == pytest.approx(1.25 * 50.0 - 90.0)


def test_gravity_that_does_it_alone_needs_no_tension():
    result = solved(tree(lean_azimuth_deg=90.0, lean_deg=25.0), hinge(thickness_m=0.02), LINE, wind(gust_m_s=0.0))
    assert result.required_tension_n == 0.0
    assert result.self_falling_angle_deg == 0.0
    assert result.tip_travel_m == 0.0
    assert result.balance_angle_deg == 0.0
    assert result.governing_angle_deg == 0.0


def test_demand_is_0_at_the_self_falling_angle_and_stays_below():
    scan = scan_of(situation(tree(), HINGE, LINE, WIND))
    result = solved()
    moment = scan.situation.section.plastic_moment_high_n_m
    falling = result.self_falling_angle_deg
    assert float(demand_in(turn_at(scan, falling), moment, Margins())) == pytest.approx(0.0, abs=1e-4)
    beyond = np.asarray(demand_in(scan.turn, moment, Margins()))[scan.angles_deg > falling]
    assert (beyond <= 0.0).all()


def test_stem_that_needs_pulling_to_the_end_has_no_self_falling_angle():
    strong = hinge(rupture_modulus_mean_pa=500e6)
    result = solved(made_hinge=strong)
    scan = scan_of(situation(tree(), strong, LINE, WIND))
    assert result.self_falling_angle_deg is None
    assert result.never_falls_by_itself is True
    assert result.tip_travel_m == pytest.approx(taken_in(scan))


def test_hinge_that_holds_plastically_but_breaks_elastically_lets_the_stem_fall_at_the_end():
    # Between the two the tension is carried to the end by the plastic moment, yet the stem goes by itself.
    between = next(
        result
        for mpa in range(50, 400, 5)
        if (result := solved(made_hinge=hinge(rupture_modulus_mean_pa=mpa * 1e6))).self_falling_angle_deg is None
    )
    assert between.never_falls_by_itself is False


def test_rotation_ends_where_the_notch_closes_and_at_90_degrees_at_most():
    assert solved(made_hinge=hinge(notch_opening_deg=45.0)).end_angle_deg == 45.0
    assert solved(made_hinge=hinge(notch_opening_deg=120.0)).end_angle_deg == 90.0


def test_grid_holds_both_ends_in_tenths_of_a_degree():
    angles, cosines, sines = angle_grid(70.0, 0.1)
    assert (len(angles), angles[0], angles[-1]) == (701, 0.0, 70.0)
    assert cosines**2 + sines**2 == pytest.approx(1.0)
    odd, _, _ = angle_grid(45.07, 0.1)
    assert (len(odd), odd[-2], odd[-1]) == (452, pytest.approx(45.0), 45.07)


def test_balance_angle_brings_the_centre_of_gravity_over_the_hinge_line():
    state = situation(tree(), HINGE, LINE, WIND)
    turn = turn_at(scan_of(state), solved().balance_angle_deg)
    assert float(turn.gravity_moment_n_m) == pytest.approx(0.0, abs=1e-8)


def test_travel_is_what_the_first_leg_shortens_by():
    result, state = solved(), situation(tree(), HINGE, LINE, WIND)
    angle = math.radians(result.self_falling_angle_deg)
    x, _, z = state.geometry.attach_point_m
    x -= state.section.hinge_line_x_m
    tipped = Vector(
        x * math.cos(angle) + z * math.sin(angle) + state.section.hinge_line_x_m,
        0.0,
        z * math.cos(angle) - x * math.sin(angle),
    )
    leg = float(length_of(difference(Vector(*state.geometry.first_point_m), tipped)))
    assert result.tip_travel_m == pytest.approx(state.geometry.first_leg_length_m - leg)


def test_uphill_anchor_makes_a_later_angle_govern():
    uphill = line(anchor=SitePoint(distance_m=25.0, azimuth_deg=90.0, slope_deg=20.0, height_m=1.0))
    result = solved(made_line=uphill, made_hinge=hinge(thickness_m=0.06))
    assert result.governing_angle_deg > 0.0
    assert result.required_tension_n > result.required_tension_upright_n


def test_line_that_no_longer_pulls_over_is_refused():
    # The anchor stands so near that the rope passes over it while the hinge still holds.
    near = line(anchor=SitePoint(distance_m=6.0, azimuth_deg=90.0, height_m=4.0))
    assert refusal(tree(), hinge(rupture_modulus_mean_pa=400e6), near) == "line-loses-lever"


def test_lever_is_lost_at_a_twentieth_of_the_distance_where_tension_is_needed():
    assert loses_lever(1.0, 0.05, 1.0)
    assert not loses_lever(1.0, 0.051, 1.0)
    assert not loses_lever(0.0, -1.0, 1.0)


def test_balance_past_the_end_of_the_rotation_counts_the_travel_to_the_end():
    closing = hinge(notch_opening_deg=3.0)
    result = solved(made_hinge=closing)
    assert result.balance_angle_deg > 3.0
    scan = scan_of(situation(tree(), closing, LINE, WIND))
    assert result.balance_travel_m == pytest.approx(taken_in(scan))


def test_refusals_of_stem_attachment_hinge_line_and_wind_come_in_this_order():
    steep, bad = SitePoint(distance_m=1.0, azimuth_deg=90.0), hinge(notch_depth_ratio=0.9)
    assert refusal(tree(decay=True), bad, line(attach_height_m=11.0, anchor=steep), Wind()) == "decay"
    assert refusal(tree(), bad, line(attach_height_m=11.0, anchor=steep), Wind()) == "attach-above-sound-wood"
    assert refusal(tree(), bad, line(anchor=steep), Wind()) == "hinge-geometry"
    assert refusal(tree(), HINGE, line(anchor=steep), Wind()) == "line-geometry"
    assert refusal(tree(), HINGE, LINE, Wind()) == "unknown:gust"


def test_table_agrees_with_the_governing_figures():
    result = solved(table_angles_deg=(0.0, 20.0, 70.0))
    first, _, last = result.table
    assert first.tension_n == pytest.approx(result.required_tension_upright_n)
    assert first.lever_arm_m == pytest.approx(result.lever_arm_m)
    assert first.travel_m == 0.0
    assert last.tension_n == 0.0


def test_no_table_unless_asked():
    assert solved().table is None


@pytest.mark.parametrize("angle", [-1.0, 70.1, math.nan])
def test_table_angle_outside_the_rotation_is_out_of_range(angle):
    with pytest.raises(OutOfRange, match="table_angles_deg"):
        solved(table_angles_deg=(angle,))


def test_holding_is_critical_when_back_moment_and_gust_exceed_the_low_elastic_hinge():
    state = situation(tree(), HINGE, LINE, WIND)
    against = state.stem.weight_n * (state.section.hinge_line_x_m - state.stem.centre_of_gravity_m[0])
    against += state.wind_moment_n_m
    assert against > 0.0
    critical = against / state.section.elastic_moment_low_n_m
    just_enough = hinge(rupture_modulus_mean_pa=50e6 * critical * 1.001)
    just_short = hinge(rupture_modulus_mean_pa=50e6 * critical * 0.999)
    assert solved(made_hinge=just_enough).hold_critical is False
    assert solved(made_hinge=just_short).hold_critical is True


def test_side_check_adds_the_gust_to_the_static_moment():
    aside = tree(lean_azimuth_deg=180.0)
    result, state = solved(aside), situation(aside, HINGE, LINE, WIND)
    static = result.required_tension_upright_n * state.geometry.side_arm_m
    static -= state.stem.weight_n * state.stem.centre_of_gravity_m[1]
    assert result.side_moment_n_m == pytest.approx(abs(static) + result.wind_moment_n_m)
    expected = result.side_moment_n_m / (0.5 * state.section.side_moment_low_n_m)
    assert result.side_utilisation_ratio == pytest.approx(expected)
    _, y, z = state.stem.centre_of_gravity_m
    assert result.side_lean_deg == pytest.approx(math.degrees(math.atan2(abs(y), z)))


def test_hinge_carries_the_weight_and_what_the_line_adds():
    result, state = solved(), situation(tree(), HINGE, LINE, WIND)
    expected = state.stem.weight_n + result.required_tension_upright_n * state.geometry.compression_ratio
    assert result.hinge_compression_n == pytest.approx(expected)
    assert result.hinge_axial_stress_pa == pytest.approx(expected / state.section.area_m2)


def test_tension_at_the_tackle_pays_for_the_redirects():
    block = Redirect(distance_m=20.0, azimuth_deg=90.0, height_m=0.5, kind="sheave")
    turned_line = line(redirects=(block,), anchor=SitePoint(distance_m=30.0, azimuth_deg=130.0))
    result = solved(made_line=turned_line)
    efficiency = situation(tree(), HINGE, turned_line, WIND).geometry.line_efficiency
    assert efficiency < 1.0
    assert result.tackle_tension_n == pytest.approx(result.required_tension_n / efficiency)


def test_scan_serves_other_margins_and_hinge_moments():
    scan = scan_of(situation(tree(), HINGE, LINE, WIND))
    section = scan.situation.section
    same = max_tension(scan, hinge_moment_n_m=section.plastic_moment_high_n_m, margins=Margins())
    assert same == solved().required_tension_n
    crew = max_tension(
        scan,
        hinge_moment_n_m=section.rupture_modulus_high_pa * section.elastic_section_modulus_m3,
        margins=CREW,
    )
    assert crew < same


@pytest.mark.parametrize("shape", ["rectangle", "strip"])
def test_grid_of_thicknesses_agrees_with_one_hinge_at_a_time(shape):
    grid = [mm / 1000 for mm in range(23, 70, 2)]
    state = situation(tree(), hinge(shape=shape), LINE, WIND)
    together = max_tensions_by_thickness(state, grid, CREW)
    for thickness, tension in zip(grid, together, strict=True):
        alone = situation(tree(), hinge(shape=shape, thickness_m=thickness), LINE, WIND)
        moment = alone.section.rupture_modulus_high_pa * alone.section.elastic_section_modulus_m3
        assert tension == pytest.approx(max_tension(scan_of(alone), hinge_moment_n_m=moment, margins=CREW))


def test_thickness_at_which_the_line_loses_its_lever_gives_infinity():
    near = line(anchor=SitePoint(distance_m=6.0, azimuth_deg=90.0, height_m=4.0))
    state = situation(tree(), hinge(rupture_modulus_mean_pa=400e6), near, WIND)
    tensions = max_tensions_by_thickness(state, [0.02, 0.069], CREW)
    assert math.isinf(tensions[1])


@pytest.mark.parametrize("limit", [400.0, 900.0, 1500.0, 2200.0, 9999.0])
def test_coarse_look_rules_out_no_thickness_that_suffices(limit):
    grid = [mm / 1000 for mm in range(23, 70)]
    state = situation(tree(), HINGE, LINE, WIND)
    every = max_tensions_by_thickness(state, grid, CREW)
    passing = {t for t, tension in zip(grid, every, strict=True) if tension <= limit}
    possible = possible_thicknesses(state, grid, CREW, tension_limit_n=limit)
    assert passing <= set(possible)
    assert len(possible) <= len(passing) + 2
    assert list(possible) == sorted(possible)


def test_margins_must_make_sense():
    with pytest.raises(OutOfRange):
        Margins(adverse_factor=0.0)
    with pytest.raises(OutOfRange):
        Margins(favourable_factor=-0.1)


def test_direction_of_the_line_is_a_unit_vector():
    direction = situation(tree(), HINGE, LINE, WIND).route.direction
    assert float(length_of(scaled(direction, 2.0))) == pytest.approx(2.0)


def test_same_case_in_another_compass_direction_needs_the_same():
    def turned_by(degrees):
        made_tree = tree(lay_azimuth_deg=90.0 + degrees, lean_azimuth_deg=270.0 + degrees)
        anchor = replace(LINE.anchor, azimuth_deg=90.0 + degrees)
        return solved(made_tree, HINGE, line(anchor=anchor), WIND).required_tension_n

    assert turned_by(137.0) == pytest.approx(turned_by(0.0))
