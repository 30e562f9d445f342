"""Properties of what refuses a plan: more load never makes gear pass, and no figure is ever missing or infinite."""

import copy
import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.mechanics.convert import to_json
from jobs.mechanics.errors import Refused
from jobs.mechanics.findings.codes import fails
from jobs.mechanics.plan import plan
from jobs.plans.request_json import read_request, request_json
from jobs.plans.to_mechanics import to_plan_input
from tests.factories.scenario import unsaved_plan_data
from tests.given import Given
from tests.width import wide

FEW = settings(max_examples=wide(40, 12), deadline=None, suppress_health_check=[HealthCheck.too_slow])
CAPACITIES_N: dict[str, tuple[str, Given]] = {
    "main_line": ("rope", {"terminations": ["sewn_eye"]}),
    "stem_sling": ("sling", {"configuration": "straight"}),
    "stem_connector": ("connector", {"gate": "screw"}),
    "hitch_cord": ("hitch_cord", {"terminations": ["double_fisherman"]}),
    "hitch_connector": ("connector", {"gate": "screw"}),
    "moving_block": ("block", {}),
    "fixed_block": ("block", {}),
    "fixed_block_connector": ("connector", {"gate": "screw"}),
    "tackle_rope": ("tackle_rope", {"terminations": ["sewn_eye"]}),
    "cleat": ("cleat", {}),
    "anchor_sling": ("sling", {"configuration": "straight"}),
    "bollard": ("bollard", {}),
    "bollard_sling": ("sling", {"configuration": "straight"}),
    "tension_gauge": ("gauge", {}),
}
BASE = request_json(to_plan_input(unsaved_plan_data(), with_uncertainty=False))


def request(*, gust_m_s, density_kg_m3, lean_deg=3.0, limit_n=3_000.0):
    """A plan with a whole load path, every item marked with one working load limit."""
    made: Given = copy.deepcopy(BASE)
    made["wind"]["gust_m_s"] = gust_m_s
    made["tree"] |= {"green_density_kg_m3": density_kg_m3, "lean_deg": lean_deg}
    made["items"] = {
        role: {"kind": kind, "working_load_limit_n": limit_n, "material": "steel", **more}
        for role, (kind, more) in CAPACITIES_N.items()
    }
    for role in ("anchor", "bollard_anchor"):
        made["items"][role] = {"kind": "stump", "breaking_strength_n": 2 * limit_n, "anchor_name": role}
    return made


def answer(made):
    """The result, or the code of the refusal."""
    try:
        return plan(read_request(made)), ""
    except Refused as refusal:
        return None, refusal.code


def under_rated(result):
    return {code for code in result.codes if code.startswith("under-rated:")}


gusts = st.floats(0.0, 25.0)
densities = st.floats(400.0, 1_300.0)
limits = st.floats(300.0, 30_000.0)
leans = st.floats(0.0, 12.0)


@FEW
@given(gusts, gusts, densities, limits)
def test_stronger_gust_never_makes_gear_pass(one, other, density, limit):
    low, high = sorted((one, other))
    weak, _ = answer(request(gust_m_s=low, density_kg_m3=density, limit_n=limit))
    strong, refused = answer(request(gust_m_s=high, density_kg_m3=density, limit_n=limit))
    if weak is None:
        assert strong is None
    elif strong is not None:
        assert under_rated(weak) <= under_rated(strong)
    else:
        assert refused


@FEW
@given(densities, densities, gusts, limits)
def test_heavier_back_leaning_stem_never_makes_gear_pass(one, other, gust, limit):
    low, high = sorted((one, other))
    light, _ = answer(request(gust_m_s=gust, density_kg_m3=low, limit_n=limit))
    heavy, refused = answer(request(gust_m_s=gust, density_kg_m3=high, limit_n=limit))
    if light is None:
        assert heavy is None
    elif heavy is not None:
        assert under_rated(light) <= under_rated(heavy)
    else:
        assert refused


@FEW
@given(limits, limits, gusts, densities)
def test_lower_rating_never_helps(one, other, gust, density):
    low, high = sorted((one, other))
    weak, refused = answer(request(gust_m_s=gust, density_kg_m3=density, limit_n=low))
    strong, refused_too = answer(request(gust_m_s=gust, density_kg_m3=density, limit_n=high))
    assert refused == refused_too  # ratings have no say in whether the model covers the stem
    if weak is not None and strong is not None:
        assert under_rated(strong) <= under_rated(weak)
        assert strong.loads_n == weak.loads_n


@FEW
@given(gusts, densities, leans, limits)
def test_no_result_holds_a_figure_that_is_not_finite(gust, density, lean, limit):
    result, refused = answer(request(gust_m_s=gust, density_kg_m3=density, lean_deg=lean, limit_n=limit))
    if result is None:
        assert refused
        return
    assert all(math.isfinite(number) for number in numbers(to_json(result)))


def numbers(value):
    if isinstance(value, dict):
        return [n for each in value.values() for n in numbers(each)]
    if isinstance(value, list | tuple):
        return [n for each in value for n in numbers(each)]
    return [value] if isinstance(value, int | float) else []


@FEW
@given(gusts, densities, leans, limits)
def test_plan_passes_only_without_a_fail_code(gust, density, lean, limit):
    result, _ = answer(request(gust_m_s=gust, density_kg_m3=density, lean_deg=lean, limit_n=limit))
    if result is not None:
        assert result.passes is (fails(result.codes) == ())
        assert list(result.codes) == sorted(set(result.codes))


@FEW
@given(gusts, densities, limits)
def test_use_over_one_is_under_rated_and_the_other_way_round(gust, density, limit):
    result, _ = answer(request(gust_m_s=gust, density_kg_m3=density, limit_n=limit))
    if result is not None:
        over = {f"under-rated:{role}" for role, use in result.utilisations.items() if use.utilisation_ratio > 1 + 1e-9}
        assert over <= under_rated(result)
        assert all(result.utilisations[c.partition(":")[2]].utilisation_ratio > 1 for c in under_rated(result))


def test_both_sides_of_the_rating_are_met():
    """The requests above do reach a verdict, and both verdicts."""
    strong, _ = answer(request(gust_m_s=6.0, density_kg_m3=900.0, limit_n=30_000.0))
    weak, _ = answer(request(gust_m_s=6.0, density_kg_m3=900.0, limit_n=300.0))
    assert under_rated(strong) == set()
    assert strong.passes
    assert len(under_rated(weak)) >= 10
    assert strong.stem_tension_n == pytest.approx(weak.stem_tension_n)
