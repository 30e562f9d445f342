"""Whole requests drawn from the full interface: every topic answers, refuses or says what is wrong, and nothing else.

No answer holds a figure that is not finite or outside its stated range; a plan that passes keeps every limit; a plan
seen in a mirror, from another side of the compass or twice as large is the same plan.
"""

import copy
import json
import math
from typing import Any

import jsonschema
import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from jobs.mechanics.exchange import solve
from jobs.mechanics.findings.codes import ITEM_REFUSALS, fails, find_code
from jobs.mechanics.roles import find_role
from jobs.mechanics.schema import exchange_schema
from jobs.mechanics.topics import TOPICS
from tests.properties.requests import TOPIC_INPUTS, plans, situations
from tests.width import wide

CHECKS = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
FEW = settings(max_examples=wide(300, 6), deadline=None, suppress_health_check=CHECKS)
SOME = settings(max_examples=wide(300, 6), deadline=None, suppress_health_check=CHECKS)

SCHEMA = exchange_schema()


def validator(alternatives, topic):
    """Of the seventeen alternatives of the schema the one of this topic: the others cannot fit, and cost time."""
    (one,) = [each for each in alternatives if each["properties"]["topic"].get("const") == topic]
    return jsonschema.Draft202012Validator({"$defs": SCHEMA["$defs"], **one})


REQUESTS = {topic: validator(SCHEMA["$defs"]["request"]["oneOf"], topic) for topic in TOPICS}
ANSWERS = {topic: validator(SCHEMA["$defs"]["answer"]["oneOf"], topic) for topic in TOPICS}

# Figures by the end of their name, and the range each is stated in; None is open.
RANGES = {
    "_tension_n": (0.0, None),
    "_force_n": (None, None),  # a slope that falls the other way drives nothing
    "hauling_force_n": (0.0, None),
    "_mass_kg": (0.0, None),
    "_area_m2": (0.0, None),
    "utilisation_ratio": (0.0, None),
    "line_efficiency": (0.0, 1.0),
    "redirect_efficiencies": (0.0, 1.0),
    "reduction_ratio": (0.0, 1.0),
    "lost_share_ratio": (0.0, 0.01),
    "rank_correlations": (-1.0, 1.0),
    "governing_angle_deg": (0.0, 90.0),
    "self_falling_angle_deg": (0.0, 90.0),
    "balance_angle_deg": (0.0, 90.0),
    "depression_angle_deg": (-90.0, 60.0),
    "off_axis_angle_deg": (-30.0, 30.0),
    "wrap_angles_deg": (0.0, 180.0),
    "risk_score": (0.0, 7.0),
    "people_needed": (1.0, 12.0),
    "people_ample": (1.0, 12.0),
    "resets": (0.0, None),
    "_wraps": (0.0, None),
    "run_out_m": (0.0, None),
    "stop_distance_m": (0.0, None),
    "stored_energy_j": (0.0, None),
    "sheave_efficiency": (0.0, 1.0),
    "efficiency": (0.0, 1.0),
}


def figures(value, name=""):
    """Name and value of every number of an answer; members of a list and of a mapping go by the list's name."""
    if isinstance(value, dict):
        for key, item in value.items():
            yield from figures(item, name if name in ("rank_correlations", "loads_n") else key)
    elif isinstance(value, list):
        for item in value:
            yield from figures(item, name)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield name, value


def outside(results):
    wrong = []
    for name, value in figures(results):
        ends = [end for end in RANGES if name.endswith(end)]
        low, high = RANGES[max(ends, key=len)] if ends else (None, None)
        too_low = low is not None and value < low - 1e-9
        if not math.isfinite(value) or too_low or (high is not None and value > high + 1e-9):
            wrong.append((name, value))
    return wrong


def is_listed(text):
    code = find_code(text)
    if code is None:
        return False
    subject = text.partition(":")[2]
    return bool(subject) == bool(code.subject) and (code.subject != "role" or find_role(subject) is not None)


@pytest.mark.parametrize("topic", TOPICS)
@FEW
@given(st.data())
def test_a_request_is_answered_in_range_refused_by_a_listed_code_or_said_to_be_wrong(topic, data):
    inputs = data.draw(TOPIC_INPUTS[topic])
    request = {"topic": topic, "inputs": inputs}
    REQUESTS[topic].validate(request)
    before = copy.deepcopy(inputs)
    answer = solve(request)
    assert inputs == before
    if "results" in answer:
        shown = json.loads(json.dumps(answer, allow_nan=False))
        ANSWERS[topic].validate(shown)
        assert outside(shown["results"]) == []
    elif "refused" in answer:
        assert is_listed(answer["refused"]) or answer["refused"] in ITEM_REFUSALS  # these come without a role
        assert answer["message"].endswith(".")
    else:
        assert answer["path"].startswith("inputs")
        assert answer["error"]


