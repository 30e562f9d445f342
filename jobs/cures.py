"""Single changes of a plan with which nothing of the plan itself is refused, each worked out in full.

A grid is searched with the plan as written; what passes there is then worked again at every corner of the tolerances
and with the study of its spread, so that a cure offered is one that holds.
"""

import copy
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from jobs.bundle import Bundle
from jobs.calculation import Outcome, calculate
from jobs.envelope import solve
from jobs.mechanics.codes import find_code
from jobs.mechanics.convert import FormatError
from jobs.mechanics.errors import MechanicsError
from jobs.mechanics.plan_crew import thickness_grid
from jobs.mechanics.plan_result import PlanResult
from jobs.plan_request import plan_request

FARTHEST_HEIGHTS = 4  # how far out an anchor is looked for, as the mechanics does
WORKED_IN_FULL = 6  # grid points beyond the first that passes; then the search gives up


@dataclass(frozen=True, slots=True)
class PlanCure:
    """One field set to one value, and what the plan comes to with it."""

    field: str
    value: float
    outcome: Outcome


def own_refusals(outcome: Outcome) -> tuple[str, ...]:
    """Codes that refuse the plan itself; the load path has cures of its own."""
    return tuple(f.full_code for f in outcome.refusals if f.area in ("stem", "plan"))


def plan_cures(bundle: Bundle, outcome: Outcome) -> tuple[PlanCure, ...]:
    """The smallest single changes that cure a worked plan; none for one that could not be worked out."""
    if outcome.result is None or not own_refusals(outcome):
        return ()
    searched = (first_that_holds(bundle, field, values(bundle, outcome)) for field, values in GRIDS.items())
    return tuple(cure for cure in searched if cure is not None)


def first_that_holds(bundle: Bundle, field: str, values: Iterator[float]) -> PlanCure | None:
    """The first value of a grid that holds in full."""
    tried = 0
    for value in values:
        changed = with_value(bundle, field, value)
        if not passes_as_written(changed):
            continue
        outcome = calculate(changed)
        if not own_refusals(outcome):
            return PlanCure(field, value, outcome)
        tried += 1
        if tried == WORKED_IN_FULL:
            return None
    return None


def with_value(bundle: Bundle, field: str, value: float) -> Bundle:
    """The same bundle with one figure of its plan changed, nothing saved."""
    plan = copy.copy(bundle.plan)
    setattr(plan, field, value)
    return replace(bundle, plan=plan)


def passes_as_written(bundle: Bundle) -> bool:
    """Whether nothing but gear fails, without tolerances and spread."""
    try:
        result = solve(plan_request(bundle, with_uncertainty=False))
    except (MechanicsError, FormatError):
        return False
    return not own_fails(result)


def own_fails(result: PlanResult) -> list[str]:
    codes = [(text, find_code(text)) for text in result.codes]
    return [text for text, code in codes if code is not None and code.kind == "fail" and code.subject != "role"]


def higher_lines(bundle: Bundle, outcome: Outcome) -> Iterator[float]:
    """Heights above the present one in tenths of a metre, as far as sound and measured wood goes."""
    plan = bundle.plan
    if plan.attach_height_m is None or plan.sound_wood_height_m is None:
        return
    top = min(plan.sound_wood_height_m, max(section.height_m for section in bundle.sections))
    for tenth in range(math.floor(plan.attach_height_m * 10 + 1e-6) + 1, math.floor(top * 10 + 1e-6) + 1):
        yield tenth / 10


def more_people(bundle: Bundle, outcome: Outcome) -> Iterator[float]:
    yield from range((bundle.plan.haulers or 0) + 1, 13)


def more_parts(bundle: Bundle, outcome: Outcome) -> Iterator[float]:
    yield from range(bundle.plan.parts + 1, 9)


def thinner_hinges(bundle: Bundle, outcome: Outcome) -> Iterator[float]:
    """Whole millimetres below the present thickness, the thickest first."""
    result = outcome.result
    if bundle.plan.hinge_thickness_m is None or result is None or result.working is None:
        return
    grid = thickness_grid(result.working.situation.diameter_m)
    yield from sorted((t for t in map(float, grid) if t < bundle.plan.hinge_thickness_m - 1e-9), reverse=True)


def farther_anchors(bundle: Bundle, outcome: Outcome) -> Iterator[float]:
    """Whole metres beyond the present distance, up to four heights. Only without redirects: those would move too."""
    distance, height = bundle.plan.anchor_distance_m, bundle.stem.tree_height_m
    if distance is None or height is None or bundle.pull_redirects:
        return
    for metre in range(math.floor(distance) + 1, math.floor(FARTHEST_HEIGHTS * height) + 1):
        yield float(metre)


GRIDS: dict[str, Callable[[Bundle, Outcome], Iterator[float]]] = {
    "haulers": more_people,
    "attach_height_m": higher_lines,
    "hinge_thickness_m": thinner_hinges,
    "parts": more_parts,
    "anchor_distance_m": farther_anchors,
}
