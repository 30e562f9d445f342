"""The working of a whole plan, in the order of the load's way: moments, pull, window, rig, crew, travel, load path."""

from __future__ import annotations

from jobs.mechanics.plan.result import PlanResult, PlanWorking
from jobs.mechanics.working.gear import path_lines, rig_lines, side_lines, travel_lines
from jobs.mechanics.working.line import WorkingLine
from jobs.mechanics.working.rows import further_lines
from jobs.mechanics.working.stem import moment_lines, pull_lines
from jobs.mechanics.working.window import window_lines

__all__ = ["WorkingLine", "working_of"]


def working_of(result: PlanResult) -> tuple[WorkingLine, ...]:
    """Every line of a plan's working. Raises ValueError for a result that did not come from `plan`.

    Range: results of `plan`; one read back from JSON has no working.
    Source: MODEL-01.
    """
    work: PlanWorking | None = result.working
    if work is None:
        raise ValueError("this result carries no working")
    return (
        *moment_lines(work),
        *pull_lines(result, work),
        *window_lines(work),
        *rig_lines(result, work),
        *travel_lines(result, work),
        *side_lines(result),
        *path_lines(result, work),
        *further_lines(result, work),
    )
