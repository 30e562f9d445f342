"""The topics a request can name: the class of its inputs, the class of its results, the function between them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from jobs.mechanics import defaults
from jobs.mechanics.bollard import BollardResult, bollard
from jobs.mechanics.crew import CrewResult, crew
from jobs.mechanics.hinge import Hinge, HingeResult, hinge
from jobs.mechanics.inverse import LeastResult, LeastWhat, least
from jobs.mechanics.line import Line, LineResult, line
from jobs.mechanics.measured import MeasuredResult, measured_efficiency
from jobs.mechanics.plan import plan
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.plan.result import PlanResult
from jobs.mechanics.pull import Margins, PullResult, pull
from jobs.mechanics.ratings import LoadedItem, UtilisationsResult, utilisations
from jobs.mechanics.restraint import Restraint, RestraintResult, restraint
from jobs.mechanics.resultants import ResultantItem, ResultantsResult, resultants
from jobs.mechanics.stem import StemResult, Tree, stem
from jobs.mechanics.tackle import Rove, Stage, TackleResult, tackle
from jobs.mechanics.travel import RopeStretch, TravelResult, travel
from jobs.mechanics.uncertainty import UncertaintyResult, uncertainty
from jobs.mechanics.uncertainty_inputs import Distribution, InputName
from jobs.mechanics.wind import Wind, WindResult, wind
from jobs.mechanics.window import WindowOptions, WindowResult, window


@dataclass(frozen=True, slots=True, kw_only=True)
class WindRequest:
    """Inputs of topic wind."""

    tree: Tree
    wind: Wind


@dataclass(frozen=True, slots=True, kw_only=True)
class LineRequest:
    """Inputs of topic line."""

    tree: Tree
    line: Line
    hinge: Hinge


@dataclass(frozen=True, slots=True, kw_only=True)
class PullRequest:
    """Inputs of topic pull."""

    tree: Tree
    hinge: Hinge
    line: Line
    wind: Wind
    margins: Margins = field(default_factory=Margins)
    table_angles_deg: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowRequest:
    """Inputs of topic window."""

    tree: Tree
    hinge: Hinge
    line: Line
    wind: Wind
    options: WindowOptions = field(default_factory=WindowOptions)


@dataclass(frozen=True, slots=True, kw_only=True)
class TackleRequest:
    """Inputs of topic tackle; it takes those of topic crew, so that one object serves both, and leaves the crew's."""

    stages: tuple[Stage, ...]
    load_n: float
    people: int = 1
    sustained_force_n: float = defaults.SUSTAINED_FORCE_N
    peak_force_n: float = defaults.PEAK_FORCE_N
    best_sheave_efficiency: float = defaults.BEST_SHEAVE_EFFICIENCY_RATIO


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewRequest:
    """Inputs of topic crew."""

    stages: tuple[Stage, ...]
    load_n: float
    people: int
    sustained_force_n: float = defaults.SUSTAINED_FORCE_N
    peak_force_n: float = defaults.PEAK_FORCE_N
    best_sheave_efficiency: float = defaults.BEST_SHEAVE_EFFICIENCY_RATIO


