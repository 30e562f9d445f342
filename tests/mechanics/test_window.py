"""Section 6: the pre-tension window."""

import math
from dataclasses import replace
from typing import Any

import pytest

from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.line import SitePoint
from jobs.mechanics.rotation import Margins
from jobs.mechanics.situation import situation
from jobs.mechanics.split_risk import forward_lean_deg, needs_bore_cut, risk_class, risk_score
from jobs.mechanics.stem import CrownLump
from jobs.mechanics.strip import circle, half_chord, strip
from jobs.mechanics.wind import Wind
from jobs.mechanics.window import UpperBounds, WindowOptions, proposals, section_behind_notch, window
from jobs.mechanics.window_bounds import (
    front_fibre_tension,
    gravity_moment_about,
    lever_arm_about,
    sit_back_tension,
)
from tests.mechanics.rig import HINGE, LINE, WIND, hinge, line, tree, wind

FULL_CROWN = (CrownLump(mass_kg=160.0, height_m=11.0, frontal_area_m2=14.0),)
GALE = Wind(gust_m_s=13.0)
STRAP = WindowOptions(method="bore_with_strap")


def solved(made_tree=None, made_hinge=HINGE, made_line=LINE, made_wind=WIND, options=None):
    return window(made_tree or tree(), made_hinge, made_line, made_wind, options)


def empty(**options):
    return solved(tree(lean_deg=4.0, crown=FULL_CROWN), made_wind=GALE, options=WindowOptions(**options))


def state_of(made_tree=None, made_hinge=HINGE):
    return situation(made_tree or tree(), made_hinge, LINE, WIND)


def test_sit_back_tension_holds_back_moment_and_gust_with_the_hinge_ignored():
    state, x = state_of(), state_of().section.hinge_line_x_m
    against = -gravity_moment_about(state, x) + state.wind_moment_n_m
    assert solved().sit_back_tension_n == pytest.approx(1.25 * against / lever_arm_about(state, x))


def test_forward_gravity_lowers_the_sit_back_tension_by_nine_tenths():
    forward = tree(lean_azimuth_deg=90.0)
    state = situation(forward, HINGE, LINE, Wind(gust_m_s=11.0))
    x = state.section.hinge_line_x_m
    asked = 1.25 * state.wind_moment_n_m - 0.9 * gravity_moment_about(state, x)
    assert asked > 0.0
    result = solved(forward, made_wind=Wind(gust_m_s=11.0))
    assert result.sit_back_tension_n == pytest.approx(asked / lever_arm_about(state, x))


def test_stem_that_leans_over_the_hinge_in_still_air_needs_no_pre_tension():
    result = solved(tree(lean_azimuth_deg=90.0), made_wind=wind(gust_m_s=0.0))
    assert (result.sit_back_tension_n, result.pinch_tension_n, result.lowest_tension_n) == (0.0, 0.0, 0.0)


def back_and_front_stress(state, tension, gust_sign):
    """Stress of the outermost fibres behind the notch, tension positive, from N/A and M c/I directly."""
    whole: Any = section_behind_notch(state)
    rise = -state.geometry.compression_ratio
    axial = -(state.stem.weight_n - tension * rise) / whole.area_m2
    moment = gravity_moment_about(state, whole.centroid_x_m) + gust_sign * state.wind_moment_n_m
    moment += tension * lever_arm_about(state, whole.centroid_x_m)
    back = axial + moment * whole.back_m / whole.second_moment_m4
    return back, axial - moment * whole.front_m / whole.second_moment_m4


def test_back_fibre_is_free_of_stress_at_the_pinch_tension():
    pinch = solved().pinch_tension_n
    assert pinch > 0.0
    back, _ = back_and_front_stress(state_of(), pinch, -1.0)
    assert back == pytest.approx(0.0, abs=1e-3)


def test_outermost_fibre_is_at_its_share_of_the_strength_at_the_bend_bound():
    bend = solved().upper_bounds_n.bend
    back, front = back_and_front_stress(state_of(), bend, 1.0)
    allowed = 0.30 * state_of().section.rupture_modulus_low_pa
    assert max(back, -front) == pytest.approx(allowed)


