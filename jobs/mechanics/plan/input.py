"""Everything a pull plan is made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from jobs.mechanics.checks import LARGEST, require_between, require_finite, require_not_negative, require_positive
from jobs.mechanics.defaults import (
    BEST_SHEAVE_EFFICIENCY_RATIO,
    BOLLARD_FRICTION_HIGH_COEFF,
    BOLLARD_FRICTION_LOW_COEFF,
    MIN_EFFICIENCY_RATIO,
    PEAK_FORCE_N,
    PLAN_SAMPLES,
    SEED,
    STEADY_FORCE_N,
    SUSTAINED_FORCE_N,
)
from jobs.mechanics.errors import OutOfRange
from jobs.mechanics.hinge import Hinge
from jobs.mechanics.line import Line
from jobs.mechanics.ratings import Item
from jobs.mechanics.restraint import Restraint
from jobs.mechanics.roles import ROLE_PATTERN, find_role
from jobs.mechanics.rotation import Margins
from jobs.mechanics.stem import Tree
from jobs.mechanics.tackle import Stage
from jobs.mechanics.travel import RopeStretch
from jobs.mechanics.uncertainty_inputs import Distribution, InputName
from jobs.mechanics.wind import Wind
from jobs.mechanics.window import WindowOptions

TensionGauge = Literal["none", "in_line", "on_hauling_part"]
BackupAnchor = Literal["own", "shared"]


def _is_role(name: str) -> bool:
    return find_role(name) is not None


_BY_ROLE = {"is_known_key": _is_role, "key_pattern": ROLE_PATTERN}


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a person stands, from the stump centre; exempt are the cutter and whom the lead names."""

    place: str
    distance_m: float
    azimuth_deg: float
    exempt: bool = False

    def __post_init__(self) -> None:
        require_not_negative("distance_m", self.distance_m)
        require_finite("azimuth_deg", self.azimuth_deg)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTravel:
    """The line's stretch and slack; its lengths fill in for stages that have none."""

    rope: RopeStretch
    slack_m: float = 0.0
    extended_length_m: float | None = None
    two_blocked_length_m: float | None = None
    setback_m: float | None = None

    def __post_init__(self) -> None:
        for name in ("slack_m", "extended_length_m", "two_blocked_length_m", "setback_m"):
            require_not_negative(name, getattr(self, name))


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanBollard:
    """How the bollard's tail is tended."""

    hand_force_n: float
    wraps: float | None = None
    friction_low: float = BOLLARD_FRICTION_LOW_COEFF
    friction_high: float = BOLLARD_FRICTION_HIGH_COEFF

    def __post_init__(self) -> None:
        require_positive("hand_force_n", self.hand_force_n)
        require_positive("wraps", self.wraps)
        require_positive("friction_low", self.friction_low)
        require_between("friction_high", self.friction_high, self.friction_low, LARGEST)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanUncertainty:
    """How the spread of the inputs is sampled."""

    samples: int = int(PLAN_SAMPLES)
    seed: int = int(SEED)
    distributions: Mapping[InputName, Distribution] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanInput:
    """A pull plan. `people` are haulers on the tail, not the crew; items and reasons are keyed by role."""

    tree: Tree
    hinge: Hinge
    line: Line
    wind: Wind
    margins: Margins = field(default_factory=Margins)
    window: WindowOptions = field(default_factory=WindowOptions)
    stages: tuple[Stage, ...]
    people: int
    sustained_force_n: float = SUSTAINED_FORCE_N
    peak_force_n: float = PEAK_FORCE_N
    best_sheave_efficiency: float = BEST_SHEAVE_EFFICIENCY_RATIO
    steady_force_n: float = STEADY_FORCE_N
    hitch_spread_deg: float = 0.0
    items: Mapping[str, Item] = field(default_factory=dict, metadata=_BY_ROLE)
    not_used: Mapping[str, str] = field(default_factory=dict, metadata=_BY_ROLE)
    tension_gauge: TensionGauge = "none"
    backup_anchor: BackupAnchor = "shared"
    wedge_planned: bool = False
    proof_pull_planned: bool = False
    side_target: bool = False
    shock_credible: bool = False
    side_line: Line | None = None
    places: tuple[Place, ...] = ()
    ground_fall_deg: float = 0.0
    uncertainty: PlanUncertainty | None = None
    travel: PlanTravel | None = None
    bollard: PlanBollard | None = None
    restraint: Restraint | None = None

    def __post_init__(self) -> None:
        if not self.stages:
            raise OutOfRange("stages", 0, 1, "any number")
        require_between("people", self.people, 1, 1_000_000)
        require_positive("sustained_force_n", self.sustained_force_n)
        require_positive("peak_force_n", self.peak_force_n)
        require_positive("steady_force_n", self.steady_force_n)
        require_between("best_sheave_efficiency", self.best_sheave_efficiency, MIN_EFFICIENCY_RATIO, 1.0)
        require_between("hitch_spread_deg", self.hitch_spread_deg, 0.0, 180.0)
        require_not_negative("ground_fall_deg", self.ground_fall_deg)


def filled_stages(plan_input: PlanInput) -> tuple[Stage, ...]:
    """The stages, with the travel's lengths where a stage has none of its own.

    Range: any plan.
    Source: MODEL-01
    """
    filler = plan_input.travel
    if filler is None:
        return plan_input.stages
    return tuple(
        replace(
            stage,
            extended_length_m=_first(stage.extended_length_m, filler.extended_length_m),
            two_blocked_length_m=_first(stage.two_blocked_length_m, filler.two_blocked_length_m),
            setback_m=_first(stage.setback_m, filler.setback_m),
        )
        for stage in plan_input.stages
    )


def _first(own: float | None, filler: float | None) -> float | None:
    return filler if own is None else own
