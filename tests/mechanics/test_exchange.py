"""JSON requests to JSON results, errors with their paths, and the schema of both."""

import copy
import json
from typing import Any

import jsonschema
import pytest

from jobs.mechanics.convert import FormatError, from_json, to_json
from jobs.mechanics.exchange import exit_status, read_document, solve, solve_document
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.schema import exchange_schema
from jobs.mechanics.topics import TOPICS
from tests.mechanics.plans import EXAMPLES, changed, full_inputs, passing_inputs
from tests.rows import every_row

TACKLE = {"stages": [{"parts": 5, "rove": "to_advantage"}], "load_n": 3000}
TREE = full_inputs()["tree"]
HINGE = full_inputs()["hinge"] | {"stem_diameter_m": 0.46}
LINE, WIND, STAGES = full_inputs()["line"], full_inputs()["wind"], full_inputs()["stages"]
EVERY_TOPIC = {
    "stem": TREE,
    "hinge": HINGE,
    "wind": {"tree": TREE, "wind": WIND},
    "line": {"tree": TREE, "line": LINE, "hinge": HINGE},
    "pull": {"tree": TREE, "hinge": HINGE, "line": LINE, "wind": WIND, "margins": {"adverse_factor": 2}},
    "window": {"tree": TREE, "hinge": HINGE, "line": LINE, "wind": WIND, "options": {"method": "bore_with_strap"}},
    "tackle": TACKLE | {"people": 2, "sustained_force_n": 200},
    "crew": TACKLE | {"people": 3},
    "travel": {
        "line_length_m": 30,
        "tension_n": 2000,
        "rope": {"breaking_strength_n": 45000, "reference_elongation_ratio": 0.02, "reference_load_ratio": 0.1},
        "tip_travel_m": 3,
        "stages": [{"parts": 5, "rove": "to_advantage", "extended_length_m": 3, "two_blocked_length_m": 1}],
    },
    "bollard": {"tension_n": 3000, "hand_force_n": 100, "friction_low": 0.1, "friction_high": 0.3, "wraps": 4},
    "utilisations": {"items": [{"item": {"kind": "cleat", "working_load_limit_n": 100}, "load_n": 50}]},
    "resultants": {"items": [{"what": "hitch_leg", "tension_n": 10, "spread_deg": 30}]},
    "restraint": {"mass_kg": 400, "slope_deg": 12, "attachment": "axis", "stiffness_n_m": 20000},
    "uncertainty": {
        "tree": TREE,
        "hinge": HINGE,
        "line": LINE,
        "wind": WIND,
        "stages": STAGES,
        "samples": 200,
        "distributions": {"gust": {"distribution": "fixed"}},
    },
    "measured_efficiency": {"parts": 5, "rove": "to_advantage", "readings_n": [[100, 400], [100, 410], [100, 420]]},
    "plan": full_inputs() | {"uncertainty": {"samples": 200}},
    "least": {"plan": passing_inputs(), "what": "people"},
}

SCHEMA = exchange_schema()
REQUESTS = jsonschema.Draft202012Validator(SCHEMA)
ANSWERS = jsonschema.Draft202012Validator({"$defs": SCHEMA["$defs"], "$ref": "#/$defs/answer"})


def error_of(topic, inputs):
    answer = solve({"topic": topic, "inputs": inputs})
    assert answer.keys() == {"topic", "error", "path"}
    return answer["path"], answer["error"]


def test_every_topic_has_a_request_here():
    assert EVERY_TOPIC.keys() == TOPICS.keys()


@every_row("topic", TOPICS)
def test_request_and_answer_of_every_topic_meet_the_schema(topic):
    request = {"topic": topic, "inputs": EVERY_TOPIC[topic]}
    REQUESTS.validate(request)
    answer = json.loads(json.dumps(solve(request), allow_nan=False))
    assert answer.keys() == {"topic", "results"}, answer
    ANSWERS.validate(answer)


@every_row("example", EXAMPLES, ids=lambda example: example["title"])
def test_worked_examples_meet_the_schema_both_ways(example):
    REQUESTS.validate({"topic": example["topic"], "inputs": example["inputs"]})
    answer = {"topic": example["topic"], "results": example["results"]}
    ANSWERS.validate(answer)


