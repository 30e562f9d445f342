"""Single changes of a plan with which nothing of the plan itself is refused, each worked out in full.

A grid is searched at every corner of the tolerances; what passes there is then worked again with the study of its
spread, so that a cure offered is one that holds.
"""

import copy
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from jobs.bundle import Bundle
from jobs.calculation import Outcome, calculate
from jobs.mechanics.codes import find_code
from jobs.mechanics.convert import FormatError
from jobs.mechanics.errors import MechanicsError
from jobs.mechanics.plan_crew import thickness_grid
from jobs.mechanics.plan_result import PlanResult
from jobs.plans.to_mechanics import to_plan_input
from jobs.plans.tolerances import corners_of

FARTHEST_HEIGHTS = 4  # how far out an anchor is looked for, as the mechanics does
WORKED_IN_FULL = 24  # values that pass at every corner and fail with the spread; then the search gives up


@dataclass(frozen=True, slots=True)
class PlanCure:
    """One field set to one value, and what the plan comes to with it."""

    field: str
    value: float
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Search:
    """The cures that were found, and the fields whose search stopped before its end."""

    cures: tuple[PlanCure, ...] = ()
    given_up: tuple[str, ...] = ()


class SearchStoppedError(Exception):
    """A search stopped before the end of its values."""


def own_refusals(outcome: Outcome) -> tuple[str, ...]:
    """Codes that refuse the plan itself; the load path has cures of its own."""
    return tuple(f.full_code for f in outcome.refusals if f.area in ("stem", "plan"))


def plan_cures(bundle: Bundle, outcome: Outcome) -> Search:
    """The smallest single changes that cure a worked plan; none for one that could not be worked out."""
    if outcome.result is None or not own_refusals(outcome):
        return Search()
    cures, given_up = [], []
    for field, values in GRIDS.items():
        try:
            cure = first_that_holds(bundle, field, values(bundle, outcome))
        except SearchStoppedError:
            given_up.append(field)
        else:
            cures += [cure] if cure is not None else []
    return Search(tuple(cures), tuple(given_up))


def first_that_holds(bundle: Bundle, field: str, values: Iterator[float]) -> PlanCure | None:
    """The first value of a grid that holds in full, or None. Raises SearchStoppedError before the end of the values."""
    tried = 0
    for value in values:
        changed = with_value(bundle, field, value)
        if first_fails(changed):
            continue
        outcome = calculate(changed)
        if not own_refusals(outcome):
            return PlanCure(field, value, outcome)
        tried += 1
        if tried == WORKED_IN_FULL:
            raise SearchStoppedError
    return None


def with_value(bundle: Bundle, field: str, value: float) -> Bundle:
    """The same bundle with one figure of its plan changed, nothing saved."""
    plan = copy.copy(bundle.plan)
    setattr(plan, field, value)
    return replace(bundle, plan=plan)


def first_fails(bundle: Bundle) -> tuple[str, ...]:
    """What fails of the plan itself at the first corner of its tolerances where anything does; the spread left out."""
    try:
        for corner in corners_of(to_plan_input(bundle, with_uncertainty=False), bundle.plan):
            if corner.refused is not None:
                return (corner.refused.code,)
            if corner.result is not None and (failing := own_fails(corner.result)):
                return tuple(failing)
    except (MechanicsError, FormatError) as error:
        return (str(error),)
    return ()


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
