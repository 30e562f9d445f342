"""Questions asked backwards: the least of one figure with which a plan passes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from typing import Literal

from jobs.mechanics.defaults import GREATEST_CREW
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.limits import FURTHEST_ANCHOR_RATIO
from jobs.mechanics.plan import plan
from jobs.mechanics.plan.crew import thickness_grid
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.stem import stem, total_height
from jobs.mechanics.tackle import LEAST_PARTS, MOST_PARTS

LeastWhat = Literal["attach_height", "parts", "people", "anchor_distance", "hinge_thickness"]


@dataclass(frozen=True, slots=True)
class Trial:
    """One value tried: whether the plan passes with it, and its codes (a refusal is its one code)."""

    value: float
    passes: bool
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LeastResult:
    """The first value that passes, or None. A plan need not pass beyond it: `neighbours` are the trials around it."""

    value: float | None
    neighbours: tuple[Trial, ...] = field(default=(), metadata={"internal": True})


def least(plan_input: PlanInput, what: LeastWhat) -> LeastResult:
    """Least value with which a plan passes; of a hinge's thickness the greatest. None where none does.

    The values of a grid are tried in turn and the first that passes is taken; a refusal counts as not passing.
    Range: attach height in 0.1 m from 1 m above the hinge to the sound wood, 2 to 8 parts of stage 1, 1 to 12
    people, anchor in whole metres to four heights, hinge in whole millimetres between too thin and too thick.
    Source: MODEL-01.
    """
    _refuse_nonsense(plan_input)
    before: Trial | None = None
    trials = variants(plan_input, what)
    for value, variant in trials:
        trial = _try(value, variant)
        if trial.passes:
            after = next(trials, None)
            beyond = None if after is None else _try(*after)
            return LeastResult(value, tuple(one for one in (before, trial, beyond) if one is not None))
        before = trial
    return LeastResult(None)


def _refuse_nonsense(plan_input: PlanInput) -> None:
    """Raise OutOfRange where the plan itself is nonsense or incomplete; a refusal is left to the trials."""
    with suppress(Refused):
        plan(plan_input)


def _try(value: float, variant: PlanInput) -> Trial:
    try:
        result = plan(variant)
    except Refused as refusal:
        return Trial(value, False, (refusal.code,))
    except OutOfRange:  # this value alone makes it so: a strap that would meet a thicker hinge
        return Trial(value, False, ())
    return Trial(value, result.passes, result.codes)


def variants(plan_input: PlanInput, what: LeastWhat) -> Iterator[tuple[float, PlanInput]]:
    """Values of a question's grid [m, parts or people] in the order they are tried, each with the plan it makes.

    Range: as least.
    Source: MODEL-01.
    """
    match what:
        case "attach_height":
            return _attach_heights(plan_input)
        case "parts":
            return _parts(plan_input)
        case "people":
            return ((n, replace(plan_input, people=n)) for n in range(1, int(GREATEST_CREW) + 1))
        case "anchor_distance":
            return _anchor_distances(plan_input)
        case "hinge_thickness":
            return _hinge_thicknesses(plan_input)


def _attach_heights(plan_input: PlanInput) -> Iterator[tuple[float, PlanInput]]:
    tree, line = plan_input.tree, plan_input.line
    top_m = tree.sections[-1].height_m if tree.sections else 0.0
    if line.sound_wood_height_m is not None:
        top_m = min(top_m, line.sound_wood_height_m)
    first = math.ceil((tree.hinge_height_m + 1) * 10 - 1e-9)
    for tenth in range(first, math.floor(top_m * 10 + 1e-9) + 1):
        yield tenth / 10, replace(plan_input, line=replace(line, attach_height_m=tenth / 10))


def _parts(plan_input: PlanInput) -> Iterator[tuple[float, PlanInput]]:
    first, *others = plan_input.stages
    for parts in range(LEAST_PARTS, MOST_PARTS + 1):
        yield parts, replace(plan_input, stages=(replace(first, parts=parts), *others))


def _anchor_distances(plan_input: PlanInput) -> Iterator[tuple[float, PlanInput]]:
    line = plan_input.line
    furthest = math.floor(FURTHEST_ANCHOR_RATIO * total_height(plan_input.tree) + 1e-9)
    for metres in range(1, furthest + 1):
        anchor = replace(line.anchor, distance_m=float(metres))
        yield metres, replace(plan_input, line=replace(line, anchor=anchor))


def _hinge_thicknesses(plan_input: PlanInput) -> Iterator[tuple[float, PlanInput]]:
    diameter = plan_input.hinge.stem_diameter_m
    if diameter is None:
        try:
            diameter = stem(plan_input.tree).hinge_diameter_under_bark_m
        except Refused:
            return
    for thickness in reversed(thickness_grid(diameter)):
        yield thickness, replace(plan_input, hinge=replace(plan_input.hinge, thickness_m=thickness))
