"""The JSON interface walked against the list it was agreed by: every topic, input, result, word, role and code.

`fixtures/reference/interface.json` holds that list, with the model's symbol beside each name. Nothing listed may be
missing and nothing may have come in that is not listed: in the classes, in the schema, and in what is answered.
"""

import json
from dataclasses import fields
from pathlib import Path
from typing import get_args, get_type_hints

import pytest

from jobs.mechanics import line, ratings, resultants, stem, tackle, travel, uncertainty_inputs
from jobs.mechanics.exchange import solve
from jobs.mechanics.findings.codes import CODES, find_code
from jobs.mechanics.hinge import Hinge
from jobs.mechanics.inverse import LeastWhat
from jobs.mechanics.plan import input as plan_input
from jobs.mechanics.plan import result as plan_result
from jobs.mechanics.pull import PullRow
from jobs.mechanics.rating_data import TERMINATIONS
from jobs.mechanics.restraint import Restraint
from jobs.mechanics.roles import ITEM_KINDS, NOT_USED_REASONS, ROLES, find_role
from jobs.mechanics.rotation import Margins
from jobs.mechanics.schema import exchange_schema
from jobs.mechanics.split_risk import Risk
from jobs.mechanics.topics import TOPICS
from jobs.mechanics.wind import Wind
from jobs.mechanics.window import UpperBounds, WindowChange, WindowOptions
from tests.mechanics.plans import full_inputs, solved
from tests.rows import every_row

LISTED = json.loads((Path(__file__).parents[2] / "fixtures/reference/interface.json").read_text("utf-8"))
SCHEMA = exchange_schema()

INPUT_CLASSES = {
    "tree": stem.Tree,
    "sections": stem.Section,
    "sweep": stem.SweepKnot,
    "crown": stem.CrownLump,
    "hinge": Hinge,
    "wind": Wind,
    "line": line.Line,
    "margins": Margins,
    "window_options": WindowOptions,
    "stages": tackle.Stage,
    "rope": travel.RopeStretch,
    "item": ratings.Item,
    "places": plan_input.Place,
    "plan_side_line": line.Line,
    "plan_travel": plan_input.PlanTravel,
    "plan_bollard": plan_input.PlanBollard,
    "plan_uncertainty": plan_input.PlanUncertainty,
    "distribution": uncertainty_inputs.Distribution,
    "utilisation_items": ratings.LoadedItem,
    "resultant_items": resultants.ResultantItem,
}
RESULT_CLASSES = {name: topic.result for name, topic in TOPICS.items()} | {
    "pull.table": PullRow,
    "window.upper_bounds_n": UpperBounds,
    "window.changes": WindowChange,
    "tackle.stages": tackle.TackleStageResult,
    "travel.stages": travel.TravelStageResult,
    "utilisations.items": ratings.ItemUtilisation,
    "plan.utilisations": plan_result.RoleUtilisation,
    "plan.gauge_band_n": plan_result.GaugeBand,
    "plan.side": plan_result.SideLineResult,
}
WORDS = {
    "rove": get_args(tackle.Rove),
    "shape": get_args(get_type_hints(Hinge)["shape"]),
    "method": get_args(get_type_hints(WindowOptions)["method"]),
    "cleat_on": get_args(tackle.CleatPlace),
    "attachment": get_args(get_type_hints(Restraint)["attachment"]),
    "configuration": get_args(ratings.Configuration),
    "least_what": get_args(LeastWhat),
    "tension_gauge": get_args(plan_input.TensionGauge),
    "backup_anchor": get_args(plan_input.BackupAnchor),
    "gate": get_args(ratings.Gate),
    "loaded": get_args(ratings.Loaded),
    "material": get_args(ratings.Material),
    "resultant_what": get_args(get_type_hints(resultants.ResultantItem)["what"]),
    "item_kind": ITEM_KINDS,
    "reason": tuple(NOT_USED_REASONS),
    "termination": tuple(TERMINATIONS),
    "redirect_kind": get_args(get_type_hints(line.Redirect)["kind"]),
    "distribution": get_args(uncertainty_inputs.Shape),
    "split_risk": get_args(Risk),
}


def names_of(kind):
    return {field.name for field in fields(kind) if not field.metadata.get("internal")}


def properties_of(kind):
    return set(SCHEMA["$defs"][kind.__name__]["properties"])


def test_topics_are_those_listed():
    assert len(TOPICS) == 17
    # stem, hinge, restraint take the one object itself; wind and line are told in the words of the interface alone.
    assert set(LISTED["topics"]) <= set(TOPICS)
    assert {name for name in LISTED["results"] if "." not in name} == set(TOPICS)


@every_row("topic", LISTED["topics"])
def test_a_topic_takes_what_is_listed_and_nothing_else(topic):
    kind = TOPICS[topic].inputs
    assert names_of(kind) == properties_of(kind) == set(LISTED["topics"][topic].values())


@every_row("name", INPUT_CLASSES)
def test_an_input_object_has_what_is_listed_and_nothing_else(name):
    kind = INPUT_CLASSES[name]
    assert names_of(kind) == properties_of(kind) == set(LISTED["inputs"][name].values())


def test_every_listed_input_object_is_looked_at():
    assert set(INPUT_CLASSES) | {"site_points", "roles", "distributions"} == set(LISTED["inputs"])