WILD: tuple[Any, ...] = (
    float("nan"), float("inf"), -float("inf"), -1.0, 0, 0.0, 1e-320, 1e-9, 1e9, 1e308, 10**400, -(10**400), 7, "",
    "ten", "\ud800", None, True, [], {}, [[]], {"a": 1},
)  # fmt: skip


def leaves(value, path=()):
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in parts:
        yield (*path, key)
        yield from leaves(item, (*path, key))


@pytest.mark.parametrize("topic", TOPICS)
@FEW
@given(st.data())
def test_one_wild_value_anywhere_is_an_answer_a_refusal_or_an_error_and_never_a_crash(topic, data):
    inputs = copy.deepcopy(data.draw(TOPIC_INPUTS[topic]))
    found = list(leaves(inputs))
    assume(found)
    *parents, last = data.draw(st.sampled_from(found))
    place = inputs
    for key in parents:
        place = place[key]
    place[last] = data.draw(st.sampled_from(WILD))
    answer = solve({"topic": topic, "inputs": inputs})
    assert sum(key in answer for key in ("results", "refused", "error")) == 1
    if "error" in answer:
        assert answer["path"].startswith("inputs")
    else:
        json.dumps(answer, allow_nan=False)


def plan_of(inputs):
    answer = solve({"topic": "plan", "inputs": inputs})
    assume("results" in answer)
    return answer["results"]


@SOME
@given(plans())
def test_a_plan_that_passes_keeps_every_limit(inputs):
    results = plan_of(inputs)
    assert all(is_listed(text) and find_code(text).kind != "refusal" for text in results["codes"])
    assert results["codes"] == sorted(set(results["codes"]))
    assert results["passes"] == (not fails(tuple(results["codes"])))
    assert results["stem_tension_n"] >= max(results["required_tension_n"], results["lowest_tension_n"])
    assert results["crew_tension_n"] >= results["lowest_tension_n"]
    if "uncertainty" in results:
        assert results["stem_tension_n"] >= results["uncertainty"]["required_tension_p95_n"]
    assert ("wind-above-limit" in results["codes"]) == (
        inputs["wind"]["gust_m_s"] > min(11.0, inputs["wind"].get("working_limit_m_s", 11.0)) + 1e-9
    )
    for code, figure, limit in (
        ("back-lean-too-great", results["back_lean_deg"], 10.0),
        ("side-lean-too-great", results["side_lean_deg"], 10.0),
        ("forward-lean-too-great", results["forward_lean_deg"], 15.0),
        ("stem-bends", results["stem_tension_n"], results["stem_bending_limit_n"]),
        ("proof-pull-too-high", results["proof_tension_n"], results["proof_tension_limit_n"]),
        ("window-empty", results["lowest_tension_n"], results["highest_tension_n"]),
    ):
        assert (code in results["codes"]) == (figure > limit + 1e-9), code
    for role, used in results["utilisations"].items():
        assert (f"under-rated:{role}" in results["codes"]) == (used["load_n"] > used["capacity_n"] * (1 + 1e-9) + 1e-9)


AZIMUTHS = ("azimuth_deg", "lean_azimuth_deg", "lay_azimuth_deg")


def changed_everywhere(value, change, name=""):
    if isinstance(value, dict):
        return {key: changed_everywhere(item, change, key) for key, item in value.items()}
    if isinstance(value, list):
        return [changed_everywhere(item, change, name) for item in value]
    return change(name, value)


def assert_same(one, other):
    """Every figure alike; all words and codes the same."""
    here, there = list(figures(one)), list(figures(other))
    assert [name for name, _ in here] == [name for name, _ in there]
    for (name, value), (_, again) in zip(here, there, strict=True):
        assert again == pytest.approx(value, rel=1e-5, abs=1e-4), name
    assert one["codes"] == other["codes"]
    assert one["weakest_role"] == other["weakest_role"]


def without_spread(inputs):
    return {key: value for key, value in inputs.items() if key != "uncertainty"}


@SOME
@given(plans())
def test_a_plan_in_a_mirror_is_the_same_plan(inputs):
    inputs = without_spread(inputs)
    lay = inputs["tree"]["lay_azimuth_deg"]

    def flip(name, value):
        if name in AZIMUTHS:
            return 2.0 * lay - value
        return -value if name == "left_m" else value

    assert_same(plan_of(inputs), plan_of(changed_everywhere(inputs, flip)))


@SOME
@given(plans(), st.sampled_from([30.0, 90.0, 217.0, -400.0]))
def test_a_site_turned_as_a_whole_gives_the_same_plan(inputs, turn):
    inputs = without_spread(inputs)
    turned = changed_everywhere(inputs, lambda name, value: value + turn if name in AZIMUTHS else value)
    assert_same(plan_of(inputs), plan_of(turned))


