"""Every result of the interface has a line of working: a new result without one fails here."""

import typing
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import partial

import pytest

from jobs.mechanics.convert import from_json
from jobs.mechanics.inverse import least
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.sources import SOURCES
from jobs.mechanics.topics import TOPICS
from jobs.mechanics.wind import wind
from jobs.mechanics.working.context import StageWork, Work, stages_of, work_of
from jobs.mechanics.working.measured import least_lines, measured_lines
from jobs.mechanics.working.rows import NotAsked, Row, without_numbers
from jobs.mechanics.working.tackle import STAGE
from jobs.mechanics.working.whole import IN_FULL, working_of
from tests.mechanics.plans import changed, full_inputs, passing_inputs, solved
from tests.rows import every_row

SAME_TOPIC = {"plan.uncertainty", "plan.travel", "plan.bollard", "plan.restraint"}  # as the topics of those names
NOT_IN_A_PLAN = {f"pull.table.{name}" for name in ("angle_deg", "tension_n", "lever_arm_m", "travel_m")}
READINGS = [(200.0, 800.0), (210.0, 850.0), (190.0, 780.0)]


def leaves(kind, path):
    """Paths of the results a class of results holds."""
    inner = [each for each in typing.get_args(kind) if any(is_dataclass(one) for one in (each, *typing.get_args(each)))]
    if is_dataclass(kind):
        hints = typing.get_type_hints(kind)
        for entry in fields(kind):
            where = f"{path}.{entry.name}"
            if not entry.metadata.get("internal") and where not in SAME_TOPIC:
                yield from leaves(hints[entry.name], where)
    elif inner:
        yield from leaves(inner[0], path)
    else:
        yield path


def everything():
    plans = [
        solved(full_inputs(), {"uncertainty": {"samples": 200}}),
        solved(passing_inputs()),
        solved(passing_inputs(), {"window.method": "bore_with_strap"}),
        solved(passing_inputs(), {"wind.gust_m_s": 30.0, "wind.working_limit_m_s": 11.0}),
    ]
    for result in plans:
        yield from working_of(result)
    yield from measured_lines(5, "to_advantage", READINGS)
    yield from least_lines(least(from_json(PlanInput, changed(passing_inputs(), {}), "inputs"), "people"))


@pytest.fixture
def lines():
    return list(everything())


ROWS: list[Row[Work] | Row[StageWork]] = [*(row for table in IN_FULL for row in table.rows), *STAGE.rows]


@every_row("topic", TOPICS)
def test_every_result_of_a_topic_has_a_line(topic, lines):
    explained = {name for line in lines for name in line.explains}
    wanted = set(leaves(TOPICS[topic].result, topic))
    assert wanted
    without = wanted - explained - {without_numbers(row.symbol.replace("{i}", "0")) for row in ROWS}
    assert without == set()


def test_every_row_of_the_tables_is_met_in_a_plan(lines):
    met = {without_numbers(line.path) for line in lines if line.path}
    rows = {without_numbers(row.symbol.replace("{i}", "0")) for row in ROWS}
    assert rows - met == NOT_IN_A_PLAN


@every_row("row", ROWS, ids=lambda row: row.symbol)
def test_row_names_a_listed_source_and_symbols_of_its_formula(row):
    assert row.title
    assert row.formula
    assert row.unit
    assert row.source in SOURCES
    assert all(put.symbol for put in row.terms)


UNITS = {
    "m": "m", "n": "N", "n_m": "N m", "deg": "°", "kg": "kg", "pa": "Pa", "m2": "m²", "m3": "m³", "m4": "m⁴", "j": "J",
    "m_s": "m/s",
}  # fmt: skip
SPELLED_OUT = {"restraint.stiffness_n_m": "N/m", "plan.gauge_band_n.lowest": "N", "plan.gauge_band_n.highest": "N"}


@every_row("row", ROWS, ids=lambda row: row.symbol)
def test_unit_a_row_states_is_the_one_in_the_name_of_its_result(row):
    name = row.symbol.rpartition(".")[2]
    endings = [ending for ending in UNITS if name.endswith(f"_{ending}")]
    named = UNITS[max(endings, key=len)] if endings else "1"
    assert row.unit == SPELLED_OUT.get(row.symbol, named)