def objects_in(value, path=()):
    """Path of every object inside a value, the value itself first."""
    if isinstance(value, dict):
        yield path
    for key, item in value.items() if isinstance(value, dict) else enumerate(value):
        if isinstance(item, dict | list):
            yield from objects_in(item, (*path, key))


def with_unknown_key(value, path):
    value = copy.deepcopy(value)
    place = value
    for key in path:
        place = place[key]
    place["unknown_key"] = 1.0
    return value


def seen_by(validator, value):
    return [path for path in objects_in(value) if validator.is_valid(with_unknown_key(value, path))]


@every_row("topic", TOPICS)
def test_schema_refuses_an_unknown_key_in_any_object(topic):
    request = {"topic": topic, "inputs": EVERY_TOPIC[topic]}
    assert seen_by(REQUESTS, request) == []
    assert seen_by(ANSWERS, json.loads(json.dumps(solve(request)))) == []


@every_row("topic", TOPICS)
def test_an_unknown_key_in_any_object_is_an_error_with_its_path(topic):
    inputs = EVERY_TOPIC[topic]
    for path in objects_in(inputs):
        where = "".join(f"[{key}]" if isinstance(key, int) else f".{key}" for key in path)
        found, said = error_of(topic, with_unknown_key(inputs, path))
        assert found == f"inputs{where}.unknown_key"
        assert said.startswith("unknown key")


def test_schema_is_itself_a_schema():
    jsonschema.Draft202012Validator.check_schema(exchange_schema())


@pytest.mark.parametrize(
    "answer",
    [
        {"topic": "tackle", "refused": "tackle-parts", "message": "9 parts."},
        {"topic": None, "error": "not JSON", "path": ""},
    ],
)
def test_refusals_and_errors_meet_the_schema(answer):
    ANSWERS.validate(answer)


@every_row(
    ("change", "path"),
    [
        ({"stages.0.parts": "five"}, "inputs.stages[0].parts"),
        ({"stages.0.parts": 5.5}, "inputs.stages[0].parts"),
        ({"stages.0.parts": True}, "inputs.stages[0].parts"),
        ({"stages.0.rove": "sideways"}, "inputs.stages[0].rove"),
        ({"stages.0.colour": "red"}, "inputs.stages[0].colour"),
        ({"stages": {"parts": 5}}, "inputs.stages"),
        ({"stages": []}, "inputs.stages"),
        ({"load_n": "3000"}, "inputs.load_n"),
        ({"load_n": float("nan")}, "inputs.load_n"),
        ({"load_n": float("inf")}, "inputs.load_n"),
        ({"load_n": 10**400}, "inputs.load_n"),
        ({"load_n": -1}, "inputs.load_n"),
        ({"load_n": None}, "inputs.load_n"),
        ({"stages.0.sheave_efficiency": [0.9, "x", 0.9, 0.9]}, "inputs.stages[0].sheave_efficiency[1]"),
    ],
)
def test_inputs_that_do_not_fit_say_where(change, path):
    assert error_of("tackle", changed(TACKLE, change))[0] == path


def test_null_is_no_number():
    assert error_of("tackle", TACKLE | {"load_n": None}) == ("inputs.load_n", "a number expected, not null")


def test_one_efficiency_or_a_list_of_them_are_both_read():
    one = solve({"topic": "tackle", "inputs": changed(TACKLE, {"stages.0.sheave_efficiency": 0.8})})
    four = solve({"topic": "tackle", "inputs": changed(TACKLE, {"stages.0.sheave_efficiency": [0.8] * 4})})
    assert one == four


@every_row(
    ("change", "path"),
    [
        ({"items.flux_capacitor": {"kind": "block"}}, "inputs.items.flux_capacitor"),
        ({"items.redirect_block": {"kind": "block"}}, "inputs.items.redirect_block"),
        ({"not_used.nothing": "tied_direct"}, "inputs.not_used.nothing"),
        ({"items.cleat.gate": "open"}, "inputs.items.cleat.gate"),
        ({"items.main_line.terminations": ["granny"]}, "inputs.items.main_line.terminations[0]"),
        (
            {"uncertainty": {"distributions": {"mood": {"distribution": "normal"}}}},
            "inputs.uncertainty.distributions.mood",
        ),
        ({"people": 0}, "inputs.people"),
        ({"tree.hinge_height_m": None}, "inputs.tree.hinge_height_m"),
        ({"hinge.elastic_modulus_mean_pa": None}, "inputs.hinge.elastic_modulus_mean_pa"),
        ({"places.0.distance_m": -1}, "inputs.places[0].distance_m"),
        ({"restraint.rope": None}, "inputs.restraint.rope"),
        ({"items.cleat.design_factor": 0.5}, "inputs.items.cleat.design_factor"),
    ],
)
def test_plans_that_do_not_fit_say_where(change, path):
    assert error_of("plan", changed(full_inputs(), change))[0] == path


