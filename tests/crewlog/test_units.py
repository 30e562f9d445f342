"""Factors against published exact definitions; rounding at the edge."""

import math

import pytest

from crewlog.quantities.display import (
    demand_text,
    factor_text,
    hand_limit_text,
    hand_text,
    limit_text,
    percent_text,
    quantity_text,
)
from crewlog.quantities.kinds import KINDS, kind_named
from crewlog.quantities.units import check_unit_system, number_text, round_down_to, round_to, round_up_to
from tests.rows import every_row

# NIST SP 811 (2008), appendix B: factors printed in bold are exact; ISO 80000-3/-4 give the same definitions.
EXACT = [
    ("force", "lbf", 4.448_221_615_260_5),
    ("force", "kip", 4_448.221_615_260_5),
    ("force", "kN", 1_000.0),
    ("force", "daN", 10.0),
    ("force", "kg", 9.806_65),  # kilogram-force; standard gravity, ISO 80000-3
    ("force", "t", 9_806.65),
    ("force", "lb", 4.448_221_615_260_5),  # a pound mass weighs one pound-force by definition
    ("force", "short ton", 2_000 * 4.448_221_615_260_5),
    ("force", "long ton", 2_240 * 4.448_221_615_260_5),
    ("length", "ft", 0.304_8),
    ("length", "in", 0.025_4),
    ("diameter_gear", "in", 25.4),
    ("mass", "lb", 0.453_592_37),
    ("mass", "short ton", 907.184_74),
    ("mass", "long ton", 1_016.046_908_8),
    ("wind", "kn", 1_852 / 3_600),
    ("wind", "mph", 0.447_04),
    ("wind", "km/h", 1 / 3.6),
    ("area", "ft²", 0.092_903_04),
    ("density", "lb/ft³", 0.453_592_37 / 0.304_8**3),
    ("stress", "psi", 4.448_221_615_260_5 / 0.025_4**2),
    ("moment", "lbf ft", 4.448_221_615_260_5 * 0.304_8),
    ("stiffness", "lbf/in", 4.448_221_615_260_5 / 0.025_4),
]


@every_row(("kind", "symbol", "factor"), EXACT)
def test_factor_is_the_published_definition(kind, symbol, factor):
    assert kind_named(kind).unit(symbol).factor == pytest.approx(factor, rel=1e-15)


def test_six_figure_factors_agree_with_the_printed_table():
    """NIST SP 811 (2008), appendix B.8: lb/ft³ 1.601 846 E+01 kg/m³; psi 6.894 757 E+03 Pa; lbf ft 1.355 818 N m."""
    assert kind_named("density").unit("lb/ft³").factor == pytest.approx(16.018_46, abs=0.000_005)
    assert kind_named("stress").unit("psi").factor == pytest.approx(6_894.757, abs=0.000_5)
    assert kind_named("moment").unit("lbf ft").factor == pytest.approx(1.355_818, abs=0.000_000_5)


@pytest.mark.parametrize(("percent", "degrees"), [(0, 0), (100, 45), (-100, -45), (8.748_866, 5)])
def test_a_slope_in_percent_is_the_tangent_of_its_angle(percent, degrees):
    unit = kind_named("slope").unit("%")
    assert unit.to_stored(percent) == pytest.approx(degrees, abs=1e-5)
    assert unit.from_stored(degrees) == pytest.approx(percent, abs=1e-5)


def test_every_kind_shows_one_of_its_own_units_in_both_systems():
    for kind in KINDS.values():
        assert {kind.metric, kind.us} <= {unit.symbol for unit in kind.units}
        assert kind.min_value < kind.max_value


def test_an_unknown_unit_system_is_an_error():
    with pytest.raises(ValueError, match="imperial"):
        check_unit_system("imperial")
    with pytest.raises(ValueError, match="furlongs"):
        kind_named("furlongs")


def test_rounding_up_never_loses_load_and_down_never_adds_strength():
    assert round_up_to(12_010.001, 10) == 12_020
    assert round_down_to(12_019.9, 10) == 12_010
    assert round_up_to(-15.0, 10) == -10
    assert round_down_to(-15.0, 10) == -20


