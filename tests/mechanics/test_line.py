"""Section 4: geometry of the line, lever arms, redirects."""

import math

import pytest

from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.line import Line, Redirect, SitePoint, line
from tests.given import Given
from tests.mechanics.rig import ANCHOR, HINGE, LINE, pole, tree
from tests.mechanics.rig import hinge as changed_hinge
from tests.mechanics.rig import line as changed_line

UPRIGHT = pole(length_m=12.0, base_m=0.4, top_m=0.2)


def straight(attach=6.0, **anchor):
    """A line in the lay (north) of an upright pole."""
    return Line(attach_height_m=attach, anchor=SitePoint(**{"distance_m": 8.0, "azimuth_deg": 0.0, **anchor}))


def redirected(redirect, anchor):
    return Line(attach_height_m=6.0, redirects=(redirect,), anchor=anchor)


def refusal(made_tree, made_line, made_hinge=HINGE):
    with pytest.raises(Refused) as caught:
        line(made_tree, made_line, made_hinge)
    return caught.value.code


def test_line_on_a_3_4_5_triangle():
    result = line(UPRIGHT, straight(), HINGE)
    assert result.attach_point_m == pytest.approx((0.0, 0.0, 6.0))
    assert result.first_point_m == pytest.approx((8.0, 0.0, 0.0))
    assert result.first_leg_length_m == pytest.approx(10.0)
    assert result.direction == pytest.approx((0.8, 0.0, -0.6))
    assert result.depression_angle_deg == pytest.approx(math.degrees(math.asin(0.6)))
    assert result.compression_ratio == pytest.approx(0.6)
    assert (result.side_arm_m, result.torsion_arm_m, result.off_axis_angle_deg) == (0.0, 0.0, 0.0)
    # Hinge line at D (0.5 - f) - t/2 = 0.4 (0.24) - 0.02; the arm is that line's distance from the rope.
    assert result.lever_arm_m == pytest.approx(6.0 * 0.8 - (0.0 - 0.076) * -0.6)


def test_horizontal_line_has_its_height_as_lever_arm():
    level = line(UPRIGHT, straight(height_m=6.0), HINGE)
    assert level.lever_arm_m == pytest.approx(6.0)
    assert level.compression_ratio == pytest.approx(0.0, abs=1e-15)


def test_anchor_above_the_rope_lifts():
    uphill = line(UPRIGHT, straight(slope_deg=45.0), HINGE)
    assert uphill.depression_angle_deg < 0.0
    assert uphill.compression_ratio < 0.0


def test_slope_and_height_place_the_anchor_over_the_hinge():
    result = line(tree(), changed_line(), HINGE)
    assert result.first_point_m[2] == pytest.approx(25.0 * math.tan(math.radians(-4.0)) + 0.5 - 0.3)


def test_anchor_to_the_right_of_the_lay_has_a_negative_off_axis_angle():
    right = line(UPRIGHT, straight(azimuth_deg=10.0), HINGE)
    assert right.off_axis_angle_deg == pytest.approx(-10.0)
    assert right.side_arm_m > 0.0


def test_snatch_block_at_a_right_angle_carries_1_41_times_the_tension():
    # Snatch-block angle factor table: 90 degrees between the lines, factor 1.41 (closed form 2 sin 45).
    block = Redirect(distance_m=8.0, azimuth_deg=0.0, height_m=6.0, kind="sheave", efficiency=1.0)
    anchor = SitePoint(distance_m=math.hypot(8.0, 5.0), azimuth_deg=math.degrees(math.atan2(5.0, 8.0)), height_m=6.0)
    result = line(UPRIGHT, redirected(block, anchor), HINGE)
    assert result.wrap_angles_deg == pytest.approx((90.0,))
    assert result.redirect_load_ratios[0] == pytest.approx(1.41, abs=0.005)
    assert result.line_efficiency == 1.0


def test_sheave_at_half_a_turn_has_its_whole_loss():
    back = SitePoint(distance_m=1e-6, azimuth_deg=0.0, height_m=6.0)
    block = Redirect(distance_m=8.0, azimuth_deg=0.0, height_m=6.0, kind="sheave", efficiency=0.9)
    result = line(UPRIGHT, redirected(block, back), HINGE)
    assert result.wrap_angles_deg[0] == pytest.approx(180.0)
    assert result.line_efficiency == pytest.approx(0.9)
    assert result.redirect_load_ratios[0] == pytest.approx(1.0 + 1.0 / 0.9)


def test_straight_line_through_a_ring_loses_and_loads_nothing():
    ring = Redirect(distance_m=4.0, azimuth_deg=0.0, height_m=3.0, kind="ring")
    result = line(UPRIGHT, redirected(ring, SitePoint(distance_m=8.0, azimuth_deg=0.0)), HINGE)
    assert result.wrap_angles_deg[0] == pytest.approx(0.0, abs=1e-9)
    assert result.line_efficiency == pytest.approx(1.0)
    assert result.redirect_load_ratios[0] == pytest.approx(0.0, abs=1e-9)


def test_ring_at_a_quarter_turn_follows_the_capstan_equation():
    ring = Redirect(distance_m=8.0, azimuth_deg=0.0, height_m=6.0, kind="ring", friction_coeff=0.25)
    anchor = SitePoint(distance_m=math.hypot(8.0, 5.0), azimuth_deg=math.degrees(math.atan2(5.0, 8.0)), height_m=6.0)
    result = line(UPRIGHT, redirected(ring, anchor), HINGE)
    assert result.redirect_efficiencies[0] == pytest.approx(math.exp(-0.25 * math.pi / 2.0))


