"""What riggers write is understood; everything else is refused with what would be right."""

import pytest

from crewlog.quantities.parse import QuantityTextError
from crewlog.quantities.typed import Limits, input_text, read_quantity
from tests.rows import every_row

LBF = 4.448_221_615_260_5  # N, NIST SP 811 appendix B, exact
G = 9.806_65  # m/s², standard gravity, ISO 80000-3

READ = [
    ("12.5 kN", "force", "metric", 12_500.0),
    ("12.5kN", "force", "metric", 12_500.0),
    ("12.5 KN", "force", "us", 12_500.0),
    ("12.5", "force", "metric", 12_500.0),
    ("2700", "force", "us", 2_700 * LBF),
    ("2700 lbf", "force", "metric", 2_700 * LBF),
    ("500 N", "force", "metric", 500.0),
    ("50 daN", "force", "metric", 500.0),
    ("1.5 kip", "force", "metric", 1_500 * LBF),
    ("1000 kg", "force", "metric", 1_000 * G),
    ("2.5 t", "force", "metric", 2_500 * G),
    ("2.5 tonnes", "force", "metric", 2_500 * G),
    ("6000 lb", "force", "us", 6_000 * LBF),
    ("6000 lbs", "force", "us", 6_000 * LBF),
    ("3 short ton", "force", "us", 6_000 * LBF),
    ("3 US tons", "force", "us", 6_000 * LBF),
    ("1 long ton", "force", "us", 2_240 * LBF),
    ("250", "hand_force", "metric", 250.0),
    ("55", "hand_force", "us", 55 * LBF),
    ("5/8 in", "diameter_gear", "metric", 15.875),
    ('5/8"', "diameter_gear", "us", 15.875),
    ('1 1/2"', "diameter_gear", "us", 38.1),
    ("1-1/2 in", "diameter_gear", "us", 38.1),
    ("1 1/2", "diameter_gear", "us", 38.1),
    ("12", "diameter_gear", "metric", 12.0),
    ("14 in", "diameter_stem", "metric", 0.355_6),
    ("35.5", "diameter_stem", "metric", 0.355),
    ("12'6\"", "length", "metric", 3.81),
    ("12' 6\"", "length", "us", 3.81),
    ("12′ 6″", "length", "us", 3.81),
    ("12'6''", "length", "us", 3.81),
    ("32 ft 6 in", "length", "metric", 9.906),
    ("32ft 6in", "length", "us", 9.906),
    ("12' 6 1/2\"", "length", "us", 3.822_7),
    ("12'", "length", "us", 3.657_6),
    ("32.5", "length", "us", 9.906),
    ("32.5 ft", "length", "metric", 9.906),
    (".5 m", "length", "us", 0.5),
    ("  8.0\u00a0m ", "length", "us", 8.0),
    ("-0.3", "offset", "metric", -0.3),
    ("−0.3", "offset", "metric", -0.3),
    ("-1 ft 2 in", "offset", "us", -0.355_6),
    ("4°", "slope", "metric", 4.0),
    ("4 deg", "slope", "us", 4.0),
    ("100 %", "slope", "metric", 45.0),
    ("-100%", "slope", "metric", -45.0),
    ("11 m/s", "wind", "us", 11.0),
    ("39.6 km/h", "wind", "metric", 11.0),
    ("10 mph", "wind", "metric", 4.470_4),
    ("20 knots", "wind", "metric", 20 * 1_852 / 3_600),
    ("20 kn", "wind", "metric", 20 * 1_852 / 3_600),
    ("92", "percent", "metric", 0.92),
    ("92 %", "ratio", "metric", 0.92),
    ("0.92", "ratio", "us", 0.92),
    ("900 kg/m3", "density", "us", 900.0),
    ("900 kg / m³", "density", "us", 900.0),
    ("56 lb/ft3", "density", "metric", 56 * 0.453_592_37 / 0.304_8**3),
    ("0", "length", "metric", 0.0),
    ("10 years", "months", "metric", 120.0),
    ("6", "months", "us", 6.0),
]


@every_row(("text", "kind", "system", "value"), READ)
def test_what_riggers_write_is_read(text, kind, system, value):
    assert read_quantity(text, kind, system).value == pytest.approx(value, rel=1e-14, abs=1e-14)


