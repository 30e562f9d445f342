"""The working of a whole plan, in the order of the load's way: moments, pull, window, rig, crew, travel, load path.

Then follows every further figure of the plan, topic by topic.
"""

from __future__ import annotations

from jobs.mechanics.plan.result import PlanResult
from jobs.mechanics.working.context import Work, roles_of, stages_of, work_of
from jobs.mechanics.working.crew import CREW, PEOPLE_IN_FULL
from jobs.mechanics.working.line import WorkingLine
from jobs.mechanics.working.path import BACK_UP, LOAD_PATH, SIDE
from jobs.mechanics.working.plan import PLAN, SPREAD, STEM_LIMITS
from jobs.mechanics.working.pull import LINE, PULL, PULL_IN_FULL
from jobs.mechanics.working.rows import Table
from jobs.mechanics.working.stem import HINGE, MOMENTS, STEM, WIND
from jobs.mechanics.working.tackle import ADVANTAGE, HAND, RESETS, STAGE, TACKLE, TENSION, TRAVEL
from jobs.mechanics.working.window import WINDOW, WINDOW_IN_FULL

IN_FULL: tuple[Table[Work], ...] = (
    STEM, HINGE, WIND, LINE, PULL_IN_FULL, WINDOW_IN_FULL, TACKLE, PEOPLE_IN_FULL, BACK_UP, SPREAD, PLAN,
)  # fmt: skip


def working_of(result: PlanResult) -> tuple[WorkingLine, ...]:
    """Every line of a plan's working. Raises ValueError for a result that did not come from `plan`.

    Range: results of `plan`; one read back from JSON has no working.
    Source: MODEL-01.
    """
    work = work_of(result)
    stages = tuple((stage, {"i": str(stage.place), "number": str(stage.place + 1)}) for stage in stages_of(work))
    return (
        *(line for table in (MOMENTS, PULL, WINDOW, TENSION) for line in table.lines(work)),
        *(line for stage, names in stages for line in ADVANTAGE.lines(stage, **names)),
        *(line for table in (HAND, CREW, STEM_LIMITS, TRAVEL) for line in table.lines(work)),
        *(line for stage, names in stages for line in RESETS.lines(stage, **names)),
        *SIDE.lines(work),
        *(line for role in roles_of(work) for line in LOAD_PATH.lines(role, role=role.name, title=role.title)),
        *(line for table in IN_FULL for line in table.lines(work)),
        *(line for stage, names in stages for line in STAGE.lines(stage, **names)),
    )
