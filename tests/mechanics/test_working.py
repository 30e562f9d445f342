"""The working of a plan: every line's numbers give its result, and every source and default is known."""

import math
from dataclasses import replace
from functools import partial

import pytest

from jobs.mechanics.sources import SOURCES
from jobs.mechanics.working.line import shown, working_line
from jobs.mechanics.working.rows import NotAsked, Put, Row, Table
from jobs.mechanics.working.whole import working_of
from tests.mechanics.approved import FOLDER, TEXTS
from tests.mechanics.plans import full_inputs, passing_inputs, solved
from tests.rows import every_row


@pytest.fixture
def full():
    return working_of(solved(full_inputs(), {"uncertainty": {"samples": 200}}))


@pytest.fixture
def passing():
    return working_of(solved(passing_inputs()))


@pytest.fixture
def strapped():
    return working_of(solved(passing_inputs(), {"window.method": "bore_with_strap"}))


def terms(lines, name):
    (line,) = [line for line in lines if line.symbol_name == name]
    return line, {term.symbol: term.value for term in line.terms}


def test_each_line_is_whole(full, strapped):
    assert len(full) > 40
    for line in [*full, *strapped]:
        assert line.source in SOURCES
        assert all((line.title, line.formula, line.unit, line.terms)), line.symbol_name
        assert math.isfinite(line.result)
        assert line.substituted.count("=") == len(line.terms)


@pytest.mark.parametrize("name", TEXTS)
def test_every_word_and_number_is_as_it_was_read_over(name):
    """What changed on purpose is written anew: `python -m tests.mechanics.approved`; the difference is read over."""
    assert TEXTS[name]() == (FOLDER / name).read_text(encoding="utf-8")


def test_names_of_lines_are_not_used_twice(full):
    names = [line.symbol_name for line in full]
    assert len(set(names)) == len(names)


# Each figure recomputed here from the numbers its line shows.
RECOMPUTED = {
    "W": lambda t: t["m"] * t["g"],
    "M_g": lambda t: t["W"] * (t["x_cg"] - t["x_H"]),
    "M_w": lambda t: t["F"] * t["z_w"],
    "M_h": lambda t: t["MOR_high"] * t["Z_pl"],
    "arm": lambda t: t["z_P"] * t["u_x"] - (t["x_P"] - t["x_H"]) * t["u_z"],
    "T_0": lambda t: (t["k_m"] * (max(0, -t["M_g"]) + t["M_w"] + t["M_h"]) - t["k_a"] * max(0, t["M_g"])) / t["arm"],
    "T_stem": lambda t: max(t.values()),
    "T_crew": lambda t: max(t["without spread"], t["T_lo"], t["T_crew,p95"]),
    "T_sit": lambda t: max(0, t["k_s"] * (max(0, -t["M_g"]) + t["M_w"]) - t["k_a"] * max(0, t["M_g"])) / t["arm"],
    "T_pinch": lambda t: (
        (t["W"] / t["A"] - (t["M_g"] - t["M_w"]) * t["c_b"] / t["I"])
        / (t["arm"] * t["c_b"] / t["I"] + t["u_z"] / t["A"])
    ),
    "T_bend": lambda t: min(
        (t["a_b"] * t["MOR_low"] - t["W"] / t["A"] - t["M"] * t["c_f"] / t["I"])
        / (t["arm"] * t["c_f"] / t["I"] - t["u_z"] / t["A"]),
        (t["a_b"] * t["MOR_low"] + t["W"] / t["A"] - t["M"] * t["c_b"] / t["I"])
        / (t["arm"] * t["c_b"] / t["I"] + t["u_z"] / t["A"]),
    ),
    "T_split": lambda t: (
        (t["a_split"] * math.sqrt(2 * t["b"] * t["E"] * t["G_c"] / (1 / t["I_r"] - 1 / t["I_0"])) - t["M"]) / t["arm"]
    ),
    "T_shear": lambda t: (t["a_s"] * t["M_shear"] - t["M"]) / t["arm"],
    "T_tackle": lambda t: t["T_stem"] / t["eta_line"],
    "MA_1": lambda t: sum(t["eta"] ** power for power in range(5)),
    "hand": lambda t: t["T_tackle"] / t["MA"],
    "hand_crew": lambda t: t["T_crew"] / (t["eta_line"] * t["MA"]),
    "c f": lambda t: t["c(n)"] * t["f"],
    "T_over": lambda t: t["n"] * t["f_peak"] * t["MA_hi"],
    "T_steady": lambda t: t["f_steady"] * t["MA_hi"] * t["eta_line"],
    "stretch": lambda t: t["L"] * t["e_ref"] * (t["T"] / (t["f_ref"] * t["MBS"])) ** t["m"],
    "travel": lambda t: t["slack"] + t["stretch"] + t["tip travel"],
    "resets_1": lambda t: math.ceil((t["need"] - t["throw"]) / (t["throw"] - t["setback"])),
    "T_side": lambda t: t["k"] * t["M_side"] / t["arm_side"],
    "tackle_rope": lambda t: t["base"] * t["reduction"] * t["sling factor"],
    "anchor_sling": lambda t: t["base"] * t["reduction"] * t["sling factor"],
}


