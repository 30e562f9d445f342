"""Sheave efficiency from readings of hand force and line tension taken together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from scipy.optimize import brentq
from scipy.special import stdtrit

from jobs.mechanics.checks import exceeds, falls_short, require_positive
from jobs.mechanics.defaults import CONFIDENCE, SHEAVE_EFFICIENCY_LOW_OFFSET
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.tackle import Rove, Stage, sheave_count, stage_advantage

MIN_READINGS = 3


@dataclass(frozen=True, slots=True)
class MeasuredResult:
    """Plan the crew's effort with the low efficiency and over-tension with the high one."""

    advantage: float
    sheave_efficiency: float
    sheave_efficiency_low: float
    sheave_efficiency_high: float
    log_sd: float
    high_is_capped: bool


def measured_efficiency(
    parts: int,
    rove: Rove,
    readings_n: Sequence[tuple[float, float]],
    *,
    confidence_ratio: float = CONFIDENCE,
) -> MeasuredResult:
    """Advantage and sheave efficiency of one stage from pairs of hand force and line tension [N].

    mean of ln(line / hand) +/- t s / sqrt(N); efficiency from MA_haul(eta) = exp(mean), equal sheaves
    Range: three pairs or more, all above 0, taken while hauling slowly; confidence 0 to 1.
    Refuses tackle-parts, too-few-pairs, ma-above-ideal.
    Source: STAT-03
    """
    stage = Stage(parts=parts, rove=rove)
    sheave_count(stage)
    if len(readings_n) < MIN_READINGS:
        raise Refused(
            "too-few-pairs",
            f"{len(readings_n)} readings; {MIN_READINGS} are needed.",
            {"readings": float(len(readings_n)), "limit": float(MIN_READINGS)},
        )
    if not 0 < confidence_ratio < 1:
        raise OutOfRange("confidence", confidence_ratio, "above 0", "below 1")
    mean, spread = _mean_and_spread([_log_advantage(hand, line) for hand, line in readings_n])
    advantage = math.exp(mean)
    if exceeds(advantage, parts):
        raise Refused(
            "ma-above-ideal",
            f"Measured advantage {advantage:.2f} is above the ideal {parts}.",
            {"advantage": advantage, "ideal_advantage": float(parts)},
        )
    count = len(readings_n)
    half_width = float(stdtrit(count - 1, (1 + confidence_ratio) / 2)) * spread / math.sqrt(count)
    high = math.exp(mean + half_width)
    is_capped = exceeds(high, parts)
    return MeasuredResult(
        advantage=advantage,
        sheave_efficiency=efficiency_for(stage, advantage),
        sheave_efficiency_low=efficiency_for(stage, math.exp(mean - half_width)),
        sheave_efficiency_high=1.0 if is_capped else efficiency_for(stage, high),
        log_sd=spread,
        high_is_capped=is_capped,
    )


def efficiency_for(stage: Stage, advantage_ratio: float) -> float:
    """Sheave efficiency, the same for all sheaves, that gives a stage this hauling advantage [1].

    root of MA_haul(eta) = advantage on (0, 1]; 0 where even sheaves that pass nothing on give more
    Range: advantage up to the ideal of the stage.
    Source: TACKLE-01
    """

    def surplus(efficiency_ratio: float) -> float:
        return stage_advantage(stage, efficiency_ratio) - advantage_ratio

    if surplus(0.0) >= 0:
        return 0.0
    if surplus(1.0) <= 0:
        return 1.0
    return float(brentq(surplus, 0.0, 1.0, xtol=1e-14))


def _log_advantage(hand_n: float, line_n: float) -> float:
    require_positive("hand", hand_n)
    require_positive("line", line_n)
    return math.log(line_n / hand_n)


def _mean_and_spread(values: Sequence[float]) -> tuple[float, float]:
    mean = math.fsum(values) / len(values)
    return mean, math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (len(values) - 1))


@dataclass(frozen=True, slots=True)
class EfficiencyFall:
    """A tackle that passes on less than it did: its own middle figure of before, and the one now."""

    usual_ratio: float
    now_ratio: float
    is_beyond_interval: bool


def efficiency_fall(earlier_ratios: Sequence[float], now_ratio: float, now_high_ratio: float) -> EfficiencyFall | None:
    """A fall of the efficiency against the tackle's own history, or None where there is none.

    fallen when the upper end of the new interval lies below the median of the earlier figures, or the new figure
    more than the plan's own spread (0.05) below it
    Range: ratios 0 to 1; one earlier figure or more, each of the same tackle rove alike. Dirt, a worn sheave or a
    stiff rope; the cause is for the inspector.
    Source: PANEL-01, STAT-03
    """
    if not earlier_ratios:
        return None
    usual = median(earlier_ratios)
    is_beyond = falls_short(now_high_ratio, usual)
    if not is_beyond and not falls_short(now_ratio, usual + SHEAVE_EFFICIENCY_LOW_OFFSET):
        return None
    return EfficiencyFall(usual_ratio=usual, now_ratio=now_ratio, is_beyond_interval=is_beyond)
