"""Wraps on the bollard and the hand that tends it."""

import math

import pytest

from jobs.mechanics.bollard import bollard, capstan_ratio, wraps_to_hold
from jobs.mechanics.errors import OutOfRange


def test_exact_wraps_just_hold_the_tension_with_low_friction():
    wraps = wraps_to_hold(3000.0, 100.0, 0.12)
    assert 100.0 * capstan_ratio(0.12, 2 * math.pi * wraps) == pytest.approx(3000.0)


def test_wraps_to_try_run_from_high_friction_to_low():
    result = bollard(3000.0, 100.0)
    assert result.least_wraps == math.ceil(math.log(30) / (2 * math.pi * 0.25))
    assert result.whole_wraps == math.ceil(math.log(30) / (2 * math.pi * 0.12))
    assert result.wraps_used == result.whole_wraps


def test_hand_alone_that_holds_needs_one_wrap_all_the_same():
    result = bollard(80.0, 100.0)
    assert (result.exact_wraps, result.least_wraps, result.whole_wraps) == (0.0, 1, 1)


def test_whole_number_of_wraps_is_not_rounded_up_by_the_last_bits():
    tension = float(100.0 * capstan_ratio(0.12, 2 * math.pi * 3))
    assert bollard(tension, 100.0).whole_wraps == 3


def test_worst_hand_force_slips_at_the_line_tension():
    result = bollard(2500.0, 120.0, wrap_turns=3.0)
    assert result.holding_hand_force_worst_n > result.holding_hand_force_best_n
    assert bollard(2500.0, result.holding_hand_force_worst_n, wrap_turns=3.0).slip_tension_n == pytest.approx(2500.0)


@pytest.mark.parametrize(
    "bad",
    [
        {"hand_force_n": 0.0},
        {"tension_n": -1.0},
        {"friction_low_coeff": 0.0},
        {"friction_high_coeff": 0.1},
        {"wrap_turns": 0.0},
    ],
)
def test_nonsense_is_refused(bad):
    with pytest.raises(OutOfRange):
        bollard(**({"tension_n": 2500.0, "hand_force_n": 100.0} | bad))