@every_row("name", RECOMPUTED)
def test_numbers_put_in_give_the_result(full, name):
    line, values = terms(full, name)
    assert RECOMPUTED[name](values) == pytest.approx(line.result, rel=1e-9)


def test_holding_strap_has_its_own_line(strapped):
    line, t = terms(strapped, "T_strap")
    held = t["a_b"] * t["MOR_low"] * t["A_s"] * t["x_H - x_s"]
    assert (held - t["M"]) / t["arm"] == pytest.approx(line.result)
    assert not [other for other in strapped if other.symbol_name == "T_split"]


def test_lines_without_a_topic_in_the_plan_are_left_out(passing):
    groups = {line.group for line in passing}
    assert "Travel" not in groups
    assert "Side line" not in groups


def test_default_and_what_was_entered_in_its_place_are_told_apart(full):
    assert terms(full, "c f")[0].default_basis == "sustained force 250: from memory"
    entered = working_of(solved(passing_inputs(), {"sustained_force_n": 200.0}))
    assert terms(entered, "c f")[0].default_basis == "sustained force 200: entered in place of 250"


def test_numbers_are_shown_with_four_digits_and_a_no_break_space():
    line = working_line(
        "g",
        "t",
        "f",
        symbol_name="s",
        result=1.0,
        unit="N",
        source="MODEL-01",
        terms=[("a", 12345.678, "N"), ("b", 0.00012, "m³"), ("c", 0.5, "1"), ("d", 5387900.0, "Pa")],
    )
    assert line.substituted == "a = 12346\u00a0N, b = 1.200\u00a0×\u00a010⁻⁴\u00a0m³, c = 0.5, d = 5387900\u00a0Pa"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"),
        (-9.9e-13, "0"),
        (1.1e-12, "1.100 × 10⁻¹²"),
        (9.99e-4, "9.990 × 10⁻⁴"),
        (1e-3, "0.001"),
        (-12345.67, "-12346"),
        (9.99e6, "9990000"),
        (1e7, "1.000 × 10⁷"),
    ],
)
def test_what_is_left_of_equal_numbers_is_shown_as_nothing(value, text):
    assert shown(value).replace("\u00a0", " ") == text


def test_result_read_back_from_json_has_no_working():
    with pytest.raises(ValueError, match="no working"):
        working_of(replace(solved(passing_inputs()), working=None))


def test_row_without_what_it_is_about_gives_no_line_and_a_missing_term_is_left_out():
    def none(_):
        raise NotAsked

    row = partial(Row[str], formula="f", unit="N", source="MODEL-01", explains=())
    some = terms_some_without_value(none)
    rows = (
        row("a", "t", result=none, terms=()),
        row("b_{number}", "t {number}", result=lambda _: 2.0, terms=some),
    )
    table = Table[str]("Group {number}", rows)
    (line,) = table.lines("2.0", number="3")
    assert (line.group, line.symbol_name, line.title, line.path) == ("Group 3", "b_3", "t 3", "")
    assert [(term.symbol, term.value) for term in line.terms] == [("y", 1.0), ("y", 2.0)]


def terms_some_without_value(none):
    return Put("x", "m", none), Put("w", "m", lambda _: None), Put("y", "1", lambda _: (1.0, 2.0))
