"""Section 1: volume, mass and centre of gravity of what stands on the hinge."""

import math

import pytest

from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.stem import CrownLump, Section, SweepKnot, frustums, stem, total_height
from tests.mechanics.rig import pole, tree


def refusal(made):
    with pytest.raises(Refused) as caught:
        stem(made)
    return caught.value.code


def test_cylinder_weighs_its_volume_and_balances_at_half_its_length():
    result = stem(pole(length_m=10.0, base_m=0.2, top_m=0.2))
    assert result.volume_m3 == pytest.approx(math.pi * 0.01 * 10.0)
    assert result.stem_mass_kg == pytest.approx(1000.0 * math.pi * 0.1)
    assert result.weight_n == pytest.approx(9.80665 * 1000.0 * math.pi * 0.1)
    assert result.centre_of_gravity_m == pytest.approx((0.0, 0.0, 5.0))


def test_cone_has_a_third_of_the_cylinder_and_balances_at_a_quarter():
    result = stem(pole(length_m=8.0, base_m=0.4, top_m=0.0))
    assert result.volume_m3 == pytest.approx(math.pi * 0.04 * 8.0 / 3.0)
    assert result.centre_of_gravity_m[2] == pytest.approx(2.0)


def test_wood_below_the_hinge_does_not_count():
    assert stem(pole(hinge_height_m=4.0)).volume_m3 == pytest.approx(0.6 * stem(pole()).volume_m3)


def test_diameter_at_the_hinge_is_between_the_sections_and_bark_is_taken_off_both_sides():
    result = stem(tree())
    assert result.hinge_diameter_over_bark_m == pytest.approx(0.48)
    assert result.hinge_diameter_under_bark_m == pytest.approx(0.46)


@pytest.mark.parametrize(("azimuth", "forward", "left"), [(90.0, 1, 0), (270.0, -1, 0), (0.0, 0, 1), (180.0, 0, -1)])
def test_lean_azimuth_is_clockwise_from_north(azimuth, forward, left):
    x, y, _ = stem(pole(lay_azimuth_deg=90.0, lean_deg=10.0, lean_azimuth_deg=azimuth)).centre_of_gravity_m
    offset = 5.0 * math.sin(math.radians(10.0))
    assert (x, y) == pytest.approx((forward * offset, left * offset), abs=1e-12)


def test_lean_without_an_azimuth_is_along_the_lay():
    assert stem(pole(lean_deg=5.0)).centre_of_gravity_m[0] == pytest.approx(5.0 * math.sin(math.radians(5.0)))


def test_crown_moves_the_centre_of_gravity_to_the_weighted_mean():
    bare = stem(pole())
    crown = CrownLump(mass_kg=bare.stem_mass_kg, height_m=9.0, forward_m=1.0, left_m=-2.0)
    result = stem(pole(crown=(crown,)))
    assert result.centre_of_gravity_m == pytest.approx((0.5, -1.0, 7.0))
    assert result.stem_centre_of_gravity_m == pytest.approx((0.0, 0.0, 5.0))
    assert result.total_mass_kg == pytest.approx(2.0 * bare.stem_mass_kg)


def test_even_sweep_shifts_the_stem_sideways_and_no_more():
    result = stem(pole(sweep=(SweepKnot(height_m=0.0, forward_m=0.3, left_m=0.1),)))
    assert result.centre_of_gravity_m == pytest.approx((0.3, 0.1, 5.0))


def test_sweep_between_knots_is_linear_and_the_stem_is_split_at_the_knots():
    knots = (SweepKnot(height_m=2.0, forward_m=0.0, left_m=0.0), SweepKnot(height_m=6.0, forward_m=1.0, left_m=0.0))
    made = pole(sweep=knots)
    assert [piece.lower_m for piece in frustums(made)] == [0.0, 2.0, 6.0]
    # 2 m at 0, 4 m at 0.5 on average, 4 m at 1.
    assert stem(made).centre_of_gravity_m[0] == pytest.approx((4.0 * 0.5 + 4.0 * 1.0) / 10.0)


