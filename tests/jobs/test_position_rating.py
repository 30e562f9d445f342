"""One item in one position is judged as the whole plan judges it, in every corner of the tolerances."""

from dataclasses import replace

import pytest

from gear.models import GearItem
from jobs.models import Assignment
from jobs.plans.calculation import Outcome, calculate
from jobs.sheets.position_rating import rating_of, results_of
from jobs.wording.unit_formatter import UnitFormatter
from tests.factories.scenario import unsaved_plan_data

READER = UnitFormatter("metric")


def hung(role="moving_block", *, gear_class="block", **facts):
    item = GearItem(tag="B-01", gear_class=gear_class, design_factor=5.0, **{"working_load_limit_n": 12000.0} | facts)
    return Assignment(role=role, item=item)


def rated(assignment, **changes):
    plan_data = replace(unsaved_plan_data(**changes), assignments=(assignment,))
    outcome = calculate(plan_data)
    use, findings = rating_of(results_of(outcome), plan_data, assignment, READER)
    return outcome, use, {f.full_code for f in findings}


def test_use_and_findings_are_those_of_the_plan_itself():
    outcome, use, codes = rated(hung())
    assert use == outcome.result.utilisations["moving_block"]
    assert codes == {c for c in outcome.result.codes if c.endswith(":moving_block")} == set()


def test_item_weaker_than_its_load_is_found_and_its_overload_by_the_crew():
    outcome, use, codes = rated(hung(working_load_limit_n=1000.0))
    assert use.load_n > use.capacity_n == 1000.0
    assert codes == {c for c in outcome.result.codes if c.endswith(":moving_block")}
    assert "under-rated:moving_block" in codes


def test_item_that_bears_the_plan_but_not_one_corner_is_found():
    calm = calculate(unsaved_plan_data())
    load_n = calm.result.loads_n["moving_block"]
    assert "under-rated:moving_block" not in rated(hung(working_load_limit_n=load_n))[2]
    outcome, use, codes = rated(hung(working_load_limit_n=load_n), gust_tolerance_m_s=2.0)
    assert "under-rated:moving_block" in codes
    # the use is that of the design result, which rests on the worst corner
    assert use.load_n == outcome.result.loads_n["moving_block"] > load_n


def test_position_that_carries_nothing_in_this_plan_has_no_use():
    _, use, codes = rated(hung("side_bollard", gear_class="bollard"))
    assert (use, codes) == (None, set())


def test_plan_that_cannot_be_worked_out_rates_nothing():
    assert results_of(Outcome(findings=())) == ()
    plan_data = replace(unsaved_plan_data(), assignments=(hung(),))
    assert rating_of((), plan_data, hung(), READER) == (None, [])


@pytest.mark.parametrize(("changes", "corners"), [({}, 1), ({"gust_tolerance_m_s": 1.0}, 2)])
def test_design_result_stands_before_those_of_the_corners(changes, corners):
    outcome = calculate(unsaved_plan_data(**changes))
    results = results_of(outcome)
    assert results[0] is outcome.result
    assert results[1:] == tuple(outcome.envelope.results())
    assert len(results) == 1 + corners
    assert results_of(replace(outcome, envelope=None)) == (outcome.result,)


def test_use_is_that_of_the_worst_corner_and_not_of_another():
    outcome, use, _ = rated(hung(), attach_tolerance_m=0.5)
    loads_n = [result.loads_n["moving_block"] for result in results_of(outcome)]
    assert use.load_n == loads_n[0] == max(loads_n)
    assert loads_n[0] > max(loads_n[1], loads_n[-1])


def test_result_that_cannot_tell_is_passed_over_and_the_next_one_speaks():
    plan_data = replace(unsaved_plan_data(), assignments=(hung(working_load_limit_n=1000.0),))
    worked = calculate(plan_data).result
    bare = replace(worked, working=None)
    elsewhere = replace(worked, loads_n={})
    for silent in (bare, elsewhere):
        assert rating_of((silent,), plan_data, plan_data.assignments[0], READER) == (None, [])
        use, findings = rating_of((silent, worked), plan_data, plan_data.assignments[0], READER)
        assert use.load_n == worked.loads_n["moving_block"]
        assert "under-rated:moving_block" in {f.full_code for f in findings}
