"""Section 2: place, section and moments of the hinge."""

import math

import pytest

from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.hinge import Hinge, elastic_modulus_for, hinge, hinge_of, thickness_of
from jobs.mechanics.strip import circle, max_half_width, plastic_modulus, side_second_moment, strip


def made(**changes):
    given = {"stem_diameter_m": 0.5, "notch_depth_ratio": 0.25, "thickness_m": 0.05, "rupture_modulus_mean_pa": 50e6}
    return Hinge(**{**given, **changes})


def test_hinge_stands_behind_the_notch_and_turns_about_its_middle():
    result = hinge(made())
    assert (result.notch_apex_x_m, result.hinge_back_x_m, result.hinge_line_x_m) == pytest.approx((0.125, 0.075, 0.1))


def test_chord_at_the_apex_is_the_width_unless_one_is_measured():
    chord = 2.0 * math.sqrt(0.25**2 - 0.125**2)
    assert hinge(made()).width_m == pytest.approx(chord)
    measured = hinge(made(width_m=0.4))
    assert measured.width_m == 0.4
    assert measured.notch_chord_m == pytest.approx(chord)


def test_rectangle_has_the_textbook_section():
    result = hinge(made(width_m=0.4))
    assert result.area_m2 == pytest.approx(0.02)
    assert result.fell_second_moment_m4 == pytest.approx(0.4 * 0.05**3 / 12.0)
    assert result.side_second_moment_m4 == pytest.approx(0.05 * 0.4**3 / 12.0)
    assert result.elastic_section_modulus_m3 == pytest.approx(0.4 * 0.05**2 / 6.0)
    assert result.plastic_section_modulus_m3 == pytest.approx(0.4 * 0.05**2 / 4.0)
    assert result.side_section_modulus_m3 == pytest.approx(0.05 * 0.4**2 / 6.0)


def test_white_oak_hinge_bends_at_the_moment_of_beam_theory():
    # Beam theory with the green modulus of rupture of white oak, 57.2 MPa (Wood Handbook FPL-GTR-282, table 5-3b):
    # hinge 0.40 m by 0.05 m, 57.2e6 b t^2/6 = 9533 N m, printed to the unit.
    result = hinge(made(width_m=0.40, thickness_m=0.05, rupture_modulus_mean_pa=57.2e6))
    assert result.elastic_moment_mean_n_m == pytest.approx(9533.0, abs=0.5)


def test_low_and_high_strengths_are_the_5_and_95_percent_points():
    result = hinge(made(rupture_modulus_cov=0.10))
    assert result.rupture_modulus_low_pa == pytest.approx(50e6 * 0.8355)
    assert result.rupture_modulus_high_pa == pytest.approx(50e6 * 1.1645)
    assert result.elastic_moment_low_n_m == pytest.approx(0.8355 * result.elastic_moment_mean_n_m)
    assert result.plastic_moment_high_n_m == pytest.approx(1.1645 * result.plastic_moment_mean_n_m)
    assert result.side_moment_low_n_m == pytest.approx(50e6 * 0.8355 * result.side_section_modulus_m3)


def test_thickness_not_given_is_a_tenth_but_at_least_25_mm():
    assert thickness_of(made(thickness_m=None), 0.5) == pytest.approx(0.05)
    assert thickness_of(made(thickness_m=None), 0.2) == pytest.approx(0.025)


def test_notch_depth_not_given_is_a_quarter_and_opening_70_degrees():
    plain = Hinge(stem_diameter_m=0.4, rupture_modulus_mean_pa=50e6)
    assert hinge(plain).notch_apex_x_m == pytest.approx(0.1)
    assert plain.notch_opening_deg == 70.0


def test_whole_circle_is_a_strip_with_the_textbook_section():
    whole = circle(0.3)
    assert whole.area_m2 == pytest.approx(math.pi * 0.09)
    assert whole.centroid_x_m == pytest.approx(0.0, abs=1e-15)
    assert whole.second_moment_m4 == pytest.approx(math.pi * 0.3**4 / 4.0)
    assert plastic_modulus(-0.3, 0.3, 0.3) == pytest.approx(4.0 * 0.3**3 / 3.0)
    assert side_second_moment(-0.3, 0.3, 0.3) == pytest.approx(math.pi * 0.3**4 / 4.0)


