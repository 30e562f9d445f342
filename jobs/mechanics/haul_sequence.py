"""A pull and its resets as steps in their order: what holds the line, how much is taken in, and how long it takes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from jobs.mechanics.checks import require_not_negative, require_positive
from jobs.mechanics.defaults import (
    CLEAT_TIME_S,
    EXTEND_TIME_S,
    HAUL_SPEED_M_S,
    HOLD_TIME_S,
    SETBACK_TENDED_M,
    SETBACK_UNTENDED_M,
)
from jobs.mechanics.travel import TravelStageResult, resets_for

StepKind = Literal["extend", "haul", "cleat", "hold", "re_extend"]
Holder = Literal["nothing", "crew", "cleat", "bollard"]
TIPPING_SLACK_M = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulStep:
    """One step. `taken_m` is the line it takes in, negative where it gives back; `travel_m` the line in after it.

    `pull` counts the pulls from 1; `hand_rope_m` is the rope through the hands; `is_tipping` says that the stem
    already stands on its hinge.
    """

    kind: StepKind
    pull: int
    held_by: Holder
    taken_m: float
    travel_m: float
    hand_rope_m: float
    time_s: float
    is_tipping: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulSequence:
    """The steps of a tackle from fully extended to the travel it has to take in."""

    steps: tuple[HaulStep, ...]
    first_pull_m: float
    next_pull_m: float
    total_time_s: float

    @property
    def resets(self) -> int:
        """How often the tackle is let out again."""
        return sum(step.kind == "re_extend" for step in self.steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetbackChoice:
    """What a set-back comes to: line taken in by each pull after the first, resets (None: it gets nowhere), time."""

    setback_m: float
    next_pull_m: float
    resets: int | None
    total_time_s: float | None


def haul_sequence(
    figures: TravelStageResult,
    *,
    setback_m: float,
    tip_from_m: float,
    hauled_ratio: float,
    haul_speed_m_s: float = HAUL_SPEED_M_S,
) -> HaulSequence:
    """Steps of one tackle: extend, then haul, cleat, hold on the bollard and re-extend until the travel is in.

    first pull takes in the throw, each later one throw - setback; rope through the hands = hauled ratio x line;
    time of a pull = rope / speed, of the other steps as the defaults say
    Range: lengths >= 0, hauled ratio and speed > 0; refuses no-throw as the resets do. `tip_from_m` is the travel
    from which the stem tips, slack and stretch being taken in before it. Times are a panel's judgement.
    Source: TACKLE-02, PANEL-01
    """
    require_not_negative("setback_m", setback_m)
    require_not_negative("tip_from_m", tip_from_m)
    require_positive("hauled_ratio", hauled_ratio)
    require_positive("haul_speed_m_s", haul_speed_m_s)
    resets = resets_for(figures.needed_travel_m, figures.throw_m, setback_m)
    steps = [_step("extend", 1, "nothing", travel_m=0.0, time_s=EXTEND_TIME_S, tip_from_m=tip_from_m)]
    for pull in range(1, resets + 2):
        start_m = steps[-1].travel_m
        taken_m = min(figures.throw_m, figures.needed_travel_m - start_m)
        steps.append(_haul(pull, start_m, taken_m, tip_from_m, rope_m=taken_m * hauled_ratio, speed_m_s=haul_speed_m_s))
        if pull <= resets:
            steps += _reset(pull, steps[-1].travel_m, setback_m, tip_from_m)
    return HaulSequence(
        steps=tuple(steps),
        first_pull_m=min(figures.throw_m, figures.needed_travel_m),
        next_pull_m=figures.throw_m - setback_m,
        total_time_s=math.fsum(step.time_s for step in steps),
    )


def setback_choices(
    figures: TravelStageResult, *, setback_m: float, tip_from_m: float, hauled_ratio: float
) -> tuple[SetbackChoice, ...]:
    """The plan's own set-back beside that of a hitch tended by a pulley and of one left untended.

    resets = ceil((need - throw) / (throw - setback)) for each
    Range: as haul_sequence; a set-back as long as the throw gives no resets and no time.
    Source: TACKLE-02, PRACTICE-02
    """
    return tuple(
        _choice(figures, each_m, tip_from_m=tip_from_m, hauled_ratio=hauled_ratio)
        for each_m in (setback_m, SETBACK_TENDED_M, SETBACK_UNTENDED_M)
    )


def _choice(figures: TravelStageResult, setback_m: float, *, tip_from_m: float, hauled_ratio: float) -> SetbackChoice:
    next_pull_m = figures.throw_m - setback_m
    if figures.needed_travel_m > figures.throw_m and next_pull_m <= 0:
        return SetbackChoice(setback_m=setback_m, next_pull_m=next_pull_m, resets=None, total_time_s=None)
    worked = haul_sequence(figures, setback_m=setback_m, tip_from_m=tip_from_m, hauled_ratio=hauled_ratio)
    return SetbackChoice(
        setback_m=setback_m, next_pull_m=next_pull_m, resets=worked.resets, total_time_s=worked.total_time_s
    )


def _haul(pull: int, start_m: float, taken_m: float, tip_from_m: float, *, rope_m: float, speed_m_s: float) -> HaulStep:
    travel_m = start_m + taken_m
    return HaulStep(
        kind="haul",
        pull=pull,
        held_by="crew",
        taken_m=taken_m,
        travel_m=travel_m,
        hand_rope_m=rope_m,
        time_s=rope_m / speed_m_s,
        is_tipping=travel_m > tip_from_m + TIPPING_SLACK_M,
    )


def _reset(pull: int, travel_m: float, setback_m: float, tip_from_m: float) -> list[HaulStep]:
    back_m = travel_m - setback_m
    cleat = _step("cleat", pull, "cleat", travel_m=travel_m, time_s=CLEAT_TIME_S, tip_from_m=tip_from_m)
    hold = _step(
        "hold", pull, "bollard", travel_m=back_m, time_s=HOLD_TIME_S, tip_from_m=tip_from_m, taken_m=-setback_m
    )
    extend = _step("re_extend", pull, "bollard", travel_m=back_m, time_s=EXTEND_TIME_S, tip_from_m=tip_from_m)
    return [cleat, hold, extend]


def _step(
    kind: StepKind,
    pull: int,
    held_by: Holder,
    *,
    travel_m: float,
    time_s: float,
    tip_from_m: float,
    taken_m: float = 0.0,
) -> HaulStep:
    return HaulStep(
        kind=kind,
        pull=pull,
        held_by=held_by,
        taken_m=taken_m,
        travel_m=travel_m,
        hand_rope_m=0.0,
        time_s=time_s,
        is_tipping=travel_m > tip_from_m + TIPPING_SLACK_M,
    )
