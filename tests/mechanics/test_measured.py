"""Sheave efficiency from readings."""

import math

import pytest

from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.measured import efficiency_for, measured_efficiency
from jobs.mechanics.tackle import Stage, stage_advantage

FIVE = Stage(parts=5, rove="to_advantage")


def readings(*advantages, hand=200.0):
    return [(hand, hand * advantage) for advantage in advantages]


def test_exact_readings_give_back_the_efficiency_they_were_made_with():
    made = stage_advantage(FIVE, 0.91)
    result = measured_efficiency(5, "to_advantage", readings(made, made, made))
    assert result.sheave_efficiency == pytest.approx(0.91)
    assert result.sheave_efficiency_low == pytest.approx(result.sheave_efficiency_high)
    assert result.log_sd == pytest.approx(0.0, abs=1e-12)


def test_interval_follows_student_for_three_readings():
    # t(0.975, 2) = 4.303, printed in any table of Student's distribution.
    result = measured_efficiency(5, "to_advantage", readings(4.0, 4.1, 4.2))
    logs = [math.log(value) for value in (4.0, 4.1, 4.2)]
    mean = sum(logs) / 3
    spread = math.sqrt(sum((value - mean) ** 2 for value in logs) / 2)
    low = math.exp(mean - 4.303 * spread / math.sqrt(3))
    assert stage_advantage(FIVE, result.sheave_efficiency_low) == pytest.approx(low, rel=1e-4)


def test_higher_confidence_widens_the_interval():
    narrow = measured_efficiency(5, "to_advantage", readings(4.0, 4.1, 4.2), confidence_ratio=0.8)
    wide = measured_efficiency(5, "to_advantage", readings(4.0, 4.1, 4.2), confidence_ratio=0.95)
    assert wide.sheave_efficiency_low < narrow.sheave_efficiency_low < narrow.sheave_efficiency


def test_upper_end_above_the_ideal_is_capped_and_told():
    result = measured_efficiency(5, "to_advantage", readings(4.6, 4.9, 5.0))
    assert result.high_is_capped
    assert result.sheave_efficiency_high == 1.0


def test_fewer_than_three_readings_are_refused():
    with pytest.raises(Refused) as refusal:
        measured_efficiency(5, "to_advantage", readings(4.0, 4.1))
    assert refusal.value.code == "too-few-pairs"


def test_measured_advantage_above_the_parts_is_refused():
    with pytest.raises(Refused) as refusal:
        measured_efficiency(5, "to_advantage", readings(5.1, 5.1, 5.1))
    assert refusal.value.code == "ma-above-ideal"


def test_parts_outside_the_model_are_refused_first():
    with pytest.raises(Refused) as refusal:
        measured_efficiency(9, "to_advantage", [])
    assert refusal.value.code == "tackle-parts"


def test_tackle_that_gives_less_than_the_hand_has_no_efficiency_left():
    assert efficiency_for(FIVE, 0.9) == 0.0


def test_readings_and_confidence_that_are_nonsense_are_refused():
    with pytest.raises(OutOfRange):
        measured_efficiency(5, "to_advantage", [(0.0, 10.0)] * 3)
    with pytest.raises(OutOfRange):
        measured_efficiency(5, "to_advantage", readings(4, 4, 4), confidence_ratio=1.0)
