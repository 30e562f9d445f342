"""Forces where two legs of a line meet, by hand."""

import math

import pytest

from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.resultants import ResultantItem, hitch_leg, resultant, resultants


def answer(what, **given):
    return resultants([ResultantItem(what=what, **given)]).values[0]


@pytest.mark.parametrize(
    ("first_n", "second_n", "angle_deg", "force_n"),
    [
        (300.0, 400.0, 90.0, 500.0),
        (300.0, 400.0, 0.0, 700.0),
        (300.0, 400.0, 180.0, 100.0),
        (400.0, 400.0, 120.0, 400.0),
        (0.0, 400.0, 50.0, 400.0),
        (300.0, 0.0, 50.0, 300.0),
        (400.0, 400.0, 180.0, 0.0),
    ],
)
def test_two_legs_add_up_as_vectors(first_n, second_n, angle_deg, force_n):
    asked = {"tension_1_n": first_n, "tension_2_n": second_n, "included_angle_deg": angle_deg}
    assert answer("resultant", **asked) == pytest.approx(force_n, abs=1e-4)


@pytest.mark.parametrize(
    ("tension_n", "spread_deg", "leg_n"),
    [(1000.0, 0.0, 500.0), (1000.0, 60.0, 1000.0 / math.sqrt(3.0)), (0.0, 60.0, 0.0), (1000.0, 119.0, 985.1)],
)
def test_legs_of_a_hitch_carry_more_the_wider_they_spread(tension_n, spread_deg, leg_n):
    assert answer("hitch_leg", tension_n=tension_n, spread_deg=spread_deg) == pytest.approx(leg_n, rel=1e-3)


@pytest.mark.parametrize("spread_deg", [120.0, 150.0])
def test_legs_120_degrees_apart_or_more_are_refused(spread_deg):
    with pytest.raises(Refused) as caught:
        hitch_leg(1000.0, spread_deg)
    assert caught.value.code == "hitch-spread"
    assert caught.value.facts == {"angle_deg": spread_deg, "limit_deg": 120.0}


@pytest.mark.parametrize(
    ("call", "arguments"),
    [
        (resultant, (-1.0, 1.0, 90.0)),
        (resultant, (1.0, -1.0, 90.0)),
        (resultant, (1.0, 1.0, -0.1)),
        (resultant, (1.0, 1.0, 180.1)),
        (hitch_leg, (-1.0, 60.0)),
        (hitch_leg, (1.0, -0.1)),
    ],
)
def test_nonsense_is_out_of_range(call, arguments):
    with pytest.raises(OutOfRange):
        call(*arguments)


GIVEN = {
    "resultant": {"tension_1_n": 1.0, "tension_2_n": 1.0, "included_angle_deg": 90.0},
    "hitch_leg": {"tension_n": 1.0, "spread_deg": 60.0},
    "bend_efficiency": {"bend_ratio": 4.0},
}


@pytest.mark.parametrize(("what", "name"), [(what, name) for what, given in GIVEN.items() for name in given])
def test_question_without_one_of_its_figures_is_out_of_range(what, name):
    assert answer(what, **GIVEN[what]) > 0.0
    with pytest.raises(OutOfRange) as caught:
        ResultantItem(what=what, **GIVEN[what] | {name: None})
    assert caught.value.name == name


@pytest.mark.parametrize("what", GIVEN)
def test_figure_that_belongs_to_another_question_is_out_of_range(what):
    for other in GIVEN.keys() - {what}:
        name, value = next(iter(GIVEN[other].items()))
        with pytest.raises(OutOfRange) as caught:
            ResultantItem(what=what, **GIVEN[what] | {name: value})
        assert caught.value.name == name


def test_bend_efficiency_by_hand():
    assert answer("bend_efficiency", bend_ratio=4.0) == pytest.approx(0.75)
    with pytest.raises(OutOfRange):
        answer("bend_efficiency", bend_ratio=0.0)