def test_split_moment_releases_the_fracture_energy():
    state, result = state_of(), solved()
    radius = state.radius_m
    left = strip(result.back_cut_x_m, state.section.notch_apex_x_m, radius)
    whole = section_behind_notch(state)
    chord = 2.0 * half_chord(result.back_cut_x_m, radius)
    softening = 1.0 / left.second_moment_m4 - 1.0 / whole.second_moment_m4
    released = result.split_moment_n_m**2 * softening / (2.0 * 9e9 * chord)
    assert released == pytest.approx(350.0)
    arm = lever_arm_about(state, float(left.centroid_x_m))
    moment = result.upper_bounds_n.split * arm
    moment += gravity_moment_about(state, float(left.centroid_x_m)) + state.wind_moment_n_m
    assert moment == pytest.approx(0.70 * result.split_moment_n_m)


def test_back_cut_is_checked_half_way_to_the_hinge():
    state = state_of()
    assert solved().back_cut_x_m == pytest.approx((state.section.hinge_back_x_m - state.radius_m) / 2.0)


def test_shear_moment_is_where_the_cut_part_tears_off_over_one_diameter():
    state, result = state_of(), solved()
    cut = strip(-state.radius_m, result.back_cut_x_m, state.radius_m)
    whole = section_behind_notch(state)
    carried = result.shear_moment_n_m * cut.area_m2 * (whole.centroid_x_m - cut.centroid_x_m) / whole.second_moment_m4
    chord = 2.0 * half_chord(result.back_cut_x_m, state.radius_m)
    assert carried == pytest.approx(7e6 * (1.0 - 1.645 * 0.14) * chord * state.diameter_m)


def test_split_bound_goes_with_the_root_of_the_fracture_energy():
    moments = [solved(options=WindowOptions(fracture_energy_j_m2=g)).split_moment_n_m for g in (200.0, 800.0)]
    assert moments[1] == pytest.approx(2.0 * moments[0])


def test_strap_replaces_split_and_shear_when_the_cut_is_bored():
    result, state = solved(options=STRAP), state_of()
    assert (result.upper_bounds_n.split, result.upper_bounds_n.shear) == (None, None)
    assert (result.split_moment_n_m, result.shear_moment_n_m, result.back_cut_x_m) == (None, None, None)
    thick = 0.10 * state.diameter_m
    holding = strip(-state.radius_m, -state.radius_m + thick, state.radius_m)
    assert result.strap_area_m2 == pytest.approx(holding.area_m2)
    assert result.strap_lever_m == pytest.approx(state.section.hinge_line_x_m - holding.centroid_x_m)
    carried = 0.30 * state.section.rupture_modulus_low_pa * result.strap_area_m2 * result.strap_lever_m
    x = state.section.hinge_line_x_m
    left = carried - gravity_moment_about(state, x) - state.wind_moment_n_m
    assert result.upper_bounds_n.strap == pytest.approx(left / lever_arm_about(state, x))


def test_strap_that_would_reach_the_hinge_is_out_of_range():
    with pytest.raises(OutOfRange, match="strap_thickness_ratio"):
        solved(options=WindowOptions(method="bore_with_strap", strap_thickness_ratio=0.8))


def test_recommended_tension_is_a_third_up_the_window():
    result = solved()
    assert result.recommended_tension_n == pytest.approx(result.lowest_tension_n + result.gap_n / 3.0)
    assert result.is_empty is False
    assert result.changes is None


def test_equal_bounds_are_named_by_the_first():
    assert UpperBounds(bend=0.0, split=0.0, shear=0.0).lowest() == ("bend", 0.0)
    assert UpperBounds(bend=3.0, split=2.0, shear=2.0).lowest() == ("split", 2.0)
    assert UpperBounds(bend=2.0, strap=2.0).lowest() == ("bend", 2.0)


def test_bounds_are_not_negative():
    weak = solved(tree(lean_azimuth_deg=90.0), made_hinge=hinge(elastic_modulus_mean_pa=1e7))
    assert weak.upper_bounds_n.split == 0.0
    assert weak.highest_tension_n == 0.0
    assert weak.split_risk == "high"
    assert weak.pre_tension_ratio is None


