"""Loads of the path calculated from a reading are those of the plan's own mechanics at that tension."""

from dataclasses import replace

import pytest

from jobs.mechanics.convert import from_json
from jobs.mechanics.errors import OutOfRange
from jobs.mechanics.plan import plan
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.plan.measured import loads_at_tension, max_tension_from_hand
from jobs.mechanics.roles import find_role
from tests.mechanics.plans import full_inputs


def plan_input():
    return from_json(PlanInput, full_inputs(), "inputs")


def pull_only(loads):
    return {name: load for name, load in loads.items() if find_role(name).group == "pull"}


def test_at_the_plans_own_tension_every_role_carries_what_the_plan_says():
    asked = plan_input()
    result = plan(asked)
    assert loads_at_tension(asked, result.tackle_tension_n) == pytest.approx(pull_only(result.loads_n))


def test_twice_the_tension_is_twice_every_load():
    asked = plan_input()
    one, two = loads_at_tension(asked, 1_000.0), loads_at_tension(asked, 2_000.0)
    assert two == pytest.approx({name: 2 * load for name, load in one.items()})


def test_no_tension_loads_nothing():
    assert set(loads_at_tension(plan_input(), 0.0).values()) == {0.0}


def test_a_negative_tension_is_refused():
    with pytest.raises(OutOfRange):
        loads_at_tension(plan_input(), -1.0)


def test_a_pull_on_the_tail_counts_for_the_most_it_can_have_made():
    """Five parts without friction give five times the pull; no sheave is better than that."""
    asked = plan_input()
    nominal = plan(asked).tackle_tension_n / plan(asked).hauling_force_n
    most = max_tension_from_hand(asked, 100.0)
    assert most >= 100.0 * nominal
    ideal = replace(asked, best_sheave_efficiency=1.0)
    assert max_tension_from_hand(ideal, 100.0) == pytest.approx(100.0 * asked.stages[0].parts)
