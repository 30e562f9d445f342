"""What a crew keeps up, and what it could put on the gear."""

import pytest

from jobs.mechanics.crew import crew, group_factor, people_for
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.tackle import Stage, stage_advantage, tackle

FIVE = Stage(parts=5, rove="to_advantage", sheave_efficiency=0.92)


@pytest.mark.parametrize(("people", "factor"), [(1, 1.0), (2, 1.9), (3, 2.7), (7, 4.9), (12, 8.4)])
def test_group_keeps_up_less_than_its_number(people, factor):
    assert group_factor(people) == pytest.approx(factor)


@pytest.mark.parametrize(
    ("hand_n", "people"), [(0.0, 1), (250.0, 1), (250.1, 2), (475.0, 2), (2100.0, 12), (2101.0, None)]
)
def test_people_needed_is_the_least_number_that_keeps_it_up(hand_n, people):
    assert people_for(hand_n, 250.0) == people


def test_overhaul_counts_every_person_at_peak_force_and_the_best_sheaves():
    result = crew([FIVE], 3000.0, 3)
    best = stage_advantage(FIVE, 0.98)
    assert result.best_advantage == pytest.approx(best)
    assert result.overhaul_tension_n == pytest.approx(3 * 600.0 * best)


def test_sustained_tension_just_reached_is_enough():
    enough = crew([FIVE], 250.0 * FIVE_ADVANTAGE, 1)
    assert enough.enough_people
    assert enough.sustained_tension_n == pytest.approx(250.0 * FIVE_ADVANTAGE)
    assert not crew([FIVE], 251.0 * FIVE_ADVANTAGE, 1).enough_people


FIVE_ADVANTAGE = tackle([FIVE], 1.0).hauling_advantage


def test_forces_and_people_that_are_nonsense_are_refused():
    for more in ({"sustained_force_n": 0.0}, {"peak_force_n": -1.0}, {"best_efficiency_ratio": 1.1}):
        with pytest.raises(OutOfRange):
            crew([FIVE], 1000.0, 2, **more)
    with pytest.raises(OutOfRange):
        crew([FIVE], 1000.0, 0)


def test_tackle_refusals_come_through():
    with pytest.raises(Refused) as refusal:
        crew([Stage(parts=9, rove="to_advantage")], 1000.0, 2)
    assert refusal.value.code == "tackle-parts"
