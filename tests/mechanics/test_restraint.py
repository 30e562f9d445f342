"""A log held on a slope."""

import math

import pytest

from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.restraint import Restraint, driving_force, restraint, rope_stiffness
from jobs.mechanics.travel import RopeStretch
from tests.given import Given


def log(**more):
    given: Given = {"mass_kg": 900.0, "slope_deg": 25.0, "attachment": "axis", "stiffness_n_m": 13000.0}
    return Restraint(**(given | more))


def test_suddenly_applied_drive_pulls_twice_as_hard_as_the_steady_one():
    result = restraint(log())
    assert result.peak_tension_n == pytest.approx(2 * result.driving_force_n)
    assert result.tightening_speed_m_s == 0.0


def test_line_off_the_top_of_the_log_carries_half():
    axis, top = restraint(log()), restraint(log(attachment="top_tangent"))
    assert top.static_tension_n == pytest.approx(axis.static_tension_n / 2)
    assert top.peak_tension_n == pytest.approx(axis.peak_tension_n / 2)


def test_energy_closes_where_the_log_stops():
    result = restraint(log(slack_m=0.4))
    stored = 0.5 * result.stiffness_n_m * result.stretch_m**2
    assert stored == pytest.approx(result.driving_force_n * result.stop_distance_m)


def test_energy_closes_where_the_bollard_slips():
    line = log(slack_m=0.4, slip_force_n=5500.0)
    result = restraint(line)
    spent = 5500.0**2 / (2 * result.stiffness_n_m) + 5500.0 * result.run_out_m
    assert result.slips
    assert spent == pytest.approx(result.driving_force_n * result.stop_distance_m)


def test_slip_force_above_the_peak_changes_nothing():
    assert restraint(log(slip_force_n=1e6)) == restraint(log())


@pytest.mark.parametrize("share", [1.0, 0.5])
def test_bollard_that_slips_below_the_drive_is_refused(share):
    drive = driving_force(900.0, 25.0, 0.05)
    with pytest.raises(Refused) as refusal:
        restraint(log(slip_force_n=share * drive))
    assert refusal.value.code == "bollard-runaway"
    assert refusal.value.facts["limit_n"] == pytest.approx(drive)


def test_log_that_does_not_roll_leaves_the_line_slack():
    result = restraint(log(slope_deg=2.0))
    assert result.driving_force_n <= 0
    assert (result.static_tension_n, result.peak_tension_n, result.stop_distance_m) == (0.0, 0.0, 0.0)
    assert result.stiffness_n_m is None
    assert result.tightening_speed_m_s is None


def test_stiffness_comes_from_the_rope_and_its_length():
    rope = RopeStretch(40000.0, 0.025, 0.1)
    by_rope = log(stiffness_n_m=None, rope=rope, length_m=12.0)
    assert restraint(by_rope).stiffness_n_m == pytest.approx(rope_stiffness(rope, 12.0))
    assert rope_stiffness(rope, 12.0) == pytest.approx(13333.33, rel=1e-6)


def test_lead_angle_lowers_the_hold_of_the_line():
    steep = restraint(log(lead_angle_deg=15.0))
    cos, sin = math.cos(math.radians(15)), math.sin(math.radians(15))
    assert steep.static_tension_n == pytest.approx(steep.driving_force_n / (cos - 0.05 * sin))


@pytest.mark.parametrize(
    "bad",
    [
        {"stiffness_n_m": None},
        {"stiffness_n_m": None, "length_m": 3.0},
        {"mass_kg": 0.0},
        {"slack_m": -0.1},
        {"lead_angle_deg": 61.0},
    ],
)
def test_a_line_of_unknown_stiffness_and_other_nonsense_is_refused(bad):
    with pytest.raises(OutOfRange):
        log(**bad)


def test_lead_angle_of_60_degrees_is_the_last_that_is_taken():
    assert log(lead_angle_deg=60.0).lead_angle_deg == 60.0


@pytest.mark.parametrize("slope_deg", [-90.0, 90.0])
def test_slope_ends_at_upright(slope_deg):
    assert log(slope_deg=slope_deg).slope_deg == slope_deg
    with pytest.raises(OutOfRange):
        log(slope_deg=1.01 * slope_deg)


def test_line_off_the_top_holds_with_half_the_drive():
    drive = driving_force(900.0, 25.0, 0.05)
    with pytest.raises(Refused) as refusal:
        restraint(log(attachment="top_tangent", slip_force_n=0.5 * drive))
    assert refusal.value.facts == {"slip_force_n": pytest.approx(0.5 * drive), "limit_n": pytest.approx(0.5 * drive)}
    assert restraint(log(attachment="top_tangent", slip_force_n=0.51 * drive)).slips


def test_speed_of_a_rolling_cylinder_where_the_line_tightens():
    # g sin(30) down 3 m of slope without rolling resistance; a solid cylinder: v^2 = 4/3 g h, h = 1.5 m
    line = log(slope_deg=30.0, slack_m=3.0, rolling_resistance_coeff=0.0)
    assert restraint(line).tightening_speed_m_s == pytest.approx(math.sqrt(4 / 3 * 9.80665 * 1.5))


def test_energy_closes_off_the_top_where_the_bollard_slips():
    # the line pays out twice what the centre runs
    result = restraint(log(attachment="top_tangent", slack_m=0.4, slip_force_n=3000.0))
    spent = 3000.0**2 / (2 * result.stiffness_n_m) + 3000.0 * result.run_out_m
    assert result.slips
    assert result.peak_tension_n == 3000.0
    assert spent == pytest.approx(result.driving_force_n * result.stop_distance_m)
    assert result.stop_distance_m == pytest.approx(0.4 + result.stretch_m + result.run_out_m / 2)


def test_log_at_rest_stretches_nothing_and_runs_nowhere():
    result = restraint(log(slope_deg=2.0))
    assert (result.stretch_m, result.run_out_m, result.slips) == (0.0, 0.0, False)