def test_half_circle_has_its_centroid_at_4_r_over_3_pi():
    half = strip(0.0, 0.3, 0.3)
    assert half.centroid_x_m == pytest.approx(4.0 * 0.3 / (3.0 * math.pi))
    assert half.second_moment_m4 == pytest.approx((math.pi / 8.0 - 8.0 / (9.0 * math.pi)) * 0.3**4)


def test_strip_is_widest_at_the_centre_or_at_its_nearer_chord():
    assert max_half_width(-0.1, 0.2, 0.3) == pytest.approx(0.3)
    assert max_half_width(0.1, 0.2, 0.3) == pytest.approx(math.sqrt(0.09 - 0.01))
    assert max_half_width(-0.2, -0.1, 0.3) == pytest.approx(math.sqrt(0.09 - 0.01))


def test_thin_strip_is_nearly_a_rectangle():
    thin, flat = made(thickness_m=0.001, shape="strip"), made(thickness_m=0.001)
    assert hinge(thin).elastic_section_modulus_m3 == pytest.approx(hinge(flat).elastic_section_modulus_m3, rel=0.01)
    assert hinge(thin).plastic_section_modulus_m3 == pytest.approx(hinge(flat).plastic_section_modulus_m3, rel=0.01)


@pytest.mark.parametrize("shape", ["rectangle", "strip"])
def test_elastic_modulus_for_a_grid_agrees_with_single_hinges(shape):
    import numpy as np

    grid = np.array([0.02, 0.035, 0.06])
    single = [hinge(made(shape=shape, thickness_m=t)).elastic_section_modulus_m3 for t in grid.tolist()]
    assert elastic_modulus_for(made(shape=shape), 0.5, grid) == pytest.approx(single, rel=1e-12)


def test_own_diameter_goes_before_the_stem_diameter():
    assert hinge_of(made(), 0.9).notch_apex_x_m == pytest.approx(0.125)
    assert hinge_of(made(stem_diameter_m=None), 0.9).notch_apex_x_m == pytest.approx(0.225)


@pytest.mark.parametrize(
    "changes",
    [
        {"notch_depth_ratio": 0.099},
        {"notch_depth_ratio": 0.501},
        {"thickness_m": 0.0},
        {"thickness_m": -0.01},
        {"thickness_m": 0.36},
        {"notch_depth_ratio": 0.5, "thickness_m": 0.226},
    ],
)
def test_hinge_outside_the_model_is_refused(changes):
    with pytest.raises(Refused) as caught:
        hinge(made(**changes))
    assert caught.value.code == "hinge-geometry"


@pytest.mark.parametrize("depth", [0.10, 0.50])
def test_notch_depth_at_its_limit_passes(depth):
    assert hinge(made(notch_depth_ratio=depth)).area_m2 > 0.0


def test_hinge_wider_than_the_stem_is_out_of_range():
    with pytest.raises(OutOfRange, match="width_m"):
        hinge(made(width_m=0.51))


def test_hinge_alone_needs_its_diameter():
    with pytest.raises(OutOfRange, match="stem_diameter_m"):
        hinge(made(stem_diameter_m=None))


@pytest.mark.parametrize(
    "changes",
    [
        {"rupture_modulus_mean_pa": 0.0},
        {"rupture_modulus_cov": 0.61},
        {"rupture_modulus_cov": -0.1},
        {"stem_diameter_m": -0.5},
        {"thickness_m": math.nan},
        {"thickness_m": 1e-5},
        {"stem_diameter_m": 0.001},
        {"shape": "oval"},
        {"notch_opening_deg": 0.0},
    ],
)
def test_nonsense_is_out_of_range(changes):
    with pytest.raises(OutOfRange):
        made(**changes)
