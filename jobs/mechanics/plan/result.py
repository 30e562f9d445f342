"""What a pull plan comes to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from jobs.mechanics.bollard import BollardResult
from jobs.mechanics.crew import CrewResult
from jobs.mechanics.findings.collected import Finding
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.pull import PullResult
from jobs.mechanics.restraint import RestraintResult
from jobs.mechanics.roles import ROLE_PATTERN
from jobs.mechanics.situation import Situation
from jobs.mechanics.tackle import Stage, TackleResult
from jobs.mechanics.travel import TravelResult
from jobs.mechanics.uncertainty import UncertaintyResult
from jobs.mechanics.window import WindowResult

OMIT = {"omit_none": True}
INTERNAL = {"internal": True}


@dataclass(frozen=True, slots=True, kw_only=True)
class RoleUtilisation:
    """Load against capacity in one role; overhaul is with the crew at full strength, None off the pull."""

    load_n: float
    capacity_n: float
    utilisation_ratio: float
    overhaul_utilisation_ratio: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeBand:
    """What the gauge may show, in its own place."""

    lowest: float
    highest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SideLineResult:
    """The side line; tensions are None where it does not work."""

    side_moment_n_m: float
    side_arm_m: float
    forward_arm_m: float
    side_line_efficiency: float
    side_tension_n: float | None
    side_bollard_tension_n: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanWorking:
    """What the plan was worked out from and through: for pages, drawings and the annex, not for the exchange.

    The bands are what a cell in the line and one on the hauling part may show before the cut, whatever is planned.
    """

    plan: PlanInput
    stages: tuple[Stage, ...]
    situation: Situation
    pull: PullResult
    window: WindowResult
    tackle: TackleResult
    crew: CrewResult
    kept_up_n: float
    plain_crew_tension_n: float
    line_band_n: GaugeBand
    hand_band_n: GaugeBand


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanResult:
    """All figures of a plan with every fail and caution. Tensions at the stem unless named otherwise.

    `findings` are the codes with their figures, gravest first.
    """

    required_tension_n: float
    lowest_tension_n: float
    highest_tension_n: float
    stem_tension_n: float
    tackle_tension_n: float
    hauling_force_n: float
    crew_tension_n: float
    crew_hauling_force_n: float
    people_needed: int | None
    people_ample: int | None
    thickest_hinge_m: float | None
    overhaul_tension_n: float
    steady_tension_n: float
    proof_tension_n: float
    proof_tension_limit_n: float
    stem_bending_limit_n: float
    stem_snapping_tension_n: float
    hold_critical: bool
    back_lean_deg: float
    side_lean_deg: float
    forward_lean_deg: float
    side_utilisation_ratio: float
    balance_angle_deg: float
    balance_travel_m: float
    self_falling_angle_deg: float | None
    tip_travel_m: float
    never_falls_by_itself: bool
    full_pull_only_after_hinge: bool
    over_pre_tension_possible: bool
    shock_credible: bool
    hitch_tender_distance_m: float | None
    loads_n: Mapping[str, float] = field(metadata={"key_pattern": ROLE_PATTERN})
    utilisations: Mapping[str, RoleUtilisation] = field(metadata={"key_pattern": ROLE_PATTERN})
    people_max_by_role: Mapping[str, int] = field(metadata={"key_pattern": f"^stem$|{ROLE_PATTERN}"})
    weakest_role: str | None
    codes: tuple[str, ...]
    passes: bool
    gauge_band_n: GaugeBand | None = field(default=None, metadata=OMIT)
    side: SideLineResult | None = field(default=None, metadata=OMIT)
    uncertainty: UncertaintyResult | None = field(default=None, metadata=OMIT)
    travel: TravelResult | None = field(default=None, metadata=OMIT)
    bollard: BollardResult | None = field(default=None, metadata=OMIT)
    restraint: RestraintResult | None = field(default=None, metadata=OMIT)
    findings: tuple[Finding, ...] = field(default=(), metadata=INTERNAL)
    working: PlanWorking | None = field(default=None, metadata=INTERNAL)

    def finding(self, code: str) -> Finding | None:
        """The finding with this whole code, or None."""
        return next((finding for finding in self.findings if finding.code == code), None)
