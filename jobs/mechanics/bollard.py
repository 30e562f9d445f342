"""Wraps on a friction bollard and the hand that tends its tail."""

from __future__ import annotations

import math
from dataclasses import dataclass

from jobs.mechanics.checks import COMPARISON_SLACK, LARGEST, require_between, require_not_negative, require_positive
from jobs.mechanics.defaults import BOLLARD_FRICTION_HIGH_COEFF, BOLLARD_FRICTION_LOW_COEFF
from jobs.mechanics.numeric import Real, exp, greater, log


@dataclass(frozen=True, slots=True)
class BollardResult:
    """Wraps to try at the proof pull run from `least_wraps` to `whole_wraps`; the worst hand force is the design."""

    exact_wraps: float
    least_wraps: int
    whole_wraps: int
    wraps_used: float
    holding_hand_force_best_n: float
    holding_hand_force_worst_n: float
    slip_tension_n: float


def capstan_ratio(friction_coeff: Real, wrap_rad: Real) -> Real:
    """Tension ratio across a rope wrapped round a drum that is about to slip [1].

    T_high / T_low = exp(mu phi)
    Range: friction and wrap >= 0; flexible rope on a fixed drum.
    Source: ROPE-01
    """
    return exp(friction_coeff * wrap_rad)


def wraps_to_hold(tension_n: Real, hand_force_n: Real, friction_coeff: Real) -> Real:
    """Wraps with which a hand force just holds a line tension [1]; 0 where the hand alone holds it.

    w = ln(max(T, hand) / hand) / (2 pi mu)
    Range: forces and friction > 0.
    Source: ROPE-01
    """
    return log(greater(tension_n, hand_force_n) / hand_force_n) / (2 * math.pi * friction_coeff)


def bollard(
    tension_n: float,
    hand_force_n: float,
    *,
    friction_low_coeff: float = BOLLARD_FRICTION_LOW_COEFF,
    friction_high_coeff: float = BOLLARD_FRICTION_HIGH_COEFF,
    wrap_turns: float | None = None,
) -> BollardResult:
    """Wraps needed on the bollard, the hand force that holds with them and the tension at which they slip [N].

    T_high = T_low exp(mu 2 pi w), at the low and the high end of the friction
    Range: tension >= 0, hand > 0, 0 < friction low <= high, wraps > 0. Rope on smooth dry metal; wet, iced or
    glazed rope holds less. Nobody hauls through wraps.
    Source: ROPE-01
    """
    require_not_negative("tension_n", tension_n)
    require_positive("hand_force_n", hand_force_n)
    require_positive("friction_low", friction_low_coeff)
    require_between("friction_high", friction_high_coeff, friction_low_coeff, LARGEST)
    require_positive("wraps", wrap_turns)
    exact = float(wraps_to_hold(tension_n, hand_force_n, friction_low_coeff))
    whole = _whole(exact)
    used = float(whole) if wrap_turns is None else wrap_turns
    turn_rad = 2 * math.pi * used
    return BollardResult(
        exact_wraps=exact,
        least_wraps=_whole(float(wraps_to_hold(tension_n, hand_force_n, friction_high_coeff))),
        whole_wraps=whole,
        wraps_used=used,
        holding_hand_force_best_n=tension_n / float(capstan_ratio(friction_high_coeff, turn_rad)),
        holding_hand_force_worst_n=tension_n / float(capstan_ratio(friction_low_coeff, turn_rad)),
        slip_tension_n=hand_force_n * float(capstan_ratio(friction_low_coeff, turn_rad)),
    )


def _whole(wraps: float) -> int:
    return max(1, math.ceil(wraps - COMPARISON_SLACK))