def test_second_redirect_carries_the_tension_the_first_leaves():
    first = Redirect(distance_m=8.0, azimuth_deg=0.0, height_m=6.0, kind="sheave", efficiency=0.8)
    second = Redirect(distance_m=8.0, azimuth_deg=60.0, height_m=6.0, kind="sheave", efficiency=0.8)
    anchor = SitePoint(distance_m=8.0, azimuth_deg=120.0, height_m=6.0)
    result = line(UPRIGHT, Line(attach_height_m=6.0, redirects=(first, second), anchor=anchor), HINGE)
    eta_1, eta_2 = result.redirect_efficiencies
    assert result.line_efficiency == pytest.approx(eta_1 * eta_2)
    assert result.tackle_to_stem_tension_ratio == pytest.approx(1.0 / (eta_1 * eta_2))
    near, far, turn = 1.0 / eta_1, 1.0 / (eta_1 * eta_2), math.radians(result.wrap_angles_deg[1])
    assert result.redirect_load_ratios[1] == pytest.approx(
        math.sqrt(near**2 + far**2 - 2 * near * far * math.cos(turn))
    )
    assert result.total_length_m == pytest.approx(24.0)


def test_refusals_come_in_their_order():
    thin_top, bad_hinge = tree(), changed_hinge(notch_depth_ratio=0.9)
    steep = SitePoint(distance_m=1.0, azimuth_deg=90.0)
    above = changed_line(attach_height_m=99.0, sound_wood_height_m=10.0, anchor=steep)
    assert refusal(tree(decay=True), above, bad_hinge) == "decay"
    assert refusal(thin_top, above, bad_hinge) == "attach-above-sound-wood"
    outside = changed_line(attach_height_m=99.0, sound_wood_height_m=None, anchor=steep)
    assert refusal(thin_top, outside, bad_hinge) == "attach-outside-stem"
    thin = pole(length_m=12.0, base_m=0.4, top_m=0.0)
    high = Line(attach_height_m=11.0, anchor=SitePoint(distance_m=1.0, azimuth_deg=0.0))
    assert refusal(thin, high, bad_hinge) == "attach-too-thin"
    assert refusal(tree(), changed_line(anchor=steep), bad_hinge) == "hinge-geometry"
    assert refusal(tree(), changed_line(anchor=steep)) == "line-geometry"


def test_line_over_60_degrees_or_30_off_the_lay_is_refused():
    sixty = 6.0 / math.tan(math.radians(60.0))
    assert line(UPRIGHT, straight(distance_m=sixty + 1e-9), HINGE).depression_angle_deg == pytest.approx(60.0)
    assert refusal(UPRIGHT, straight(distance_m=sixty - 0.01)) == "line-geometry"
    assert line(UPRIGHT, straight(azimuth_deg=-30.0), HINGE).off_axis_angle_deg == pytest.approx(30.0)
    assert refusal(UPRIGHT, straight(azimuth_deg=30.1)) == "line-geometry"
    assert refusal(UPRIGHT, straight(azimuth_deg=180.0)) == "line-geometry"


def test_rope_at_the_highest_sound_wood_and_at_the_last_section_passes():
    assert line(tree(), changed_line(attach_height_m=10.0), HINGE).lever_arm_m > 0.0
    assert line(tree(), changed_line(attach_height_m=12.0, sound_wood_height_m=12.0), HINGE).lever_arm_m > 0.0


def test_rope_at_the_hinge_is_not_on_the_stem():
    assert refusal(tree(), changed_line(attach_height_m=0.3)) == "attach-outside-stem"


def test_stem_of_10_cm_at_the_rope_passes():
    taper = pole(length_m=10.0, base_m=0.3, top_m=0.1)
    assert line(taper, straight(attach=10.0, distance_m=20.0), HINGE).lever_arm_m > 0.0


def test_corners_that_coincide_have_no_direction():
    block = Redirect(distance_m=8.0, azimuth_deg=0.0, kind="ring")
    assert refusal(UPRIGHT, redirected(block, SitePoint(distance_m=8.0, azimuth_deg=0.0))) == "line-geometry"


HOOKED: Given = {"kind": "hook"}


@pytest.mark.parametrize(
    "make",
    [
        lambda: SitePoint(distance_m=-1.0, azimuth_deg=0.0),
        lambda: SitePoint(distance_m=1.0, azimuth_deg=0.0, slope_deg=90.0),
        lambda: Redirect(distance_m=1.0, azimuth_deg=0.0, kind="sheave", efficiency=1.1),
        lambda: Redirect(distance_m=1.0, azimuth_deg=0.0, **HOOKED),
        lambda: Redirect(distance_m=1.0, azimuth_deg=0.0, kind="ring", friction_coeff=-0.1),
        lambda: Line(attach_height_m=math.nan, anchor=ANCHOR),
    ],
)
def test_nonsense_is_out_of_range(make):
    with pytest.raises(OutOfRange):
        make()


def test_the_plain_rig_is_not_refused():
    assert line(tree(), LINE, HINGE).lever_arm_m == pytest.approx(7.057863, rel=1e-6)
