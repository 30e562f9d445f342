"""A value that cannot be is refused under its own name: the place in a request, and the box on a page, come from it."""

import math
import typing
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest

from jobs.mechanics.convert import from_json
from jobs.mechanics.errors import OutOfRange
from jobs.mechanics.exchange import solve
from jobs.mechanics.line import Redirect
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.stem import CrownLump, SweepKnot
from jobs.mechanics.tackle import Stage
from jobs.mechanics.uncertainty_inputs import Distribution
from jobs.mechanics.window import WindowOptions
from tests.mechanics.plans import full_inputs
from tests.rows import every_row

# Refused by a code of their own, as a ratio that a tackle or an item may not have.
REFUSED_BY_CODE = ("sheave_efficiency", "holding_sheave_efficiency", "residual_strength_ratio")


def instances(value):
    """Every record inside one, itself included."""
    if is_dataclass(value):
        yield value
        for entry in fields(value):
            yield from instances(getattr(value, entry.name))
    elif isinstance(value, dict):
        for item in value.values():
            yield from instances(item)
    elif isinstance(value, tuple | list):
        for item in value:
            yield from instances(item)


def records():
    """One of each kind of record of a whole plan, and of those a plan may do without."""
    plan = from_json(PlanInput, full_inputs(), "inputs")
    extra = [
        CrownLump(mass_kg=10.0, height_m=4.0),
        SweepKnot(height_m=3.0, forward_m=0.1, left_m=0.1),
        Redirect(distance_m=4.0, azimuth_deg=10.0, kind="sheave"),
        WindowOptions(),
        Stage(parts=5, rove="to_advantage"),
        Distribution(distribution="normal", sd=0.1),
    ]
    found: dict[type, Any] = {}
    for record in [*instances(plan), *extra]:
        found.setdefault(type(record), record)
    return found


def takes(hint, kind):
    return hint is kind or (typing.get_origin(hint) is not tuple and kind in typing.get_args(hint))


def cases(kind):
    """Fields that take a number."""
    for record_type in records():
        hints = typing.get_type_hints(record_type)
        for entry in fields(record_type):
            if takes(hints[entry.name], kind) and entry.name not in REFUSED_BY_CODE:
                yield record_type, entry.name


NUMBERS = list(cases(float))


@every_row(("kind", "name"), NUMBERS, ids=[f"{kind.__name__}.{name}" for kind, name in NUMBERS])
@every_row("value", [math.nan, math.inf, -math.inf, 1e30])
def test_a_number_that_is_none_is_refused_under_its_name(kind, name, value):
    with pytest.raises(OutOfRange) as caught:
        replace(records()[kind], **{name: value})
    assert caught.value.name == name
    assert caught.value.value is value
    assert str(caught.value).startswith(f"{name} is ")


def leaves(value, path="inputs"):
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in parts:
        place = f"{path}[{key}]" if isinstance(value, list) else f"{path}.{key}"
        if isinstance(item, float):  # a list of numbers has one place
            yield path if isinstance(value, list) else place, value, key
        yield from leaves(item, place)


@pytest.mark.parametrize("value", [1e30, -1e30])
def test_a_request_is_told_the_place_of_what_cannot_be(value):
    inputs = full_inputs()
    seen = 0
    for place, holder, key in list(leaves(inputs)):
        kept, holder[key] = holder[key], value
        answer = solve({"topic": "plan", "inputs": inputs})
        holder[key] = kept
        assert ("refused" in answer) if key in REFUSED_BY_CODE else (answer.get("path") == place), place
        seen += 1
    assert seen > 60
