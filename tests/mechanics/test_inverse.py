"""Questions asked backwards."""

import pytest

from jobs.mechanics.convert import from_json
from jobs.mechanics.errors import OutOfRange
from jobs.mechanics.inverse import WORKED_IN_FULL, Search, Tried, least, search
from jobs.mechanics.plan.crew import thickness_grid
from jobs.mechanics.plan.input import PlanInput
from tests.mechanics.plans import changed, full_inputs, passing_inputs, plain_inputs, solved

PASSING = passing_inputs()


def asked(inputs, what):
    return least(from_json(PlanInput, inputs, "inputs"), what)


def test_least_people_pass_and_one_fewer_do_not():
    people = asked(plain_inputs(), "people").value
    assert solved(plain_inputs(), {"people": people}).passes
    assert not solved(plain_inputs(), {"people": people - 1}).passes


@pytest.mark.parametrize(
    ("what", "path", "step"),
    [("attach_height", "line.attach_height_m", 0.1), ("anchor_distance", "line.anchor.distance_m", 1)],
)
def test_least_of_a_grid_is_the_first_that_passes(what, path, step):
    value = asked(full_inputs(), what).value
    assert solved(full_inputs(), {path: value}).passes
    before = asked(full_inputs(), what).neighbours[0]
    assert before.value == pytest.approx(value - step)
    assert not before.passes
    assert before.codes


def test_least_parts_change_the_first_stage_alone():
    parts = asked(PASSING, "parts").value
    assert solved(PASSING, {"stages.0.parts": parts}).passes
    assert not solved(PASSING, {"stages.0.parts": parts - 1}).passes


def test_hinge_thickness_asks_for_the_greatest_that_passes():
    value = asked(PASSING, "hinge_thickness").value
    assert solved(PASSING, {"hinge.thickness_m": value}).passes
    assert not solved(PASSING, {"hinge.thickness_m": value + 0.001}).passes


def test_nothing_that_passes_is_null():
    assert asked(PASSING | {"places": []}, "people").value is None
    assert asked(PASSING | {"places": []}, "people").neighbours == ()


def test_a_refusal_counts_as_not_passing():
    four_sheaves = changed(PASSING, {"stages.0.sheave_efficiency": [0.92] * 4})
    result = asked(four_sheaves, "parts")
    assert result.value == 5
    assert [(trial.value, trial.codes) for trial in result.neighbours if not trial.passes] == [
        (4, ("tackle-eta",)),
        (6, ("tackle-eta",)),
    ]
    assert asked(changed(PASSING, {"tree.decay": True}), "hinge_thickness").value is None


def test_neighbours_are_the_trials_on_each_side():
    result = asked(plain_inputs(), "people")
    assert [trial.value for trial in result.neighbours] == [result.value - 1, result.value, result.value + 1]
    assert [trial.passes for trial in result.neighbours][:2] == [False, True]


def test_attach_height_stays_within_sound_wood():
    low = changed(PASSING, {"line.sound_wood_height_m": 4.0})
    assert asked(low, "attach_height").value is None


def test_grid_of_thicknesses_is_whole_millimetres_between_too_thin_and_too_thick():
    assert thickness_grid(0.46)[0] == 0.023
    assert thickness_grid(0.46)[-1] == 0.069
    assert thickness_grid(0.40)[0] == 0.020
    assert thickness_grid(0.10) == ()


def test_hinges_that_would_meet_the_strap_are_passed_over():
    # A strap of 0.64 D leaves 46 mm for the hinge; without the strap in the way 63 mm would pass.
    strapped = changed(PASSING, {"window.method": "bore_with_strap", "window.strap_thickness_ratio": 0.64})
    assert asked(changed(PASSING, {"window.method": "bore_with_strap"}), "hinge_thickness").value == 0.063
    result = asked(strapped, "hinge_thickness")
    assert result.value == 0.045
    assert result.neighbours[0].codes == ()


def test_a_plan_that_is_incomplete_is_nonsense_whatever_is_asked():
    incomplete = changed(PASSING, {"hinge.elastic_modulus_mean_pa": None})
    with pytest.raises(OutOfRange):
        asked(incomplete, "people")


def test_grid_of_thicknesses_ends_on_the_limit_itself_where_that_is_a_whole_millimetre():
    ends = [thickness_grid(diameter_mm / 1000)[-1] for diameter_mm in range(140, 1500, 20)]
    assert ends == [round(0.15 * diameter_mm) / 1000 for diameter_mm in range(140, 1500, 20)]


def judged(passing, against=()):
    return lambda value: Tried(value, value in passing, () if value in passing else (*against, f"not-{value}"))


def test_search_takes_the_first_value_that_passes_and_judges_the_one_beyond():
    found = search([1, 2, 3, 4], judged({2, 3}))
    assert [one.value for one in found.neighbours] == [1, 2, 3]
    assert (found.tried, found.against, found.given_up_at) == (2, (), None)
    assert search([1, 2, 3], judged({2}), with_next=False).after is None


def test_search_without_an_answer_names_what_stood_against_most_often_first():
    found = search([1, 2], judged(set(), against=["always"]))
    assert found.against == ("always", "not-1", "not-2")
    assert (found.first, found.neighbours, found.tried) == (None, (), 2)


def test_value_that_passes_the_quick_judge_is_an_answer_only_when_it_passes_in_full():
    found = search([1, 2, 3, 4], judged({2, 3, 4}), judged({3}))
    assert found.first == Tried(3, True)
    assert found.before == Tried(2, False, ("not-2",))
    assert found.after == Tried(4, True)  # the neighbour is judged quickly


def test_search_gives_up_at_the_first_value_beyond_those_worked_in_full():
    values = range(WORKED_IN_FULL + 5)
    found = search(values, judged(set(values)), judged(set()))
    assert (found.first, found.given_up_at) == (None, WORKED_IN_FULL)
    to_the_end = search(range(WORKED_IN_FULL), judged(set(values)), judged(set()))
    assert to_the_end.given_up_at is None


def test_search_of_no_values_tries_none():
    assert search([], judged(set())) == Search()