def interface_value(result, path):
    """What the interface's classes hold under a path: a list of results gives the figure of each."""
    through, (topic, *names) = result.working, path.split(".")
    state = through.situation
    value = {
        "stem": state.stem, "hinge": state.section, "line": state.geometry, "wind": wind(state.tree, state.wind),
        "pull": through.pull, "window": through.window, "tackle": through.tackle, "crew": through.crew,
        "travel": result.travel, "bollard": result.bollard, "restraint": result.restraint,
        "uncertainty": result.uncertainty, "plan": result,
    }[topic]  # fmt: skip
    for name in names:
        if name.isdigit():
            value = value[int(name)]
        elif isinstance(value, tuple):
            value = tuple(getattr(each, name) for each in value)
        else:
            value = getattr(value, name)
    return value


def test_every_row_takes_the_result_its_path_names():
    result = solved(full_inputs(), {"uncertainty": {"samples": 200}})
    work = work_of(result)
    taken = [
        *((row.symbol, partial(row.result, work)) for table in IN_FULL for row in table.rows),
        *(
            (row.symbol.replace("{i}", str(stage.place)), partial(row.result, stage))
            for stage in stages_of(work)
            for row in STAGE.rows
        ),
    ]
    asked_for = 0
    for path, take in taken:
        try:
            value = take()
        except NotAsked:
            continue
        asked_for += 1
        assert value == interface_value(result, path), path
    assert asked_for > 150


def test_every_line_that_was_met_has_numbers_put_in(lines):
    assert [line.path or line.symbol_name for line in lines if not line.terms] == []


# Relations simple enough to be worked here from the numbers the line shows.
RECOMPUTED = {
    "hinge.notch_apex_x_m": lambda t: t["D"] * (0.5 - t["f"]),
    "hinge.hinge_line_x_m": lambda t: (t["x_a"] + t["x_b"]) / 2,
    "hinge.area_m2": lambda t: t["b"] * t["t"],
    "hinge.plastic_section_modulus_m3": lambda t: t["b"] * t["t"] ** 2 / 4,
    "hinge.elastic_moment_low_n_m": lambda t: t["MOR_low"] * t["W_el"],
    "wind.dynamic_pressure_pa": lambda t: t["rho"] * t["V"] ** 2 / 2,
    "wind.height_m": lambda t: t["M_w"] / t["F"],
    "stem.total_mass_kg": lambda t: t["m_s"] + t["m_c"],
    "pull.tackle_tension_n": lambda t: t["T_req"] / t["eta_line"],
    "pull.hinge_compression_n": lambda t: t["W"] + t["T_0"] * t["ratio"],
    "pull.hinge_axial_stress_pa": lambda t: t["N"] / t["A"],
    "window.recommended_tension_n": lambda t: t["T_lo"] + (t["T_hi"] - t["T_lo"]) / 3,
    "tackle.stages.0.cleat_force_n": lambda t: t["load"] / t["MA"],
    "tackle.efficiency": lambda t: t["MA"] / t["n"],
    "travel.total_haul_m": lambda t: t["travel"] * t["n"],
    "travel.stages.0.throw_m": lambda t: t["ext"] - t["two"],
    "restraint.stop_distance_m": lambda t: t["s"] + t["x"],
    "plan.side.side_bollard_tension_n": lambda t: t["T_side"] / t["eta_side"],
}


@every_row("path", RECOMPUTED)
def test_numbers_put_in_give_the_result(path, lines):
    line = next(line for line in lines if line.path == path)
    assert RECOMPUTED[path]({term.symbol: term.value for term in line.terms}) == pytest.approx(line.result, rel=1e-9)


def test_what_is_no_number_is_said_in_words(lines):
    words = {line.path: line.result_words for line in lines if line.path}
    assert words["window.is_empty"] in ("yes", "no")
    assert words["line.direction"].count(",") == 2
    assert isinstance(words["plan.codes"], str)


def test_plan_without_a_topic_leaves_its_lines_out():
    paths = {line.path for line in working_of(solved(passing_inputs()))}
    assert not any(path.startswith(("restraint.", "uncertainty.")) for path in paths)
    assert isinstance(solved(passing_inputs()).loads_n, Mapping)
