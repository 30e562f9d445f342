"""The named list of `monotonic.py`, each entry over the whole input space of its topic."""

import copy

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from jobs.mechanics.exchange import solve
from tests.properties.monotonic import MONOTONIC
from tests.properties.requests import TOPIC_INPUTS, real
from tests.width import wide

FEW = settings(
    max_examples=wide(200, 4),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


def places_of(root, path):
    """Every (owner, key) a path names; objects on the way are made, `*` is every member of a list."""
    key, _, rest = path.partition(".")
    keys = range(len(root)) if key == "*" else [int(key) if isinstance(root, list) else key]
    for one in keys:
        if not rest:
            yield root, one
        elif isinstance(root, list) or one in root or not rest.startswith("*"):
            yield from places_of(root[one] if isinstance(root, list) else root.setdefault(one, {}), rest)


def with_changes(inputs, changes):
    made = copy.deepcopy(inputs)
    for path, value in changes.items():
        for owner, key in list(places_of(made, path)):
            if value is None:
                owner.pop(key, None)
            else:
                owner[key] = copy.deepcopy(value)
    return made


def grown(inputs, entry, share):
    made = copy.deepcopy(inputs)
    found = [(owner, key) for owner, key in places_of(made, entry.input) if isinstance(owner, list) or key in owner]
    assume(found)
    for owner, key in found:
        owner[key] = owner[key] * share if entry.by is None else owner[key] + entry.by
    return made


def figure(results, quantity):
    value = results
    for key in quantity.split("."):
        value = value[int(key)] if isinstance(value, list) else value[key]
    return value


WHERE = {
    "": lambda less, more: True,
    "leans back": lambda less, more: less["gravity_moment_n_m"] < 0.0,
    "falls by itself": lambda less, more: more["self_falling_angle_deg"] is not None,
    "has a ratio": lambda less, more: less["pre_tension_ratio"] is not None,
    "has a thickest": lambda less, more: less["thickest_hinge_m"] is not None,
}


def answered(entry, inputs):
    answer = solve({"topic": entry.topic, "inputs": inputs})
    assume("results" in answer)
    return answer["results"]


@pytest.mark.parametrize("entry", MONOTONIC, ids=lambda entry: entry.name)
@FEW
@given(st.data())
def test_a_figure_goes_the_way_physics_says(entry, data):
    inputs = with_changes(data.draw(TOPIC_INPUTS[entry.topic]), entry.put_in)
    less, more = answered(entry, inputs), answered(entry, grown(inputs, entry, data.draw(real(1.0, 1.5))))
    assume(WHERE[entry.where](less, more))
    before, after = figure(less, entry.quantity), figure(more, entry.quantity)
    assume(before is not None)
    slack = 1e-9 * max(abs(before), abs(after)) + 1e-9
    if entry.direction == "rises":
        assert after >= before - slack, entry.why
    else:
        assert after <= before + slack, entry.why


def test_the_list_names_each_pair_once_and_says_why():
    names = [entry.name for entry in MONOTONIC]
    assert len(set(names)) == len(names)
    assert all(entry.why and entry.where in WHERE for entry in MONOTONIC)
    assert {entry.topic for entry in MONOTONIC} >= set(TOPIC_INPUTS) - {"utilisations", "resultants", "least"}