def test_gust_that_is_missing_or_null_is_a_refusal_not_an_error():
    for wind in ({}, {"gust_m_s": None}):
        answer = solve({"topic": "plan", "inputs": full_inputs() | {"wind": wind}})
        assert answer["refused"] == "unknown:gust"
        assert answer["message"]


def test_item_kind_not_in_the_list_is_a_code_not_an_error():
    item = {"kind": "fence", "working_load_limit_n": 10.0}
    answer = solve({"topic": "utilisations", "inputs": {"items": [{"item": item, "load_n": 1}]}})
    assert answer["results"] == {"items": [{"refused": "item-kind"}]}
    inputs = changed(full_inputs(), {"items.anchor.kind": "fence", "items.cleat.kind": "fence"})
    codes = solve({"topic": "plan", "inputs": inputs})["results"]["codes"]
    assert codes == ["anchor-kind:anchor", "item-kind:cleat"]


@pytest.mark.parametrize(
    ("request_", "path"),
    [
        ([], ""),
        ("tackle", ""),
        ({"topic": "magic", "inputs": {}}, "topic"),
        ({"topic": 5, "inputs": {}}, "topic"),
        ({"inputs": {}}, "topic"),
        ({"topic": "tackle"}, "inputs"),
        ({"topic": "tackle", "inputs": []}, "inputs"),
        ({"topic": "tackle", "inputs": TACKLE, "extra": 1}, "extra"),
    ],
)
def test_requests_of_the_wrong_shape_say_where(request_, path):
    assert solve(request_)["path"] == path


def test_a_list_is_answered_in_order_and_its_worst_answer_sets_the_status():
    good = {"topic": "tackle", "inputs": TACKLE}
    refused = {"topic": "tackle", "inputs": changed(TACKLE, {"stages.0.parts": 9})}
    wrong = {"topic": "tackle", "inputs": {}}
    assert exit_status(solve_document(good)) == 0
    assert exit_status(solve_document([good, good])) == 0
    assert exit_status(solve_document([good, refused])) == 2
    assert exit_status(solve_document([good, refused, wrong])) == 1
    kinds = [sorted(answer)[-1] for answer in solve_document([good, refused])]
    assert kinds == ["topic", "topic"]
    first, _ = solve_document([good, refused])
    assert "results" in first


@pytest.mark.parametrize("text", ["", "{", "{'a': 1}", '{"a": 1, "a": 2}', "[" * 100_000, "9" * 5000])
def test_text_that_is_no_document_is_an_error(text):
    with pytest.raises(FormatError):
        read_document(text)


def test_nan_in_the_text_is_an_error_of_its_own_request_only():
    document = read_document('[{"topic": "tackle", "inputs": {"stages": [], "load_n": NaN}}, {"topic": "magic"}]')
    answers: list[Any] = list(solve_document(document))
    assert [answer["path"] for answer in answers] == ["inputs.load_n", "topic"]


def test_figures_that_overflow_are_an_error_not_a_crash():
    answer = solve({"topic": "bollard", "inputs": {"tension_n": 1, "hand_force_n": 1, "wraps": 1e9}})
    assert answer["path"] == "inputs"


def test_reading_inputs_changes_nothing_in_them():
    inputs = full_inputs()
    before = copy.deepcopy(inputs)
    from_json(PlanInput, inputs, "inputs")
    assert inputs == before


def test_whole_numbers_become_floats_where_floats_are_meant():
    assert isinstance(from_json(float, 3, ""), float)
    assert from_json(int, 3.0, "") == 3


def test_a_result_that_is_not_finite_never_leaves():
    with pytest.raises(ArithmeticError):
        to_json({"tension_n": float("inf")})
    with pytest.raises(TypeError):
        to_json({"tension_n": object()})


def test_plan_inputs_written_out_and_read_again_are_the_same():
    first = from_json(PlanInput, full_inputs(), "inputs")
    assert from_json(PlanInput, json.loads(json.dumps(to_json(first))), "inputs") == first