def test_last_bit_noise_does_not_move_a_printed_figure():
    assert round_up_to(0.1 + 0.2, 0.1) == pytest.approx(0.3)
    assert round_down_to(0.3 - 1e-17, 0.1) == pytest.approx(0.3)
    assert demand_text(12_010.000_000_001, "metric") == "12.01\u00a0kN"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_figure_that_is_not_finite_is_never_printed(value):
    with pytest.raises(ValueError, match="cannot print"):
        demand_text(value, "metric")
    with pytest.raises(ValueError, match="cannot print"):
        round_to(value, "0.1", "up")


def test_demands_go_up_and_limits_down_to_ten_newtons():
    assert demand_text(2_891.2, "metric") == "2.90\u00a0kN"
    assert limit_text(3_089.9, "metric") == "3.08\u00a0kN"
    assert demand_text(1_234_567.0, "metric") == "1,234.57\u00a0kN"


def test_us_readers_get_whole_pounds_force_to_the_safe_side():
    assert demand_text(12_010.2, "us") == "2,701\u00a0lbf"  # 12 010.2 / 4.448 221 615 = 2 700.001
    assert limit_text(12_010.1, "us") == "2,699\u00a0lbf"  # 2 699.98
    assert demand_text(12_010.198_361_203_35, "us") == "2,700\u00a0lbf"  # exactly 2 700 lbf


def test_hands_go_up_to_ten_newtons_and_their_limits_down():
    assert hand_text(671.0, "metric") == "680\u00a0N"
    assert hand_limit_text(679.9, "metric") == "670\u00a0N"
    assert hand_text(8_231.0, "metric") == "8,240\u00a0N"
    assert hand_text(250.0, "us") == "57\u00a0lbf"  # 56.2
    assert hand_limit_text(250.0, "us") == "56\u00a0lbf"


def test_use_of_a_capacity_goes_up_and_what_is_left_goes_down():
    assert percent_text(0.823, direction="up") == "83\u00a0%"
    assert percent_text(0.999_9, direction="down") == "99\u00a0%"
    assert percent_text(1.000_001, direction="up") == "101\u00a0%"
    assert percent_text(1.0, direction="up") == "100\u00a0%"


def test_a_margin_of_1_999_never_prints_as_2():
    assert factor_text(1.999) == "1.9"
    assert factor_text(1.999, decimals=2) == "1.99"
    assert factor_text(2.0) == "2.0"


@every_row(
    ("value", "kind", "system", "shown"),
    [
        (27.0, "length", "metric", "27.0\u00a0m"),
        (4.468, "length", "metric", "4.47\u00a0m"),
        (3.81, "length", "us", "12\u00a0ft\u00a06\u00a0in"),
        (0.1778, "length", "us", "7\u00a0in"),
        (3.6576, "length", "us", "12\u00a0ft"),
        (0.3, "offset", "us", "1\u00a0ft"),
        (-0.3556, "offset", "us", "-1\u00a0ft\u00a02\u00a0in"),
        (0.45, "diameter_stem", "metric", "45.0\u00a0cm"),
        (0.45, "diameter_stem", "us", "17.72\u00a0in"),
        (12.7, "diameter_gear", "us", "0.50\u00a0in"),
        (12.0, "diameter_gear", "metric", "12.0\u00a0mm"),
        (1_250.4, "mass", "metric", "1,250\u00a0kg"),
        (1.25, "mass", "metric", "1.3\u00a0kg"),
        (900.0, "density", "us", "56.2\u00a0lb/ft³"),
        (18.94, "angle", "metric", "18.9°"),
        (5.0, "wind", "us", "11.2\u00a0mph"),
    ],
)
def test_quantities_print_in_the_readers_unit(value, kind, system, shown):
    assert quantity_text(value, kind, system) == shown


def test_lengths_to_keep_go_up_to_the_inch():
    assert quantity_text(3.811, "length", "us", direction="up") == "12\u00a0ft\u00a07\u00a0in"
    assert quantity_text(3.809, "length", "us", direction="down") == "12\u00a0ft\u00a05\u00a0in"
    assert quantity_text(3.657, "length", "us", direction="up") == "12\u00a0ft"


def test_what_is_not_known_says_so():
    for text in (
        demand_text(None, "metric"),
        limit_text(None, "us"),
        hand_text(None, "us"),
        percent_text(None, direction="up"),
        factor_text(None),
        quantity_text(None, "length", "us"),
    ):
        assert text == "not known"


def test_halves_round_away_from_zero_when_measured():
    assert number_text(0.125, 2, "nearest") == "0.13"
    assert number_text(-0.125, 2, "nearest") == "-0.13"
    assert number_text(-0.001, 2, "nearest") == "0.00"