def test_site_points_have_what_is_listed_and_a_redirect_what_turns_the_rope():
    listed = set(LISTED["inputs"]["site_points"].values())
    assert names_of(line.Redirect) == listed
    assert names_of(line.SitePoint) == listed - {"kind", "efficiency", "friction_coeff"}


def test_uncertain_inputs_are_those_listed():
    assert set(uncertainty_inputs.INPUT_NAMES) == set(LISTED["inputs"]["distributions"].values())


@every_row("name", LISTED["results"])
def test_a_result_has_what_is_listed_and_nothing_else(name):
    kind = RESULT_CLASSES[name]
    assert names_of(kind) == properties_of(kind) == set(LISTED["results"][name].values())


@every_row("name", WORDS)
def test_words_are_those_listed_in_their_order(name):
    assert WORDS[name] == tuple(LISTED["words"][name])


def test_every_listed_word_is_looked_at():
    assert set(WORDS) | {"change"} == set(LISTED["words"])


def test_codes_are_those_listed_with_kind_and_section():
    listed = {entry["code"].partition(":")[0]: entry for entry in LISTED["codes"]}
    assert set(listed) == {code.name for code in CODES}
    for code in CODES:
        assert code.kind == listed[code.name]["kind"], code.name
        assert code.section in listed[code.name]["sections"], code.name
    with_subject = {entry["code"] for entry in LISTED["codes"] if ":" in entry["code"]}
    assert with_subject == {f"{code.name}:{code.subject.replace('field', 'FIELD')}" for code in CODES if code.subject}


def test_roles_are_those_listed_with_kinds_and_reasons():
    listed = {entry["role"].removesuffix("_j"): entry for entry in LISTED["roles"]}
    assert set(listed) == {role.name for role in ROLES}
    for role in ROLES:
        entry = listed[role.name]
        assert role.is_numbered == entry["role"].endswith("_j")
        assert list(role.kinds) == entry["kinds"], role.name
        assert list(role.reasons) == entry["reasons"], role.name
        assert role.is_optional == (entry["needed"] == "optional"), role.name
    assert all(find_role(name) is not None for name in LISTED["inputs"]["roles"].values())


@pytest.mark.parametrize("gauge", ["in_line", "on_hauling_part"])
def test_each_role_carries_the_load_that_is_listed(gauge):
    changes = {"tension_gauge": gauge, "hitch_spread_deg": 40.0, "side_line.redirects": [REDIRECT]}
    result = solved(full_inputs(), changes)
    first, geometry = result.working.tackle.stages[0], result.working.situation.geometry
    loads = {
        "T_tackle": result.tackle_tension_n,
        "T_stem": result.stem_tension_n,
        "hitch_leg(T_tackle, hitch_spread)": resultants.hitch_leg(result.tackle_tension_n, 40.0),
        "fixed_block_design, stage 1": first.fixed_block_design_load_n,
        "fixed_block_design": first.fixed_block_design_load_n,
        "part_max, stage 1": first.greatest_part_tension_n,
        "cleat_design, stage 1": first.cleat_design_force_n,
        "redirect_j": geometry.redirect_load_ratios[0] * result.stem_tension_n,
        "in_line T_tackle; on_hauling_part hand": result.tackle_tension_n
        if gauge == "in_line"
        else result.hauling_force_n,
        "T_side": result.side.side_tension_n,
        "T_side_bollard": result.side.side_bollard_tension_n,
        "T_peak": result.restraint.peak_tension_n,
    }
    loads["as tension_gauge"] = loads["in_line T_tackle; on_hauling_part hand"]
    assert len({entry["role"] for entry in LISTED["roles"]}) == len(result.loads_n) == 33
    for entry in LISTED["roles"]:
        if not entry["role"].startswith("side_redirect"):
            name = entry["role"].replace("_j", "_1")
            assert result.loads_n[name] == pytest.approx(loads[entry["load"]], rel=1e-12), name
    turned = {result.loads_n[f"side_redirect_{part}_1"] for part in ("block", "sling", "anchor")}
    assert len(turned) == 1
    assert 0.0 < turned.pop() < 2.0 * result.side.side_bollard_tension_n


REDIRECT = {"distance_m": 18.0, "azimuth_deg": 5.0, "height_m": 0.5, "kind": "sheave"}


def test_changes_of_an_empty_window_are_those_listed_and_no_codes():
    inputs = {key: full_inputs()[key] for key in ("tree", "hinge", "line", "wind")}
    inputs["hinge"] |= {"notch_depth_ratio": 0.33}
    inputs["wind"] = {"gust_m_s": 30.0}
    inputs["tree"]["crown"] = [{"mass_kg": 900.0, "height_m": 9.0, "frontal_area_m2": 20.0}]
    answer = solve({"topic": "window", "inputs": inputs})["results"]
    assert answer["is_empty"]
    assert {change["code"] for change in answer["changes"]} <= set(LISTED["words"]["change"])
    assert len(answer["changes"]) >= 3
    gaps = [change["gap_n"] for change in answer["changes"]]
    assert gaps == sorted(gaps, reverse=True)
    assert all(find_code(code) is None for code in LISTED["words"]["change"])