REFUSED = [
    ("12,5", "force", "comma", "Write 12.5 with a point."),
    ("12,5 kN", "force", "comma", "Write 12.5 with a point."),
    ("0,125", "force", "comma", "Write 0.125 with a point."),
    ("1,000", "force", "comma", "Write 1000 without the separator, or 1.000 with a point."),
    ("1,234.5", "force", "comma", "Write 1234.5 without the separator."),
    ("1,234,567 kg", "force", "comma", "Write 1234567 without the separator."),
    ("1.234,5", "force", "comma", "Write 1234.5 with a point and no separator."),
    ("1 000", "force", "separator", "Write 1000 without the separator."),
    ("12\u00a0500 N", "force", "separator", "Write 12500 without the separator."),
    ("1'000", "length", "separator", "Write 1000 without the separator."),
    ("1_000", "force", "underscore", "Write 1000 without the underscore."),
    ("nan", "force", "not-a-number", "Write a number, such as 12.5 kN."),
    ("NaN kN", "force", "not-a-number", "Write a number, such as 12.5 kN."),
    ("-inf", "force", "not-a-number", "Write a number, such as 12.5 kN."),
    ("infinity", "force", "not-a-number", "Write a number, such as 12.5 kN."),
    ("1e3", "force", "exponent", "Write 1000 in full, without an exponent."),
    ("1.5E-2 kN", "force", "exponent", "Write 0.015 in full, without an exponent."),
    ("1e400", "force", "exponent", "Write the number in full, such as 12.5 kN."),
    ("9e99999999999", "force", "exponent", "Write the number in full, such as 12.5 kN."),
    ("0x10", "force", "not-decimal", "Write a decimal number, such as 12.5 kN."),
    ("0b11", "force", "not-decimal", "Write a decimal number, such as 12.5 kN."),
    ("9**9**9", "force", "unknown-unit", "“**9**9” is no unit here."),
    ("2 ton", "force", "which-ton", "Which ton: write t (1000 kg), short ton (2000 lb) or long ton (2240 lb)."),
    ("2 Tons", "mass", "which-ton", "Which ton:"),
    ("4 3/4 T", "force", "which-ton", "Which ton:"),
    ("5 kN kg", "force", "two-quantities", "Write one number and one unit, such as 12.5 kN."),
    ("5 kN 3 lbf", "force", "two-quantities", "Write one number and one unit"),
    ("1.2.3", "force", "two-quantities", "Write one number and one unit"),
    ("5 furlongs", "length", "unknown-unit", "Write the unit as m, cm, mm, ft, in."),
    ("3 MN", "force", "unknown-unit", "“MN” is no unit here."),
    ("3 mN", "force", "unknown-unit", "“mN” is no unit here."),
    ("5 m", "force", "unknown-unit", "Write the unit as N, kN, daN, lbf, kip"),
    ("5 kN", "length", "unknown-unit", "Write the unit as m, cm, mm, ft, in."),
    ("3 kg", "number", "unknown-unit", "Write the number alone, such as 12."),
    ("kN 5", "force", "not-a-number", "Write the number first, such as 12.5 kN."),
    ("--5", "force", "not-a-number", "Write the number first, such as 12.5 kN."),
    ("+5", "force", "plus-sign", "Write the number without a plus sign."),
    ("5.", "force", "not-a-number", "Write a digit after the point, or no point."),
    ("", "force", "empty", "Write a number, such as 12.5 kN."),
    (" \u00a0\t", "force", "empty", "Write a number, such as 12.5 kN."),
    ("kN", "force", "not-a-number", "Write the number first, such as 12.5 kN."),
    ("١٢", "force", "foreign-digits", "Write the digits as 0 to 9, such as 12.5 kN."),
    ("１２", "force", "foreign-digits", "Write the digits as 0 to 9"),
    ("1²", "force", "unknown-unit", "“²” is no unit here."),
    ("½ in", "diameter_gear", "foreign-digits", "Write 1/2 for ½."),
    ("5\x00", "force", "not-a-number", "Write a plain number, such as 12.5 kN."),
    ("5" * 41, "force", "too-long", "Write at most 40 characters, such as 12.5 kN."),
    ("5/0 in", "length", "fraction", "Write halves, thirds, quarters, 8ths, 16ths, 32nds or 64ths."),
    ("12/6 in", "length", "fraction", "Write halves, thirds"),
    ("5/4 in", "length", "fraction", "Write a fraction smaller than one, such as 1 1/2 for 3/2."),
    ("5/8", "diameter_gear", "fraction", "Write the unit after a fraction, such as 5/8 in."),
    ("1/12", "slope", "fraction", "Write it as a decimal number, such as 4° or 7 %."),
    ("12'6", "length", "inches-mark", "Write the inches with their mark: 12 ft 6 in."),
    ("12'14\"", "length", "feet-and-inches", "Write fewer than 12 inches after feet, such as 12 ft 6 in."),
    ("12.5 ft 6 in", "length", "feet-and-inches", "Write whole feet before inches, such as 12 ft 6 in."),
    ("5; DROP TABLE", "force", "unknown-unit", "“; DROP TABLE” is no unit here."),
]


