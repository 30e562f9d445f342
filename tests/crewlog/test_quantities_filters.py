"""The filters pages use: the reader's unit, a no-break space, the safe side."""

from types import SimpleNamespace

import pytest
from django.template import Context, Template

from tests.rows import every_row

METRIC, US = SimpleNamespace(unit_system="metric"), SimpleNamespace(unit_system="us")


def shown(expression, company=METRIC, **values):
    return Template("{% load quantities %}{{ " + expression + " }}").render(Context({"company": company, **values}))


@every_row(
    ("expression", "value", "metric", "us"),
    [
        ("x|force:company", 12_010.2, "12.02 kN", "2,701 lbf"),
        ("x|force_limit:company", 12_019.0, "12.01 kN", "2,701 lbf"),
        ("x|force_measured:company", 12_014.0, "12.01 kN", "2,701 lbf"),
        ("x|hand_force:company", 671.0, "680 N", "151 lbf"),
        ("x|hand_limit:company", 679.0, "670 N", "152 lbf"),
        ("x|length_measured:company", 9.906, "9.91 m", "32 ft 6 in"),
        ("x|length_up:company", 27.01, "27.1 m", "88 ft 8 in"),
        ("x|length_down:company", 27.09, "27.0 m", "88 ft 10 in"),
        ("x|diameter:company", 0.35, "35.0 cm", "13.78 in"),
        ("x|gear_diameter:company", 12.7, "12.7 mm", "0.50 in"),
        ("x|mass:company", 1_250.0, "1,250 kg", "2,756 lb"),
        ("x|density:company", 900.0, "900 kg/m³", "56.2 lb/ft³"),
        ("x|wind:company", 5.01, "5.1 m/s", "11.3 mph"),
        ("x|wind_limit:company", 11.0, "11.0 m/s", "24.6 mph"),
        ("x|stress:company", 47e6, "47.0 MPa", "6,817 psi"),
        ("x|modulus:company", 7.8e9, "7.80 GPa", "1,131,294 psi"),
        ("x|moment:company", 9_533.0, "9.53 kN m", "7,031 lbf ft"),
        ("x|energy:company", 1_234.0, "1.24 kJ", "911 ft lbf"),
        ("x|area:company", 20.0, "20.00 m²", "215.3 ft²"),
        ("x|angle", 18.94, "18.9°", "18.9°"),
        ("x|slope", -4.0, "-4.0°", "-4.0°"),
        ("x|bearing", 44.6, "045°", "045°"),
        ("x|percent_up", 0.823, "83 %", "83 %"),
        ("x|percent_down", 0.999, "99 %", "99 %"),
        ("x|factor_down", 1.999, "1.9", "1.9"),
    ],
)
def test_filter_prints_the_readers_unit(expression, value, metric, us):
    assert shown(expression, METRIC, x=value) == metric.replace(" ", "\u00a0")
    assert shown(expression, US, x=value) == us.replace(" ", "\u00a0")


def test_what_is_not_known_says_so_or_dashes_in_a_table():
    assert shown("x|force:company", x=None) == "not known"
    assert shown("x|angle", x=None) == "not known"
    assert shown("x|bearing", x=None) == "not known"
    assert shown("x|force:company|or_dash", x=None) == "–"
    assert shown("x|force:company|or_dash", x=0) == "0.00\u00a0kN"


@pytest.mark.parametrize("value", ["", "12", True, object()])
def test_anything_but_a_number_is_an_error_and_never_a_blank(value):
    with pytest.raises(TypeError, match="must be a number"):
        shown("x|force:company", x=value)


def test_a_misspelt_variable_is_an_error():
    with pytest.raises(TypeError, match="must be a number"):
        shown("y|force:company", x=1.0)


def test_a_reader_without_units_is_an_error():
    with pytest.raises(TypeError, match="needs a company"):
        shown("x|force:company", company=None, x=1.0)


def test_whole_numbers_and_texts_of_a_system_are_accepted():
    assert shown("x|force:'us'", x=1000) == "225\u00a0lbf"
