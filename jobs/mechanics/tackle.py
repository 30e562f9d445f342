"""Tackles: advantage with friction, and the load on every part, sheave and block."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Literal, TypeVar

from jobs.mechanics.checks import require_finite, require_not_negative
from jobs.mechanics.defaults import MIN_EFFICIENCY_RATIO, SHEAVE_EFFICIENCY_RATIO, TAIL_M
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.numeric import FloatArray
from jobs.mechanics.resultants import two_force_resultant

Rove = Literal["to_advantage", "to_disadvantage"]
CleatPlace = Literal["hauling_block", "separate"]
Block = Literal["moving", "fixed"]

Ratio = TypeVar("Ratio", float, FloatArray)

MIN_PARTS, MAX_PARTS = 2, 8


@dataclass(frozen=True, slots=True)
class Stage:
    """One tackle. Stage 1 carries the main line; its hauling part is the load of stage 2, and so on.

    An efficiency is the tension leaving a sheave over the tension entering it, one for all sheaves or one for
    each from the hauling end. Lengths are block to block; `setback_m` is line travel lost at a reset.
    """

    parts: int
    rove: Rove
    sheave_efficiency: float | tuple[float, ...] = SHEAVE_EFFICIENCY_RATIO
    holding_sheave_efficiency: float | tuple[float, ...] | None = None
    cleat_on: CleatPlace = "hauling_block"
    lead_angle_deg: float = 0.0
    extended_length_m: float | None = None
    two_blocked_length_m: float | None = None
    setback_m: float | None = None
    tail_m: float = TAIL_M

    def __post_init__(self) -> None:
        require_finite("lead_angle_deg", self.lead_angle_deg)
        for name in ("extended_length_m", "two_blocked_length_m", "setback_m", "tail_m"):
            require_not_negative(name, getattr(self, name))


@dataclass(frozen=True, slots=True)
class TackleStageResult:
    """Forces in one stage; part tensions run from the hand to the becket."""

    ideal_advantage: int
    sheave_count: int
    becket_on: Block
    hauling_advantage: float
    holding_advantage: float
    cleat_advantage: float
    hauling_force_n: float
    holding_force_n: float
    cleat_force_n: float
    cleat_design_force_n: float
    hauling_part_tensions_n: tuple[float, ...]
    holding_part_tensions_n: tuple[float, ...]
    cleated_part_tensions_n: tuple[float, ...]
    sheave_blocks: tuple[Block, ...]
    hauling_sheave_loads_n: tuple[float, ...]
    hauling_becket_load_n: float
    holding_becket_load_n: float
    moving_block_load_n: float
    fixed_block_hauling_load_n: float
    fixed_block_holding_load_n: float
    fixed_block_cleated_load_n: float
    fixed_block_design_load_n: float
    greatest_part_tension_n: float


@dataclass(frozen=True, slots=True)
class TackleResult:
    """All stages, and the tackle as a whole."""

    stages: tuple[TackleStageResult, ...]
    ideal_advantage: int
    hauling_advantage: float
    holding_advantage: float
    hauling_force_n: float
    holding_force_n: float
    efficiency: float


def sheave_count(stage: Stage) -> int:
    """Sheaves the rope turns round in one stage.

    S = n - 1 to advantage, n to disadvantage.
    Range: 2 to 8 parts; refuses tackle-parts.
    Source: TACKLE-01
    """
    if not MIN_PARTS <= stage.parts <= MAX_PARTS:
        raise Refused(
            "tackle-parts",
            f"A stage has {stage.parts} parts; the model covers {MIN_PARTS} to {MAX_PARTS}.",
            {"parts": float(stage.parts)},
        )
    return stage.parts - 1 if stage.rove == "to_advantage" else stage.parts


def hauling_efficiencies(stage: Stage) -> tuple[float, ...]:
    """Tension ratio leaving/entering of every sheave while hauling, from the hauling end [1].

    One number stands for all sheaves.
    Range: 0.5 to 1 each, one for each sheave; refuses tackle-parts, tackle-eta.
    Source: TACKLE-01
    """
    return _each_sheave(stage.sheave_efficiency, sheave_count(stage))


def holding_efficiencies(stage: Stage) -> tuple[float, ...]:
    """Tension ratio of every sheave [1] while holding or lowering, from the hauling end; else the hauling ones.

    Range: 0.5 to 1 each, one for each sheave; refuses tackle-parts, tackle-eta.
    Source: TACKLE-01
    """
    given = stage.holding_sheave_efficiency
    return hauling_efficiencies(stage) if given is None else _each_sheave(given, sheave_count(stage))


def _each_sheave(given: float | tuple[float, ...], sheaves: int) -> tuple[float, ...]:
    ratios = (float(given),) * sheaves if isinstance(given, int | float) else given
    if len(ratios) != sheaves:
        raise Refused(
            "tackle-eta",
            f"{len(ratios)} sheave efficiencies for {sheaves} sheaves.",
            {"given": float(len(ratios)), "sheaves": float(sheaves)},
        )
    for ratio in ratios:
        if not MIN_EFFICIENCY_RATIO <= ratio <= 1.0:
            raise Refused(
                "tackle-eta",
                f"Sheave efficiency {ratio:g} is outside {MIN_EFFICIENCY_RATIO:g} to 1.",
                {"efficiency": ratio},
            )
    return ratios


def hauling_ratios(efficiencies: Sequence[Ratio]) -> tuple[Ratio, ...]:
    """Tension of every part over the hand's while hauling, hand to becket [1].

    t_0 = 1, t_(i+1) = eta_i t_i
    Range: any efficiencies above 0; parallel parts, clean rope.
    Source: TACKLE-01
    """
    tension = efficiencies[0] * 0.0 + 1.0  # one unit, in the shape of the efficiencies
    ratios = [tension]
    for efficiency in efficiencies:
        tension = tension * efficiency
        ratios.append(tension)
    return tuple(ratios)


def holding_ratios(efficiencies: Sequence[float]) -> tuple[float, ...]:
    """Tension of every part over the hand's while holding or lowering, hand to becket [1].

    t_0 = 1, t_(i+1) = t_i / eta_i
    Range: any efficiencies above 0; parallel parts, clean rope.
    Source: TACKLE-01
    """
    return tuple(accumulate(efficiencies, lambda tension, ratio: tension / ratio, initial=1.0))


def bearing_sum(ratios: Sequence[Ratio], parts: int, rove: Rove) -> Ratio:
    """Advantage: sum of the parts that bear on the moving block, per unit of the hand [1].

    MA = t_0 + ... + t_(n-1) to advantage, t_1 + ... + t_n to disadvantage
    Range: ratios from the hand to the becket.
    Source: TACKLE-01
    """
    total = ratios[0] * 0.0
    for ratio in ratios[:parts] if rove == "to_advantage" else ratios[1 : parts + 1]:
        total = total + ratio
    return total


def stage_advantage(stage: Stage, sheave_efficiency_ratio: Ratio) -> Ratio:
    """Hauling advantage of one stage with one efficiency for all of its sheaves, or for each of an array of such [1].

    MA = 1 + eta + ... + eta^(n-1) to advantage
    Range: 2 to 8 parts; an efficiency above 0, put in place of the stage's own.
    Source: TACKLE-01
    """
    efficiencies = (sheave_efficiency_ratio,) * sheave_count(stage)
    return bearing_sum(hauling_ratios(efficiencies), stage.parts, stage.rove)


def best_advantage(stages: Sequence[Stage], best_efficiency_ratio: float) -> float:
    """Greatest advantage the tackle could have: every sheave as good as the best of its stage or better [1].

    MA_hi = product of MA_haul at eta = max(eta_hi, greatest eta of the stage)
    Range: best efficiency 0.5 to 1; refuses tackle-parts, tackle-eta.
    Source: TACKLE-01
    """
    return math.prod(
        stage_advantage(stage, max(best_efficiency_ratio, *hauling_efficiencies(stage))) for stage in stages
    )


def lowest_advantage(stages: Sequence[Stage], loss_ratio: float) -> float:
    """Advantage with every sheave a little worse than stated [1].

    MA_lo = product of MA_haul at eta - loss
    Range: loss below 0.5; refuses tackle-parts, tackle-eta.
    Source: TACKLE-01
    """
    advantage = 1.0
    for stage in stages:
        worse = [ratio - loss_ratio for ratio in hauling_efficiencies(stage)]
        advantage *= bearing_sum(hauling_ratios(worse), stage.parts, stage.rove)
    return advantage


def rule_of_thumb_advantage(parts: int, sheaves: int) -> float:
    """Advantage by the seamanship rule, a tenth of the load lost at each sheave [1]; a rough check beside ours.

    W / pull = P / (1 + n / 10)
    Range: 2 to 8 parts.
    Source: PRACTICE-03
    """
    return parts / (1 + sheaves / 10)


def tackle(stages: Sequence[Stage], load_n: float) -> TackleResult:
    """Advantage and the load on every part, sheave and block [N] while hauling, holding and cleated.

    hand = load / MA, stage by stage; the hauling part of one stage is the load of the next.
    Range: 2 to 8 parts, efficiency 0.5 to 1, load >= 0; blocks well apart (parallel parts), clean rope.
    Refuses tackle-parts, tackle-eta.
    Source: TACKLE-01
    """
    if not stages:
        raise OutOfRange("stages", 0, 1, "any number")
    require_not_negative("load_n", load_n)
    results: list[TackleStageResult] = []
    load = load_n
    for stage in stages:
        results.append(_stage_result(stage, load))
        load = results[-1].hauling_force_n
    ideal = math.prod(result.ideal_advantage for result in results)
    hauling = math.prod(result.hauling_advantage for result in results)
    holding = math.prod(result.holding_advantage for result in results)
    return TackleResult(
        stages=tuple(results),
        ideal_advantage=ideal,
        hauling_advantage=hauling,
        holding_advantage=holding,
        hauling_force_n=load_n / hauling,
        holding_force_n=load_n / holding,
        efficiency=hauling / ideal,
    )


def _stage_result(stage: Stage, load_n: float) -> TackleStageResult:
    haul_ratios = hauling_ratios(hauling_efficiencies(stage))
    hold_ratios = holding_ratios(holding_efficiencies(stage))
    haul = bearing_sum(haul_ratios, stage.parts, stage.rove)
    hold = bearing_sum(hold_ratios, stage.parts, stage.rove)
    # Cleated on the block it leaves, the hauling part pulls that block on itself and carries no load.
    is_internal = stage.cleat_on == "hauling_block" and stage.rove == "to_advantage"
    cleat = hold - 1.0 if is_internal else hold
    hands = (load_n / haul, load_n / hold, load_n / cleat)
    parts = [
        tuple(hand * ratio for ratio in ratios)
        for hand, ratios in zip(hands, (haul_ratios, hold_ratios, hold_ratios), strict=True)
    ]
    fixed = [_fixed_block_load(stage, load_n, hand) for hand in hands[:2]]
    fixed.append(load_n if stage.cleat_on == "hauling_block" else fixed[1])
    blocks = sheave_blocks(stage)
    return TackleStageResult(
        ideal_advantage=stage.parts,
        sheave_count=len(blocks),
        becket_on=_other(blocks[-1]),
        hauling_advantage=haul,
        holding_advantage=hold,
        cleat_advantage=cleat,
        hauling_force_n=hands[0],
        holding_force_n=hands[1],
        cleat_force_n=hands[2],
        cleat_design_force_n=max(hands[0], load_n / (stage.parts - 1 if is_internal else stage.parts)),
        hauling_part_tensions_n=parts[0],
        holding_part_tensions_n=parts[1],
        cleated_part_tensions_n=parts[2],
        sheave_blocks=blocks,
        hauling_sheave_loads_n=tuple(a + b for a, b in zip(parts[0], parts[0][1:], strict=False)),
        hauling_becket_load_n=parts[0][-1],
        holding_becket_load_n=parts[1][-1],
        moving_block_load_n=load_n,
        fixed_block_hauling_load_n=fixed[0],
        fixed_block_holding_load_n=fixed[1],
        fixed_block_cleated_load_n=fixed[2],
        fixed_block_design_load_n=max(fixed),
        greatest_part_tension_n=max(max(tensions) for tensions in parts),
    )


def sheave_blocks(stage: Stage) -> tuple[Block, ...]:
    """Which block each sheave sits in, from the hauling end: first the one the hauling part leaves, then in turn.

    Range: 2 to 8 parts; refuses tackle-parts.
    Source: TACKLE-01
    """
    first: Block = "moving" if stage.rove == "to_advantage" else "fixed"
    return tuple(first if index % 2 == 0 else _other(first) for index in range(sheave_count(stage)))


def _other(block: Block) -> Block:
    return "fixed" if block == "moving" else "moving"


def _fixed_block_load(stage: Stage, load_n: float, hand_n: float) -> float:
    """Force on the fixed block [N] with the hand on the hauling part: what the load and the hand leave for it."""
    if stage.rove == "to_advantage":
        return load_n - hand_n
    return float(two_force_resultant(load_n, hand_n, math.radians(stage.lead_angle_deg)))
