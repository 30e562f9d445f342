"""Section 3: the gust on stem and crown."""

import math

import pytest

from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.numeric import Vector
from jobs.mechanics.stem import CrownLump
from jobs.mechanics.wind import Push, Wind, gust_moment, resultants, wind
from tests.mechanics.rig import pole, tree


def test_pressure_is_half_the_density_times_the_square_of_the_gust():
    assert wind(pole(), Wind(gust_m_s=10.0)).dynamic_pressure_pa == pytest.approx(62.5)


def test_cylinder_is_pushed_at_half_its_height():
    result = wind(pole(length_m=10.0, base_m=0.3, top_m=0.3), Wind(gust_m_s=10.0))
    assert result.force_n == pytest.approx(62.5 * 1.2 * 3.0)
    assert result.height_m == pytest.approx(5.0)
    assert result.moment_n_m == pytest.approx(62.5 * 1.2 * 3.0 * 5.0)


def test_cone_is_pushed_at_a_third_of_its_height():
    assert wind(pole(length_m=9.0, base_m=0.3, top_m=0.0), Wind(gust_m_s=10.0)).height_m == pytest.approx(3.0)


def test_crown_adds_its_area_times_its_drag_at_its_height():
    bare = wind(pole(), Wind(gust_m_s=8.0))
    crowned = wind(pole(crown=(CrownLump(mass_kg=50.0, height_m=9.0, frontal_area_m2=4.0),)), Wind(gust_m_s=8.0))
    assert crowned.force_n - bare.force_n == pytest.approx(40.0 * 0.8 * 4.0)
    assert crowned.moment_n_m - bare.moment_n_m == pytest.approx(40.0 * 0.8 * 4.0 * 9.0)


def test_no_gust_no_force_and_height_0():
    result = wind(pole(), Wind(gust_m_s=0.0))
    assert (result.force_n, result.moment_n_m, result.height_m) == (0.0, 0.0, 0.0)


def test_crown_hanging_below_the_hinge_does_not_help():
    crown = CrownLump(mass_kg=5.0, height_m=0.5, frontal_area_m2=2.0)
    low = pole(hinge_height_m=2.0, crown=(crown,))
    assert wind(low, Wind(gust_m_s=10.0)).moment_n_m == pytest.approx(
        wind(pole(hinge_height_m=2.0), Wind(gust_m_s=10.0)).moment_n_m
    )


def test_gust_that_is_not_known_refuses_after_the_stem():
    with pytest.raises(Refused) as caught:
        wind(pole(), Wind())
    assert caught.value.code == "unknown:gust"
    with pytest.raises(Refused) as caught:
        wind(tree(decay=True), Wind())
    assert caught.value.code == "decay"


@pytest.mark.parametrize("changes", [{"gust_m_s": -1.0}, {"gust_m_s": math.nan}, {"air_density_kg_m3": 0.0}])
def test_nonsense_is_out_of_range(changes):
    with pytest.raises(OutOfRange):
        Wind(**{"gust_m_s": 5.0, **changes})


@pytest.mark.parametrize("angle_deg", [0.0, 30.0, 69.0])
def test_fewer_loads_give_the_same_moment(angle_deg):
    loads = [Push(force, Vector(x, 0.2, z)) for force, x, z in [(50.0, -0.1, 2.0), (70.0, 0.4, 5.0), (30.0, 3.0, 0.5)]]
    end = math.radians(70.0)
    fewer = resultants(loads, math.cos(end), math.sin(end))
    # The last turns below the hinge line and must stay on its own.
    assert len(fewer) == 2
    turn = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    assert gust_moment(fewer, *turn) == pytest.approx(gust_moment(loads, *turn))
