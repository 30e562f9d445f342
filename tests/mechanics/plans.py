"""Plans to test with: the two worked examples as JSON inputs, and changes to them."""

import copy
import json
from pathlib import Path

from jobs.mechanics.convert import from_json
from jobs.mechanics.plan import plan
from jobs.mechanics.plan.input import PlanInput

EXAMPLES = json.loads((Path(__file__).parents[2] / "fixtures/reference/worked_examples.json").read_text("utf-8"))


def example_inputs(part_of_title):
    (found,) = [one for one in EXAMPLES if part_of_title in one["title"]]
    return copy.deepcopy(found["inputs"])


def plain_inputs():
    """One hauler, no redirect, no side line: too few people and nothing else."""
    return example_inputs("Plan refused for want of people")


def passing_inputs():
    """The plain plan with four haulers and a cord to match them: no code at all."""
    return changed(plain_inputs(), {"people": 4, "items.hitch_cord.breaking_strength_n": 40000.0})


def full_inputs():
    """Side line, redirect, gauge, travel, bollard and restraint: no code at all."""
    return example_inputs("Full plan")


def changed(inputs, changes):
    """Inputs with values put in by path: {"hinge.thickness_m": 0.05, "items.cleat": None} (None takes out)."""
    result = copy.deepcopy(inputs)
    for path, value in copy.deepcopy(changes).items():  # a later change reaches into what an earlier one put in
        *parents, last = path.split(".")
        place = result
        for key in parents:
            place = place[int(key)] if isinstance(place, list) else place.setdefault(key, {})
        if isinstance(place, list):
            place[int(last) : int(last) + 1] = [value]
        elif value is None:
            place.pop(last, None)
        else:
            place[last] = value
    return result


def solved(inputs, changes=None):
    """The result of a plan, after changes."""
    return plan(from_json(PlanInput, changed(inputs, changes or {}), "inputs"))


def codes_with(inputs, changes):
    return set(solved(inputs, changes).codes)