def test_empty_window_has_nothing_to_recommend_and_is_high():
    result = empty()
    assert (result.is_empty, result.recommended_tension_n, result.pre_tension_ratio) == (True, None, None)
    assert result.split_risk == "high"
    assert result.gap_n < 0.0


def test_planned_tension_is_judged_even_in_an_empty_window():
    result = empty(planned_pre_tension_n=1000.0)
    assert result.pre_tension_ratio == pytest.approx(1000.0 / result.highest_tension_n)


def test_planned_tension_over_the_upper_bound_is_high():
    highest = solved().highest_tension_n
    assert solved(options=WindowOptions(planned_pre_tension_n=highest)).split_risk != "high"
    assert solved(options=WindowOptions(planned_pre_tension_n=1.01 * highest)).split_risk == "high"


def test_planned_tension_of_0_is_a_plan():
    assert solved(options=WindowOptions(planned_pre_tension_n=0.0)).pre_tension_ratio == 0.0


def test_each_change_alone_makes_the_window_it_says():
    made = tree(lean_deg=4.0, crown=FULL_CROWN)
    state = situation(made, HINGE, LINE, GALE)
    found = {change.code: change for change in window(made, HINGE, LINE, GALE).changes}
    for code, inputs in proposals(state, WindowOptions()):
        alone = window(*inputs)
        assert found[code].gap_n == pytest.approx(alone.gap_n)
        assert found[code].opens is not alone.is_empty
    gaps = [change.gap_n for change in window(made, HINGE, LINE, GALE).changes]
    assert gaps == sorted(gaps, reverse=True)


def test_rope_is_raised_by_a_fifth_but_not_above_sound_wood():
    high, low = line(attach_height_m=8.0, sound_wood_height_m=9.0), line(attach_height_m=8.0, sound_wood_height_m=None)
    raised = [
        dict(proposals(situation(tree(), HINGE, made, WIND), WindowOptions()))["raise-attachment"][2].attach_height_m
        for made in (high, low)
    ]
    assert raised == [9.0, pytest.approx(9.6)]


def test_changes_that_do_not_apply_are_not_tried():
    state = situation(tree(crown=()), hinge(notch_depth_ratio=0.20), LINE, WIND)
    assert [code for code, _ in proposals(state, STRAP)] == ["raise-attachment", "wait-for-less-wind"]


def test_change_that_enlarges_nothing_is_left_out():
    # The rope already stands at the highest sound wood.
    made = tree(lean_deg=4.0, crown=FULL_CROWN)
    result = solved(made, made_line=line(sound_wood_height_m=8.0), made_wind=GALE)
    assert result.is_empty
    assert "raise-attachment" not in {change.code for change in result.changes}


def test_change_that_is_refused_is_skipped():
    # A fifth higher the stem is under 10 cm.
    thin = replace(
        tree(lean_deg=4.0, crown=FULL_CROWN),
        sections=(*tree().sections[:3], replace(tree().sections[3], diameter_m=0.0)),
    )
    result = solved(thin, made_line=line(attach_height_m=9.6, sound_wood_height_m=None), made_wind=GALE)
    assert result.is_empty
    assert "raise-attachment" not in {change.code for change in result.changes}


def test_pull_that_presses_the_back_cut_shut_is_refused():
    # Rope just above the hinge on a stem that leans forward, anchor uphill and near: it lifts at the front.
    uphill = line(attach_height_m=0.6, anchor=SitePoint(distance_m=1.0, azimuth_deg=90.0, height_m=3.0))
    with pytest.raises(Refused) as caught:
        solved(tree(lean_azimuth_deg=90.0, lean_deg=30.0), made_line=uphill)
    assert caught.value.code == "pull-closes-cut"


def test_tension_needed_about_an_axis_the_line_does_not_turn_is_refused():
    with pytest.raises(Refused) as caught:
        sit_back_tension(-100.0, 0.0, 0.0, margins=Margins())
    assert caught.value.code == "line-loses-lever"
    assert sit_back_tension(100.0, 0.0, -1.0, margins=Margins()) == 0.0
    with pytest.raises(Refused) as caught:
        front_fibre_tension(1e6, circle(0.2), 0.01, weight_n=5000.0, moment_n_m=0.0, rise_ratio=0.9)
    assert caught.value.code == "line-loses-lever"


