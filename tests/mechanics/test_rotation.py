"""Section 5 in its parts: reach, lost lever, the grid of angles; section 6: tensions about one section, by hand."""

import numpy as np
import pytest

from jobs.mechanics.errors import Refused
from jobs.mechanics.numeric import Vector
from jobs.mechanics.rotation import angle_grid, body_about, loses_lever, tension_for
from jobs.mechanics.strip import Strip
from jobs.mechanics.window_bounds import back_fibre_tension, front_fibre_tension, tension_from


def test_reach_is_the_distance_of_the_attach_point_from_the_hinge_line():
    # 3 m before and 4 m above a hinge line that stands 0.5 m behind the origin; what lies aside does not count
    body = body_about(
        -0.5, Vector(0.0, 0.0, 2.0), Vector(2.5, 7.0, 4.0), Vector(30.0, 0.0, 0.0), weight_n=1.0, loads=(), end_deg=70.0
    )
    assert body.reach_m == pytest.approx(5.0)
    assert body.attach == pytest.approx((3.0, 7.0, 4.0))


@pytest.mark.parametrize(
    ("demand", "arm", "lost"), [(1.0, 0.5, True), (1.0, 0.51, False), (0.0, 0.5, False), (1.0, -3.0, True)]
)
def test_lever_is_lost_at_a_twentieth_of_a_reach_of_ten_metres(demand, arm, lost):
    assert bool(loses_lever(demand, arm, 10.0)) is lost


def test_tension_is_the_demand_over_the_arm_and_never_negative():
    assert tension_for(600.0, 0.5) == pytest.approx(1200.0)
    assert tension_for(-600.0, 0.5) == 0.0


@pytest.mark.parametrize(("end_deg", "step_deg", "count"), [(70.0, 0.1, 701), (0.3, 0.1, 4), (45.05, 0.1, 452)])
def test_grid_is_even_and_holds_both_ends_once(end_deg, step_deg, count):
    angles, cosines, sines = angle_grid(end_deg, step_deg)
    assert angles.size == count
    assert (angles[0], angles[-1]) == (0.0, end_deg)
    assert np.allclose(np.diff(angles)[:-1], step_deg)
    assert np.allclose(cosines**2 + sines**2, 1.0)
    assert sines[-1] == pytest.approx(np.sin(np.deg2rad(end_deg)))


def test_grid_that_others_share_cannot_be_written_to():
    for values in angle_grid(30.0, 0.1):
        with pytest.raises(ValueError, match="read-only"):
            values[0] = 1.0


@pytest.mark.parametrize(("moment", "arm", "tension"), [(100.0, 0.5, 200.0), (-100.0, 0.5, 0.0), (9.0, 3.0, 3.0)])
def test_tension_gives_the_moment_over_its_arm(moment, arm, tension):
    assert tension_from(moment, arm) == pytest.approx(tension)


def test_line_through_the_axis_gives_no_moment():
    with pytest.raises(Refused) as caught:
        tension_from(100.0, 0.0)
    assert caught.value.code == "line-loses-lever"


# A section of 2 m2 and 4 m4, fibres 0.5 m before and 3 m behind its centre: a figure for hand, no stem.
SECTION = Strip(2.0, 0.0, 4.0, 0.5, 3.0)


def test_back_fibre_by_hand():
    # opening 0.8 * 3/4 + 0.5/2 = 0.85; stress 10 + 6/2 - 8 * 3/4 = 7
    given = {"weight_n": 6.0, "moment_n_m": 8.0, "rise_ratio": 0.5}
    assert back_fibre_tension(10.0, SECTION, 0.8, **given) == pytest.approx(7.0 / 0.85)


def test_front_fibre_by_hand():
    # pressing 5 * 0.5/4 - 0.5/2 = 0.375; stress 10 - 6/2 - 8 * 0.5/4 = 6
    given = {"weight_n": 6.0, "moment_n_m": 8.0, "rise_ratio": 0.5}
    assert front_fibre_tension(10.0, SECTION, 5.0, **given) == pytest.approx(6.0 / 0.375)


@pytest.mark.parametrize(
    ("bound", "arm", "rise_ratio", "code"),
    [
        (back_fibre_tension, 1.0, -1.5, "pull-closes-cut"),  # 3/4 - 1.5/2 = 0
        (back_fibre_tension, 1.0, -1.6, "pull-closes-cut"),
        (front_fibre_tension, 2.0, 0.5, "line-loses-lever"),  # 2 * 0.5/4 - 0.5/2 = 0
        (front_fibre_tension, 1.9, 0.5, "line-loses-lever"),
    ],
)
def test_pull_that_does_not_work_on_the_fibre_is_refused(bound, arm, rise_ratio, code):
    with pytest.raises(Refused) as caught:
        bound(10.0, SECTION, arm, weight_n=6.0, moment_n_m=8.0, rise_ratio=rise_ratio)
    assert caught.value.code == code
