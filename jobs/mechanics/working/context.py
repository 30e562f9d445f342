"""What rows of working are about: a plan that was worked out, a stage of its tackle, a role of its load path."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from jobs.mechanics.bollard import BollardResult
from jobs.mechanics.crew import CrewResult
from jobs.mechanics.hinge import HingeResult, thickness_of
from jobs.mechanics.line import Line, LineResult
from jobs.mechanics.plan.input import PlanBollard, PlanInput, PlanTravel, PlanUncertainty
from jobs.mechanics.plan.result import GaugeBand, PlanResult, PlanWorking, RoleUtilisation, SideLineResult
from jobs.mechanics.pull import PullResult
from jobs.mechanics.ratings import Capacity, capacity
from jobs.mechanics.restraint import Restraint, RestraintResult
from jobs.mechanics.roles import find_role, role_title
from jobs.mechanics.situation import Situation
from jobs.mechanics.stem import StemResult
from jobs.mechanics.tackle import Stage, TackleResult, TackleStageResult
from jobs.mechanics.travel import TravelResult, TravelStageResult
from jobs.mechanics.uncertainty import UncertaintyResult
from jobs.mechanics.wind import WindResult, wind
from jobs.mechanics.window import WindowOptions, WindowResult
from jobs.mechanics.working.rows import NotAsked, asked

Entry = TypeVar("Entry")


def column(rows: Sequence[Entry] | None, value: Callable[[Entry], object]) -> tuple[object, ...]:
    """One figure of every entry of a list of results; raises NotAsked where there is none."""
    if not rows:
        raise NotAsked
    return tuple(value(row) for row in rows)


@dataclass(frozen=True, slots=True)
class Work:
    """A plan with everything it was worked out through. What the plan may be without raises NotAsked where it is."""

    result: PlanResult
    through: PlanWorking
    wind: WindResult

    @property
    def plan(self) -> PlanInput:
        return self.through.plan

    @property
    def state(self) -> Situation:
        return self.through.situation

    @property
    def stem(self) -> StemResult:
        return self.state.stem

    @property
    def hinge(self) -> HingeResult:
        return self.state.section

    @property
    def line(self) -> LineResult:
        return self.state.geometry

    @property
    def pull(self) -> PullResult:
        return self.through.pull

    @property
    def window(self) -> WindowResult:
        return self.through.window

    @property
    def options(self) -> WindowOptions:
        return self.plan.window

    @property
    def tackle(self) -> TackleResult:
        return self.through.tackle

    @property
    def crew(self) -> CrewResult:
        return self.through.crew

    @property
    def stages(self) -> tuple[Stage, ...]:
        return self.through.stages

    @property
    def diameter_m(self) -> float:
        return self.state.diameter_m

    @property
    def radius_m(self) -> float:
        return self.state.radius_m

    @property
    def thickness_m(self) -> float:
        return thickness_of(self.state.hinge, self.state.diameter_m)

    @property
    def wind_moment_n_m(self) -> float:
        return self.state.wind_moment_n_m

    @property
    def travel(self) -> TravelResult:
        return asked(self.result.travel)

    @property
    def travel_asked(self) -> PlanTravel:
        return asked(self.plan.travel)

    @property
    def bollard(self) -> BollardResult:
        return asked(self.result.bollard)

    @property
    def bollard_asked(self) -> PlanBollard:
        return asked(self.plan.bollard)

    @property
    def restraint(self) -> RestraintResult:
        return asked(self.result.restraint)

    @property
    def restraint_asked(self) -> Restraint:
        return asked(self.plan.restraint)

    @property
    def spread(self) -> UncertaintyResult:
        return asked(self.result.uncertainty)

    @property
    def spread_asked(self) -> PlanUncertainty:
        return asked(self.plan.uncertainty)

    @property
    def side(self) -> SideLineResult:
        return asked(self.result.side)

    @property
    def side_line(self) -> Line:
        return asked(self.plan.side_line)

    @property
    def gauge_band(self) -> GaugeBand:
        return asked(self.result.gauge_band_n)


def work_of(result: PlanResult) -> Work:
    """What the rows need of a result. Raises ValueError for one that did not come from `plan`: read back from JSON."""
    if result.working is None:
        raise ValueError("this result carries no working")
    state = result.working.situation
    return Work(result, result.working, wind(state.tree, state.wind))


@dataclass(frozen=True, slots=True)
class StageWork:
    """One stage of the tackle: as given, with its lengths filled in, and what it came to. `place` counts from 0."""

    work: Work
    place: int
    given: Stage
    filled: Stage
    figures: TackleStageResult

    @property
    def travel(self) -> TravelStageResult:
        return self.work.travel.stages[self.place]

    @property
    def ratios(self) -> tuple[float, ...]:
        """Sheave efficiencies as given: one for all sheaves, or one for each."""
        given = self.filled.sheave_efficiency
        return given if isinstance(given, tuple) else (given,)


def stages_of(work: Work) -> Iterator[StageWork]:
    """The stages of a plan's tackle, from the line to the hand."""
    given = zip(work.plan.stages, work.stages, work.tackle.stages, strict=True)
    for place, (as_given, filled, figures) in enumerate(given):
        yield StageWork(work, place, as_given, filled, figures)


@dataclass(frozen=True, slots=True)
class RoleWork:
    """One role with a rated item: what the item bears there and what is asked of it."""

    name: str
    title: str
    rated: Capacity
    used: RoleUtilisation


def roles_of(work: Work) -> Iterator[RoleWork]:
    """The roles with a rated item, in the order of the list of roles."""
    plan, result = work.plan, work.result
    for name in result.loads_n:
        used, item, role = result.utilisations.get(name), plan.items.get(name), find_role(name)
        if used is None or item is None or role is None:
            continue
        restrained = role.group == "restraint" and plan.restraint is not None and plan.restraint.slack_m > 0
        rated = capacity(item, shock_credible=plan.shock_credible or restrained)
        yield RoleWork(name, role_title(name), rated, used)
