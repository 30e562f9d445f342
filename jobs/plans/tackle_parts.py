"""The parts of each tackle with the tension in them."""

from collections.abc import Sequence

from jobs.mechanics.plan.result import PlanResult
from jobs.mechanics.tackle import TackleStageResult
from jobs.plans.presentation import PartRow
from jobs.wording.figure import HAND_FORCE, LOAD, TACKLE, Figure


def part_rows(result: PlanResult) -> tuple[PartRow, ...]:
    """Every part of every tackle, the first tackle first; none for a result that came without its working."""
    stages = result.working.tackle.stages if result.working is not None else ()
    return rows_of(stages)


def rows_of(stages: Sequence[TackleStageResult]) -> tuple[PartRow, ...]:
    return tuple(
        PartRow(
            stage=place,
            stages=len(stages),
            number=part + 1,
            is_becket=part > 0 and part + 1 == len(stage.hauling_part_tensions_n),
            hauling=tension(hauling_n),
            lowering=tension(stage.holding_part_tensions_n[part]),
            cleated=tension(stage.cleated_part_tensions_n[part]),
        )
        for place, stage in enumerate(stages, 1)
        for part, hauling_n in enumerate(stage.hauling_part_tensions_n)
    )


def tension(force_n: float) -> Figure:
    return Figure("tension in a part", force_n, HAND_FORCE, LOAD, TACKLE)