@every_row(("text", "kind", "code", "message"), REFUSED)
def test_anything_else_is_refused_with_what_would_be_right(text, kind, code, message):
    with pytest.raises(QuantityTextError) as refusal:
        read_quantity(text, kind, "metric")
    assert refusal.value.code == code
    assert refusal.value.message.startswith(message) or message in refusal.value.message


def test_a_bare_fraction_is_never_read_as_feet():
    with pytest.raises(QuantityTextError, match="unit after a fraction"):
        read_quantity("6 5/8", "length", "us")


BOUNDS = [
    ("31", "angle", Limits(min_value=0, max_value=30, noun="lean"), "At most 30° of lean."),
    ("-1", "angle", Limits(min_value=0, max_value=30, noun="lean"), "At least 0° of lean."),
    ("1 ft", "length", Limits(min_value=1.0), "At least 3.3\u00a0ft."),
    ("10 in", "length", Limits(min_value=1.0), "At least 39.4\u00a0in."),
    ("50 ft", "length", Limits(max_value=12.0), "At most 39\u00a0ft."),
    ("0", "force", Limits(min_value=0, exclusive=True), "More than 0\u00a0kN."),
    ("100 lbf", "force", Limits(min_value=1_000.0), "At least 225\u00a0lbf."),
    ("30 kn", "wind", Limits(max_value=11.0), "At most 21.3\u00a0kn."),
    ("25", "wind", Limits(max_value=11.0), "At most 11\u00a0m/s."),
    ("120 %", "slope", Limits(max_value=45.0), "At most 100\u00a0%."),
    ("-3 kN", "force", Limits(), "At least 0\u00a0kN."),
    ("20000 kN", "force", Limits(), "At most 10,000\u00a0kN."),
]


@every_row(("text", "kind", "limits", "message"), BOUNDS)
def test_a_limit_is_stated_in_the_unit_typed(text, kind, limits, message):
    with pytest.raises(QuantityTextError) as refusal:
        read_quantity(text, kind, "metric", limits=limits)
    assert refusal.value.message == message


@pytest.mark.parametrize(("text", "kind", "limits", "message"), [row for row in BOUNDS if "More than" not in row[3]])
def test_the_limit_as_stated_passes(text, kind, limits, message):
    stated = message.split(" of ")[0].removeprefix("At least ").removeprefix("At most ").rstrip(".").replace(",", "")
    assert read_quantity(stated, kind, "metric", limits=limits).text == stated


def test_a_value_equal_to_a_limit_passes():
    assert read_quantity("39.37007874015748 in", "length", "us", limits=Limits(min_value=1.0)).value == pytest.approx(
        1.0
    )
    assert read_quantity("30", "angle", "us", limits=Limits(max_value=30)).value == 30


@pytest.mark.parametrize(
    ("text", "kind", "system", "echo"),
    [
        ("2700 lbf", "force", "metric", "2700 lbf = 12.01\u00a0kN"),
        ("2700", "force", "us", "2700\u00a0lbf = 12.01\u00a0kN"),
        ("1000 kg", "force", "metric", "1,000\u00a0kg = 9.81\u00a0kN"),
        ("2.5 t", "force", "metric", "2.5\u00a0t = 24.52\u00a0kN"),
        ("12", "force", "metric", "12.00\u00a0kN"),
        ("12'6\"", "length", "us", "12'6\" = 3.81\u00a0m"),
        ("5/8 in", "diameter_gear", "metric", "5/8 in = 15.9\u00a0mm"),
        ("7 %", "slope", "metric", "7 % = 4.0°"),
        ("20 kn", "wind", "metric", "20 kn = 10.3\u00a0m/s"),
    ],
)
def test_what_was_typed_is_shown_back_with_its_value(text, kind, system, echo):
    assert read_quantity(text, kind, system).echo() == echo


@every_row(
    ("value", "kind", "system", "text"),
    [
        (12_500.0, "force", "metric", "12.5"),
        (2_700 * LBF, "force", "metric", "12.01"),
        (2_700 * LBF, "force", "us", "2700"),
        (0.2, "force", "metric", "0.0002"),
        (9.906, "length", "us", "32 ft 6 in"),
        (12.0, "length", "us", "39 ft 4 7/16 in"),
        (0.1, "length", "us", "3 15/16 in"),
        (3.657_6, "length", "us", "12"),
        (-0.355_6, "offset", "us", "-1 ft 2 in"),
        (0.0, "length", "us", "0"),
        (0.45, "diameter_stem", "metric", "45"),
        (0.45, "diameter_stem", "us", "17.717"),
        (1e5, "force", "metric", "100"),
    ],
)
def test_a_stored_value_fills_the_box_in_sensible_digits(value, kind, system, text):
    assert input_text(value, kind, system) == text
