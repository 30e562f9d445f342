"""What a crew on the hauling part can keep up, and what it could put on the gear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.mechanics.checks import falls_short, require_between, require_positive
from jobs.mechanics.defaults import (
    BEST_SHEAVE_EFFICIENCY_RATIO,
    GROUP_LOSS_RATIO,
    MAX_CREW,
    MIN_EFFICIENCY_RATIO,
    MIN_GROUP_FACTOR_RATIO,
    PEAK_FORCE_N,
    SUSTAINED_FORCE_N,
)
from jobs.mechanics.errors import OutOfRange
from jobs.mechanics.tackle import Stage, best_advantage, tackle


@dataclass(frozen=True, slots=True)
class CrewResult:
    """`people_needed` is None where twelve do not suffice."""

    hauling_force_n: float
    people_needed: int | None
    sustained_tension_n: float
    best_advantage: float
    overhaul_tension_n: float
    enough_people: bool


def group_factor(people: int) -> float:
    """How many single pulls a group keeps up [1].

    c(n) = n max(0.7, 1 - 0.05 (n - 1))
    Range: people >= 1.
    Source: MEMORY-01
    """
    if people < 1:
        raise OutOfRange("people", people, 1, float("inf"))
    return people * max(MIN_GROUP_FACTOR_RATIO, 1 - GROUP_LOSS_RATIO * (people - 1))


def kept_up_force(people: int, sustained_force_n: float) -> float:
    """Force a group keeps up on the hauling part [N].

    c(n) f
    Range: people >= 1, force > 0 N.
    Source: MEMORY-01
    """
    return group_factor(people) * sustained_force_n


def people_for(hand_n: float, sustained_force_n: float) -> int | None:
    """Least number of haulers that keep up a force on the hauling part, or None where twelve do not.

    least n with c(n) f >= hand
    Range: 1 to 12 people, sustained_force_n > 0.
    Source: MEMORY-01
    """
    for people in range(1, int(MAX_CREW) + 1):
        if not falls_short(kept_up_force(people, sustained_force_n), hand_n):
            return people
    return None


def crew(
    stages: Sequence[Stage],
    load_n: float,
    people: int,
    *,
    sustained_force_n: float = SUSTAINED_FORCE_N,
    peak_force_n: float = PEAK_FORCE_N,
    best_efficiency_ratio: float = BEST_SHEAVE_EFFICIENCY_RATIO,
) -> CrewResult:
    """Haulers needed for a load on the tackle [N], what these keep up, and the most they could put on.

    sustained tension = c(people) f_sustained MA_haul; T_over = people f_peak MA_hi, without group reduction
    Range: people >= 1, forces > 0, best efficiency 0.5 to 1. Firm footing and a gloved grip; slippery
    ground gives much less. Refuses tackle-parts, tackle-eta.
    Source: MEMORY-01
    """
    check_forces(sustained_force_n, peak_force_n, best_efficiency_ratio)
    result = tackle(stages, load_n)
    kept_up = kept_up_force(people, sustained_force_n)
    best = best_advantage(stages, best_efficiency_ratio)
    return CrewResult(
        hauling_force_n=result.hauling_force_n,
        people_needed=people_for(result.hauling_force_n, sustained_force_n),
        sustained_tension_n=kept_up * result.hauling_advantage,
        best_advantage=best,
        overhaul_tension_n=people * peak_force_n * best,
        enough_people=not falls_short(kept_up, result.hauling_force_n),
    )


def check_forces(sustained_force_n: float, peak_force_n: float, best_efficiency_ratio: float) -> None:
    """Raises OutOfRange for forces that are not above zero or an efficiency outside 0.5 to 1.

    Range: forces > 0 N, efficiency 0.5 to 1.
    Source: MEMORY-01
    """
    require_positive("sustained_force_n", sustained_force_n)
    require_positive("peak_force_n", peak_force_n)
    require_between("best_sheave_efficiency", best_efficiency_ratio, MIN_EFFICIENCY_RATIO, 1.0)