@dataclass(frozen=True, slots=True, kw_only=True)
class TravelRequest:
    """Inputs of topic travel."""

    line_length_m: float
    tension_n: float
    rope: RopeStretch
    slack_m: float = 0.0
    tip_travel_m: float
    stages: tuple[Stage, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BollardRequest:
    """Inputs of topic bollard."""

    tension_n: float
    hand_force_n: float
    friction_low: float = defaults.BOLLARD_FRICTION_LOW_COEFF
    friction_high: float = defaults.BOLLARD_FRICTION_HIGH_COEFF
    wraps: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UtilisationsRequest:
    """Inputs of topic utilisations."""

    items: tuple[LoadedItem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultantsRequest:
    """Inputs of topic resultants."""

    items: tuple[ResultantItem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UncertaintyRequest:
    """Inputs of topic uncertainty."""

    tree: Tree
    hinge: Hinge
    line: Line
    wind: Wind
    stages: tuple[Stage, ...]
    distributions: Mapping[InputName, Distribution] = field(default_factory=dict)
    samples: int = int(defaults.SAMPLES)
    seed: int = int(defaults.SEED)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredRequest:
    """Inputs of topic measured_efficiency; each reading is hand force and line tension."""

    parts: int
    rove: Rove
    readings_n: tuple[tuple[float, float], ...]
    confidence: float = defaults.CONFIDENCE


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastRequest:
    """Inputs of topic least."""

    plan: PlanInput
    what: LeastWhat


@dataclass(frozen=True, slots=True)
class Topic:
    """One topic: `run` takes an object of `inputs` and returns one of `result`."""

    inputs: type
    result: type
    run: Callable[[Any], object]


def _wind(request: WindRequest) -> WindResult:
    return wind(request.tree, request.wind)


def _line(request: LineRequest) -> LineResult:
    return line(request.tree, request.line, request.hinge)


def _pull(request: PullRequest) -> PullResult:
    return pull(
        request.tree,
        request.hinge,
        request.line,
        request.wind,
        margins=request.margins,
        table_angles_deg=request.table_angles_deg,
    )


def _window(request: WindowRequest) -> WindowResult:
    return window(request.tree, request.hinge, request.line, request.wind, request.options)


def _tackle(request: TackleRequest) -> TackleResult:
    return tackle(request.stages, request.load_n)


def _crew(request: CrewRequest) -> CrewResult:
    return crew(
        request.stages,
        request.load_n,
        request.people,
        sustained_force_n=request.sustained_force_n,
        peak_force_n=request.peak_force_n,
        best_efficiency_ratio=request.best_sheave_efficiency,
    )


def _travel(request: TravelRequest) -> TravelResult:
    return travel(
        request.line_length_m,
        request.tension_n,
        request.rope,
        tip_travel_m=request.tip_travel_m,
        stages=request.stages,
        slack_m=request.slack_m,
    )


def _bollard(request: BollardRequest) -> BollardResult:
    return bollard(
        request.tension_n,
        request.hand_force_n,
        friction_low_coeff=request.friction_low,
        friction_high_coeff=request.friction_high,
        wrap_turns=request.wraps,
    )


def _utilisations(request: UtilisationsRequest) -> UtilisationsResult:
    return utilisations(request.items)


def _resultants(request: ResultantsRequest) -> ResultantsResult:
    return resultants(request.items)


def _uncertainty(request: UncertaintyRequest) -> UncertaintyResult:
    return uncertainty(
        request.tree,
        request.hinge,
        request.line,
        request.wind,
        stages=request.stages,
        distributions=request.distributions,
        samples=request.samples,
        seed=request.seed,
    )


def _measured(request: MeasuredRequest) -> MeasuredResult:
    return measured_efficiency(request.parts, request.rove, request.readings_n, confidence_ratio=request.confidence)


def _least(request: LeastRequest) -> LeastResult:
    return least(request.plan, request.what)


TOPICS: dict[str, Topic] = {
    "stem": Topic(Tree, StemResult, stem),
    "hinge": Topic(Hinge, HingeResult, hinge),
    "wind": Topic(WindRequest, WindResult, _wind),
    "line": Topic(LineRequest, LineResult, _line),
    "pull": Topic(PullRequest, PullResult, _pull),
    "window": Topic(WindowRequest, WindowResult, _window),
    "tackle": Topic(TackleRequest, TackleResult, _tackle),
    "travel": Topic(TravelRequest, TravelResult, _travel),
    "crew": Topic(CrewRequest, CrewResult, _crew),
    "bollard": Topic(BollardRequest, BollardResult, _bollard),
    "utilisations": Topic(UtilisationsRequest, UtilisationsResult, _utilisations),
    "resultants": Topic(ResultantsRequest, ResultantsResult, _resultants),
    "restraint": Topic(Restraint, RestraintResult, restraint),
    "uncertainty": Topic(UncertaintyRequest, UncertaintyResult, _uncertainty),
    "measured_efficiency": Topic(MeasuredRequest, MeasuredResult, _measured),
    "plan": Topic(PlanInput, PlanResult, plan),
    "least": Topic(LeastRequest, LeastResult, _least),
}
