"""How far the tackle must take in, with how many resets, and how much rope that needs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

from jobs.mechanics.checks import COMPARISON_SLACK, exceeds, require_not_negative, require_positive
from jobs.mechanics.errors import Refused
from jobs.mechanics.numeric import Real
from jobs.mechanics.tackle import Stage, sheave_count


@dataclass(frozen=True, slots=True)
class RopeStretch:
    """A rope's elongation at a reference load, both as ratios, as its maker states them."""

    breaking_strength_n: float
    reference_elongation_ratio: float
    reference_load_ratio: float
    stiffening_exponent: float = 1.0

    def __post_init__(self) -> None:
        for field in fields(self):
            require_positive(field.name, getattr(self, field.name))


@dataclass(frozen=True, slots=True)
class TravelStageResult:
    """`tips_in_one_throw` is false where a reset falls while the stem stands on its hinge."""

    throw_m: float
    needed_travel_m: float
    resets: int
    full_throw_haul_m: float
    rope_needed_m: float
    tips_in_one_throw: bool


@dataclass(frozen=True, slots=True)
class TravelResult:
    """Travel of the line, each stage's share, the rope hauled by hand and the energy stored in the line."""

    stretch_m: float
    total_travel_m: float
    stages: tuple[TravelStageResult, ...]
    total_haul_m: float
    stored_energy_j: float


def rope_stretch(rope: RopeStretch, length_m: Real, tension_n: Real) -> Real:
    """Elongation of a rope under tension [m], along the secant through the reference load.

    stretch = L elong_ref (T / (frac_ref MBS))^m
    Range: tension >= 0 and below breaking; maker's data for the rope as it is used.
    Source: ROPE-03
    """
    reference_n = rope.reference_load_ratio * rope.breaking_strength_n
    return length_m * rope.reference_elongation_ratio * (tension_n / reference_n) ** rope.stiffening_exponent


def resets_for(needed_travel_m: float, throw_m: float, setback_m: float) -> int:
    """How often a tackle must be let out and taken up again for a travel.

    0 if need <= throw, else ceil((need - throw) / (throw - setback))
    Range: throw > 0 and, where a reset is needed, throw > setback; refuses no-throw.
    Source: TACKLE-02
    """
    if not exceeds(throw_m, 0.0):
        raise Refused("no-throw", f"Throw of the tackle is {throw_m:.2f} m.", {"throw_m": throw_m})
    if not exceeds(needed_travel_m, throw_m):
        return 0
    if not exceeds(throw_m, setback_m):
        raise Refused(
            "no-throw",
            f"Throw of {throw_m:.2f} m loses {setback_m:.2f} m at each reset.",
            {"throw_m": throw_m, "setback_m": setback_m},
        )
    return math.ceil((needed_travel_m - throw_m) / (throw_m - setback_m) - COMPARISON_SLACK)


def travel(
    line_length_m: float,
    tension_n: float,
    rope: RopeStretch,
    *,
    tip_travel_m: float,
    stages: Sequence[Stage],
    slack_m: float = 0.0,
) -> TravelResult:
    """Travel the tackle has to take in [m], stage by stage, with resets and rope needed.

    total = slack + stretch + tip travel; each stage travels the parts of those before it times as far
    Range: lengths >= 0; starts fully extended. Stretch inside the tackle and what is lost while the bollard
    takes over belong to the setback. Refuses no-throw, unknown:FIELD (a stage without its lengths).
    Source: TACKLE-02
    """
    for name, value in (("line_length_m", line_length_m), ("tension_n", tension_n), ("slack_m", slack_m)):
        require_not_negative(name, value)
    stretch_m = float(rope_stretch(rope, line_length_m, tension_n))
    total_m = slack_m + stretch_m + tip_travel_m
    results = []
    before = 1
    for stage in stages:
        results.append(_stage_travel(stage, total_m * before, tip_travel_m * before))
        before *= stage.parts
    exponent = rope.stiffening_exponent
    return TravelResult(
        stretch_m=stretch_m,
        total_travel_m=total_m,
        stages=tuple(results),
        total_haul_m=total_m * before,
        stored_energy_j=tension_n * stretch_m * exponent / (exponent + 1),
    )


def _stage_travel(stage: Stage, need_m: float, tip_m: float) -> TravelStageResult:
    extended_m, two_blocked_m = stage.extended_length_m, stage.two_blocked_length_m
    if extended_m is None:
        raise Refused("unknown:extended_length_m", "A stage has no length given for the tackle fully extended.")
    if two_blocked_m is None:
        raise Refused("unknown:two_blocked_length_m", "A stage has no length given for the tackle two-blocked.")
    throw_m = extended_m - two_blocked_m
    legs = sheave_count(stage)
    return TravelStageResult(
        throw_m=throw_m,
        needed_travel_m=need_m,
        resets=resets_for(need_m, throw_m, stage.setback_m or 0.0),
        full_throw_haul_m=throw_m * stage.parts,
        rope_needed_m=legs * extended_m + stage.tail_m,
        tips_in_one_throw=not exceeds(tip_m, throw_m),
    )
