"""A pull and its resets in steps: what is taken in adds up, something always holds, and the times are the defaults'."""

from itertools import pairwise

import pytest

from jobs.mechanics.defaults import CLEAT_TIME_S, DEFAULTS, EXTEND_TIME_S, HAUL_SPEED_M_S, HOLD_TIME_S
from jobs.mechanics.errors import Refused
from jobs.mechanics.haul_sequence import haul_sequence, setback_choices
from jobs.mechanics.travel import TravelStageResult


def figures(need_m, throw_m=2.0):
    return TravelStageResult(
        throw_m=throw_m,
        needed_travel_m=need_m,
        resets=0,
        full_throw_haul_m=0.0,
        rope_needed_m=0.0,
        tips_in_one_throw=True,
    )


def worked(need_m, *, setback_m=0.5, tip_from_m=0.75, hauled_ratio=5.0):
    return haul_sequence(figures(need_m), setback_m=setback_m, tip_from_m=tip_from_m, hauled_ratio=hauled_ratio)


def test_one_throw_is_extended_and_hauled_once():
    assert [step.kind for step in worked(2.0).steps] == ["extend", "haul"]


def test_steps_of_a_reset_come_in_their_order():
    # throw 2 m, 0.5 m lost at each reset: 2 + 1.5 + 1.5 reaches 4.5 m in two resets
    sequence = worked(4.5)
    reset = ["cleat", "hold", "re_extend", "haul"]
    assert [step.kind for step in sequence.steps] == ["extend", "haul", *reset, *reset]
    assert sequence.resets == 2


def test_line_taken_in_adds_up_to_what_is_needed():
    sequence = worked(4.1)
    assert sum(step.taken_m for step in sequence.steps) == pytest.approx(4.1)
    assert sequence.steps[-1].travel_m == pytest.approx(4.1)


def test_line_in_follows_from_the_step_before():
    for before, after in pairwise(worked(4.1).steps):
        assert after.travel_m == pytest.approx(before.travel_m + after.taken_m)


def test_the_line_is_held_at_every_step_once_it_is_loaded():
    sequence = worked(4.5)
    assert sequence.steps[0].held_by == "nothing"
    assert {step.kind: step.held_by for step in sequence.steps[1:]} == {
        "haul": "crew",
        "cleat": "cleat",
        "hold": "bollard",
        "re_extend": "bollard",
    }


def test_times_are_those_of_the_defaults():
    sequence = worked(4.5)
    # 2 m, 2 m and 1.5 m of line, five times as much rope through the hands
    hauling_s = (2.0 + 2.0 + 1.5) * 5.0 / HAUL_SPEED_M_S
    assert sequence.total_time_s == pytest.approx(
        EXTEND_TIME_S + hauling_s + 2 * (CLEAT_TIME_S + HOLD_TIME_S + EXTEND_TIME_S)
    )


def test_each_time_is_marked_as_the_panels_judgement():
    assert {DEFAULTS[name].basis for name in ("haul_speed", "extend_time", "cleat_time", "hold_time")} == {
        "panel's judgement"
    }


def test_reset_after_the_stem_began_to_tip_says_so():
    steps = worked(4.5, tip_from_m=1.0).steps
    assert not steps[0].is_tipping
    assert all(step.is_tipping for step in steps[1:])
    still = worked(4.5, tip_from_m=4.0).steps
    assert [step.is_tipping for step in still] == [False] * (len(still) - 1) + [True]


def test_set_back_as_long_as_the_throw_is_refused():
    with pytest.raises(Refused, match="loses"):
        worked(4.5, setback_m=2.0)


def test_pulley_that_tends_the_hitch_saves_resets():
    own, tended, untended = setback_choices(figures(6.0), setback_m=0.6, tip_from_m=1.0, hauled_ratio=5.0)
    # ceil(4 / (2 - 0.6)), ceil(4 / (2 - 0.1)), ceil(4 / (2 - 0.3))
    assert (own.resets, tended.resets, untended.resets) == (3, 3, 3)
    assert own.total_time_s > untended.total_time_s > tended.total_time_s
    _, tended, untended = setback_choices(figures(5.8), setback_m=0.6, tip_from_m=1.0, hauled_ratio=5.0)
    assert (tended.resets, untended.resets) == (2, 3)


def test_set_back_that_gets_nowhere_has_no_resets_and_no_time():
    short = figures(1.0, throw_m=0.3)
    own, tended, untended = setback_choices(short, setback_m=0.05, tip_from_m=0.0, hauled_ratio=5.0)
    assert own.resets is not None
    assert tended.resets is not None
    assert (untended.resets, untended.total_time_s) == (None, None)