def test_crown_follows_the_sweep_at_its_height():
    knots = (SweepKnot(height_m=0.0, forward_m=0.0, left_m=0.0), SweepKnot(height_m=10.0, forward_m=1.0, left_m=0.0))
    crown = CrownLump(mass_kg=1e9, height_m=5.0, forward_m=0.25)
    assert stem(pole(sweep=knots, crown=(crown,))).centre_of_gravity_m[0] == pytest.approx(0.75, rel=1e-5)


def test_total_height_is_the_taller_of_the_sections_and_the_height_given():
    assert total_height(pole()) == 10.0
    assert total_height(pole(tree_height_m=14.0)) == 14.0
    assert total_height(pole(tree_height_m=9.0)) == 10.0


FALLING = (Section(height_m=2.0, diameter_m=0.3), Section(height_m=1.0, diameter_m=0.2))


@pytest.mark.parametrize(
    ("code", "changes"),
    [
        ("decay", {"decay": True, "green_density_kg_m3": None, "sections": FALLING, "lean_deg": 40.0}),
        ("no-density", {"green_density_kg_m3": None, "sections": FALLING, "lean_deg": 40.0}),
        ("no-density", {"green_density_kg_m3": 0.0}),
        ("bad-sections", {"sections": FALLING, "hinge_height_m": 9.0, "lean_deg": 40.0}),
        ("hinge-outside-sections", {"hinge_height_m": 99.0, "lean_deg": 40.0}),
        ("lean-too-great", {"lean_deg": 30.1}),
    ],
)
def test_refusals_come_in_their_order(code, changes):
    assert refusal(tree(**changes)) == code


@pytest.mark.parametrize(
    "diameters", [(0.0, 0.3), (-0.1, 0.3), (0.3, -0.1)], ids=["zero below", "negative below", "negative on top"]
)
def test_diameters_that_are_not_positive_are_bad_sections(diameters):
    sections = tuple(Section(height_m=float(h), diameter_m=d) for h, d in enumerate(diameters))
    assert refusal(pole(sections=sections)) == "bad-sections"


def test_sections_at_one_height_or_none_at_all_are_bad_sections():
    twice = (Section(height_m=1.0, diameter_m=0.3), Section(height_m=1.0, diameter_m=0.2))
    assert refusal(pole(sections=twice)) == "bad-sections"
    assert refusal(pole(sections=())) == "bad-sections"


def test_hinge_may_stand_on_the_first_section_but_not_on_the_last():
    assert stem(pole(hinge_height_m=0.0)).volume_m3 > 0.0
    assert refusal(pole(hinge_height_m=10.0)) == "hinge-outside-sections"
    assert refusal(pole(hinge_height_m=-0.1)) == "hinge-outside-sections"


def test_lean_of_30_degrees_passes():
    assert stem(tree(lean_deg=30.0)).weight_n > 0.0


@pytest.mark.parametrize(
    "changes",
    [
        {"lean_deg": -1.0},
        {"lean_deg": math.nan},
        {"bark_thickness_m": -0.01},
        {"green_density_kg_m3": -900.0},
        {"green_density_kg_m3": math.inf},
        {"lay_azimuth_deg": math.inf},
        {"sweep": (SweepKnot(height_m=2.0, forward_m=0, left_m=0), SweepKnot(height_m=2.0, forward_m=1, left_m=0))},
    ],
)
def test_nonsense_is_out_of_range(changes):
    with pytest.raises(OutOfRange):
        tree(**changes)


def test_bark_thicker_than_the_stem_is_out_of_range():
    with pytest.raises(OutOfRange, match="bark_thickness_m"):
        stem(tree(bark_thickness_m=0.24))


@pytest.mark.parametrize("diameter", [1e-6, 1e300, math.nan])
def test_diameter_that_is_no_measurement_is_out_of_range(diameter):
    with pytest.raises(OutOfRange, match="diameter_m"):
        Section(height_m=1.0, diameter_m=diameter)


def test_negative_crown_mass_is_out_of_range():
    with pytest.raises(OutOfRange, match="mass_kg"):
        CrownLump(mass_kg=-1.0, height_m=5.0)