# Power of the length by which a figure of that unit grows where all stresses stay the same; the longest end counts.
POWERS = {
    "_m": 1, "_m2": 2, "_n": 2, "_n_m": 3, "_kg": 2, "_kg_m3": -1, "air_density_kg_m3": 0, "_j_m2": 1, "_j": 3,
    "stiffness_n_m": 1, "loads_n": 2, "gauge_band_n": 2,
}  # fmt: skip
WHOLE_GROUPS = ("loads_n", "gauge_band_n")  # mappings whose members all have the group's unit
# What hangs on a length or a force of its own: people, their pull and their stride, fixed lengths of rope in hand.
OF_THEIR_OWN = (
    "people", "overhaul", "hitch_tender_distance_m", "rope_needed_m", "hinge_m", "resets", "speed_m_s", "risk_score",
)  # fmt: skip
# Sought over the stem in steps of a fixed length, so that the worst place is met to within one step.
IN_STEPS = ("limit_n", "snapping", "highest")


def placed(value, place="", name=""):
    """Where every number of an answer stands, the name that tells its unit, and the number."""
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in parts:
        is_name = isinstance(value, dict) and name not in WHOLE_GROUPS
        yield from placed(item, f"{place}/{key}", key if is_name else name)
    if isinstance(value, float):
        yield place, name, value


def power(name):
    ends = [end for end in POWERS if name.endswith(end)]
    return POWERS[max(ends, key=len)] if ends else 0


def grown(inputs, s):
    """The same plan s times as long, wide and high, of wood s times as light: weight and strength both go with s^2."""
    return changed_everywhere(
        inputs, lambda name, value: value * s ** power(name) if isinstance(value, float) else value
    )


@SOME
@given(plans(), st.sampled_from([1.25, 2.0]))
def test_a_plan_s_times_as_large_needs_s_squared_the_force(inputs, s):
    inputs = without_spread(inputs) | {"steady_force_n": inputs.get("steady_force_n", 250.0)}
    inputs["window"] = {"fracture_energy_j_m2": 200.0} | inputs.get("window", {})
    inputs["hinge"] = {"thickness_m": 0.04} | inputs["hinge"]
    one, other = plan_of(inputs), plan_of(grown(inputs, s))
    there = {place: value for place, _, value in placed(other)}
    compared = 0
    for place, name, value in placed(one):
        if not any(word in place for word in OF_THEIR_OWN):
            near = 0.01 if any(word in place for word in IN_STEPS) else 1e-5
            assert there[place] == pytest.approx(value * s ** power(name), rel=near, abs=1e-4), place
            compared += 1
    assert compared > 20


@SOME
@given(situations())
def test_moments_and_forces_close_at_rest(state):
    """About the hinge line and at every redirect, from the answers' own points by cross products, to 1e-9."""
    found = {
        topic: solve({"topic": topic, "inputs": {key: state[key] for key in keys}})
        for topic, keys in (
            ("pull", ("tree", "hinge", "line", "wind")),
            ("line", ("tree", "line", "hinge")),
            ("wind", ("tree", "wind")),
        )
    }
    assume(all("results" in answer for answer in found.values()))
    pull, line = found["pull"]["results"], found["line"]["results"]
    stem = solve({"topic": "stem", "inputs": state["tree"]})["results"]
    section = solve(
        {
            "topic": "hinge",
            "inputs": {"stem_diameter_m": stem["hinge_diameter_under_bark_m"]} | state["hinge"],
        }
    )["results"]
    hinge = np.array([section["hinge_line_x_m"], 0.0, 0.0])
    centre, attach = np.array(stem["centre_of_gravity_m"]), np.array(line["attach_point_m"])
    gravity = np.cross(centre - hinge, [0.0, 0.0, -stem["weight_n"]])[1]
    pulled = np.cross(attach - hinge, pull["required_tension_upright_n"] * np.array(line["direction"]))
    against = max(0.0, -gravity) + found["wind"]["results"]["moment_n_m"] + section["plastic_moment_high_n_m"]
    demand = 1.5 * against - 0.9 * max(0.0, gravity)
    assert pulled[1] == pytest.approx(max(0.0, demand), rel=1e-9, abs=1e-6)
    assert pull["gravity_moment_n_m"] == pytest.approx(gravity, rel=1e-9, abs=1e-6)
    side = -stem["weight_n"] * centre[1] + pulled[0]
    assert pull["side_moment_n_m"] == pytest.approx(abs(side) + pull["wind_moment_n_m"], rel=1e-9, abs=1e-6)
    lifted = pull["required_tension_upright_n"] * line["direction"][2]
    assert pull["hinge_compression_n"] == pytest.approx(stem["weight_n"] - lifted, rel=1e-9, abs=1e-6)
    tension = 1.0
    for wrap, ratio, load in zip(
        line["wrap_angles_deg"], line["redirect_efficiencies"], line["redirect_load_ratios"], strict=True
    ):
        bend = math.radians(wrap)
        into, out = tension * np.array([-1.0, 0.0]), tension / ratio * np.array([math.cos(bend), math.sin(bend)])
        assert load == pytest.approx(np.linalg.norm(into + out), rel=1e-9, abs=1e-9)
        tension /= ratio
    assert tension == pytest.approx(line["tackle_to_stem_tension_ratio"], rel=1e-12)
