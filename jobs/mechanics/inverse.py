"""Questions asked backwards: values tried in turn, the first with which nothing fails, and what stood against."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from typing import Literal

from jobs.mechanics.defaults import MAX_CREW
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.findings.codes import fails
from jobs.mechanics.limits import FURTHEST_ANCHOR_RATIO
from jobs.mechanics.plan import plan
from jobs.mechanics.plan.crew import thickness_grid
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.stem import stem, total_height
from jobs.mechanics.tackle import MAX_PARTS, MIN_PARTS

LeastWhat = Literal["attach_height", "parts", "people", "anchor_distance", "hinge_thickness"]
WORKED_IN_FULL = 24  # values that pass the quick judge and fail in full; then a search gives up


@dataclass(frozen=True, slots=True)
class Tried:
    """One value tried: whether it passes, and the codes that stood against it (a refusal is its one code)."""

    value: float
    passes: bool
    codes: tuple[str, ...] = ()


Judge = Callable[[float], Tried]


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """What a search came to: the first value that passes with its neighbours, or what stood against every value.

    `against` is empty where a value passes, else the most frequent first. `given_up_at` is the first value that
    passes the quick judge and was not worked in full any more; None for a search that reached its end.
    """

    first: Tried | None = None
    before: Tried | None = None
    after: Tried | None = None
    against: tuple[str, ...] = ()
    tried: int = 0
    given_up_at: float | None = None

    @property
    def neighbours(self) -> tuple[Tried, ...]:
        """The first value that passes between the ones before and after it, where there are such; () without one."""
        around = (self.before, self.first, self.after)
        return tuple(one for one in around if one is not None) if self.first is not None else ()


def search(values: Iterable[float], judge: Judge, in_full: Judge | None = None, *, with_next: bool = True) -> Search:
    """Try values in turn and take the first that passes.

    `judge` is quick; what passes it is judged again by `in_full` where that is given, at most WORKED_IN_FULL times.
    `with_next` judges the value beyond the answer as well, quickly.
    Range: any values; raises what the judges raise.
    Source: MODEL-01.
    """
    against: Counter[str] = Counter()
    before: Tried | None = None
    worked = tried = 0
    remaining = iter(values)
    for tried, value in enumerate(remaining, start=1):
        now = judge(value)
        if now.passes and in_full is not None:
            if worked == WORKED_IN_FULL:
                return Search(against=_by_frequency(against), tried=tried, given_up_at=value)
            worked += 1
            now = in_full(value)
        if now.passes:
            beyond = next(remaining, None) if with_next else None
            after = judge(beyond) if beyond is not None else None
            return Search(first=now, before=before, after=after, tried=tried)
        against.update(now.codes)
        before = now
    return Search(against=_by_frequency(against), tried=tried)


def _by_frequency(codes: Counter[str]) -> tuple[str, ...]:
    return tuple(code for code, _ in codes.most_common())


@dataclass(frozen=True, slots=True)
class LeastResult:
    """The first value that passes, or None. A plan need not pass beyond it: `neighbours` are the trials around it."""

    value: float | None
    neighbours: tuple[Tried, ...] = field(default=(), metadata={"internal": True})


def least(plan_input: PlanInput, what: LeastWhat) -> LeastResult:
    """Least value with which a plan passes; of a hinge's thickness the greatest. None where none does.

    The values of a grid are tried in turn and the first that passes is taken; a refusal counts as not passing.
    Range: attach height in 0.1 m from 1 m above the hinge to the sound wood, 2 to 8 parts of stage 1, 1 to 12
    people, anchor in whole metres to four heights, hinge in whole millimetres between too thin and too thick.
    Source: MODEL-01.
    """
    with suppress(Refused):  # nonsense in the plan itself is raised; a refusal is left to the trials
        plan(plan_input)
    found = search(grid(plan_input, what), lambda value: _try(value, with_value(plan_input, what, value)))
    return LeastResult(found.first.value if found.first is not None else None, found.neighbours)


def _try(value: float, variant: PlanInput) -> Tried:
    try:
        result = plan(variant)
    except Refused as refusal:
        return Tried(value, False, (refusal.code,))
    except OutOfRange:  # this value alone makes it so: a strap that would meet a thicker hinge
        return Tried(value, False)
    return Tried(value, result.passes, fails(result.codes))


def grid(plan_input: PlanInput, what: LeastWhat) -> Iterable[float]:
    """Values of a question [m, parts or people] in the order they are tried.

    Range: as least.
    Source: MODEL-01.
    """
    match what:
        case "attach_height":
            return _attach_heights(plan_input)
        case "parts":
            return range(MIN_PARTS, MAX_PARTS + 1)
        case "people":
            return range(1, int(MAX_CREW) + 1)
        case "anchor_distance":
            return range(1, math.floor(FURTHEST_ANCHOR_RATIO * total_height(plan_input.tree) + 1e-9) + 1)
        case "hinge_thickness":
            return _hinge_thicknesses(plan_input)


def with_value(plan_input: PlanInput, what: LeastWhat, value: float) -> PlanInput:
    """The plan with the figure of a question set to one value of its grid; of several stages the first is changed.

    Range: values of `grid`.
    Source: MODEL-01.
    """
    line = plan_input.line
    match what:
        case "attach_height":
            return replace(plan_input, line=replace(line, attach_height_m=value))
        case "parts":
            first, *others = plan_input.stages
            return replace(plan_input, stages=(replace(first, parts=int(value)), *others))
        case "people":
            return replace(plan_input, people=int(value))
        case "anchor_distance":
            return replace(plan_input, line=replace(line, anchor=replace(line.anchor, distance_m=float(value))))
        case "hinge_thickness":
            return replace(plan_input, hinge=replace(plan_input.hinge, thickness_m=value))


def _attach_heights(plan_input: PlanInput) -> Iterator[float]:
    tree, line = plan_input.tree, plan_input.line
    top_m = tree.sections[-1].height_m if tree.sections else 0.0
    if line.sound_wood_height_m is not None:
        top_m = min(top_m, line.sound_wood_height_m)
    first = math.ceil((tree.hinge_height_m + 1) * 10 - 1e-9)
    for tenth in range(first, math.floor(top_m * 10 + 1e-9) + 1):
        yield tenth / 10


def _hinge_thicknesses(plan_input: PlanInput) -> tuple[float, ...]:
    diameter = plan_input.hinge.stem_diameter_m
    if diameter is None:
        try:
            diameter = stem(plan_input.tree).hinge_diameter_under_bark_m
        except Refused:
            return ()
    return tuple(reversed(thickness_grid(diameter)))