def test_wood_that_is_not_described_is_out_of_range_for_an_ordinary_back_cut_only():
    bare = hinge(elastic_modulus_mean_pa=None, shear_strength_mean_pa=None)
    with pytest.raises(OutOfRange, match="elastic_modulus_mean_pa"):
        solved(made_hinge=bare)
    assert solved(made_hinge=bare, options=STRAP).upper_bounds_n.strap > 0.0


def test_refusals_come_in_their_order():
    with pytest.raises(Refused) as caught:
        solved(tree(decay=True), made_wind=Wind())
    assert caught.value.code == "decay"
    with pytest.raises(Refused) as caught:
        solved(made_wind=Wind())
    assert caught.value.code == "unknown:gust"


def test_forward_lean_is_that_of_the_axis_or_of_the_centre_of_gravity():
    assert forward_lean_deg(state_of(tree(lean_azimuth_deg=90.0, crown=()))) == pytest.approx(3.0)
    crown = (CrownLump(mass_kg=900.0, height_m=11.0, forward_m=4.0),)
    state = state_of(tree(lean_azimuth_deg=90.0, crown=crown))
    x, _, z = state.stem.centre_of_gravity_m
    assert forward_lean_deg(state) == pytest.approx(math.degrees(math.atan2(x, z)))
    assert forward_lean_deg(state) > 3.0


@pytest.mark.parametrize(
    ("lean", "conventional", "split_prone", "needed"),
    [(5.0, True, False, False), (5.01, True, False, True), (5.01, False, False, False), (3.01, True, True, True)],
)
def test_bore_cut_is_needed_past_5_degrees_or_3_for_wood_that_splits(lean, conventional, split_prone, needed):
    assert needs_bore_cut(lean, conventional=conventional, split_prone=split_prone) is needed


@pytest.mark.parametrize(
    ("lean", "depth", "ratio", "split_prone", "score"),
    [
        (2.9, 0.25, 0.49, False, 0),
        (3.0, 0.25, 0.49, False, 1),
        (8.0, 0.25, 0.49, False, 2),
        (0.0, 0.24, 0.49, False, 1),
        (0.0, 0.19, 0.49, False, 2),
        (0.0, 0.25, 0.5, False, 1),
        (0.0, 0.25, 0.8, False, 2),
        (0.0, 0.25, None, True, 1),
        (9.0, 0.15, 0.9, True, 7),
    ],
)
def test_score_adds_lean_notch_tension_and_wood(lean, depth, ratio, split_prone, score):
    assert risk_score(lean, depth, ratio, split_prone=split_prone) == score


@pytest.mark.parametrize(
    ("score", "ratio", "bore_cut", "is_empty", "expected"),
    [
        (1, 0.5, False, False, "low"),
        (2, 0.5, False, False, "medium"),
        (3, 1.0, False, False, "medium"),
        (4, 0.5, False, False, "high"),
        (0, 0.5, True, False, "high"),
        (0, 0.5, False, True, "high"),
        (0, None, False, False, "high"),
        (0, 1.01, False, False, "high"),
    ],
)
def test_class_is_high_without_a_usable_window_or_from_4_points(score, ratio, bore_cut, is_empty, expected):
    assert risk_class(score, ratio, bore_cut_needed=bore_cut, is_empty=is_empty) == expected


@pytest.mark.parametrize(
    "changes",
    [
        {"sit_back_factor": 0.0},
        {"bending_fraction": -0.1},
        {"back_cut_progress_ratio": 0.0},
        {"back_cut_progress_ratio": 1.1},
        {"strap_thickness_ratio": 1e-6},
        {"method": "guess"},
        {"planned_pre_tension_n": -1.0},
    ],
)
def test_nonsense_is_out_of_range(changes):
    with pytest.raises(OutOfRange):
        WindowOptions(**changes)
