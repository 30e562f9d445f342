"""What the mechanics answer to equal plans, worked out once a process: most tests of sheets change the gear or the
people of one plan, and its figures are half of what such a test costs. The mechanics' own tests ask them directly."""

import functools
from collections.abc import Callable

from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.plan.result import PlanResult

MOST = 200
Solve = Callable[[PlanInput], PlanResult]


def remembered(solve: Solve) -> Solve:
    """The same function, which keeps its last answers; a refusal is raised anew each time."""
    kept: dict[str, PlanResult] = {}

    @functools.wraps(solve)
    def answer(asked: PlanInput) -> PlanResult:
        key = repr(asked)  # tells every float to its last digit
        if key not in kept:
            if len(kept) >= MOST:
                kept.clear()
            kept[key] = solve(asked)
        return kept[key]

    return answer
