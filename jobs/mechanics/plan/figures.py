"""The figures of a plan, in the order in which a refusal stops it; what they mean is judged elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from jobs.mechanics.bollard import BollardResult, bollard
from jobs.mechanics.checks import exceeds
from jobs.mechanics.crew import CrewResult, crew, kept_up_force
from jobs.mechanics.limits import GAUGE_EFFICIENCY_LOSS_RATIO
from jobs.mechanics.line import Route
from jobs.mechanics.plan.crew import crew_tension, thickest_hinge, thickness_grid
from jobs.mechanics.plan.input import PlanInput, filled_stages
from jobs.mechanics.plan.result import GaugeBand, SideLineResult
from jobs.mechanics.plan.side import side_line, side_route
from jobs.mechanics.plan.stem import stem_bending_tension, uncut_stem_tension
from jobs.mechanics.pull import PullResult, Scan, pull_of, scan_of
from jobs.mechanics.restraint import RestraintResult, restraint
from jobs.mechanics.situation import Situation, situation
from jobs.mechanics.tackle import Stage, TackleResult, lowest_advantage, tackle
from jobs.mechanics.travel import TravelResult, travel
from jobs.mechanics.uncertainty import UncertaintyResult, uncertainty_of
from jobs.mechanics.window import WindowResult, full_window_of

GaugePlace = Literal["in_line", "on_hauling_part"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFigures:
    """Results of every topic a plan touches, and the tensions that follow from them. Tensions are at the stem unless
    named otherwise; `kept_up_n` is what the haulers keep up on the tail."""

    plan: PlanInput
    stages: tuple[Stage, ...]
    scan: Scan
    pull: PullResult
    window: WindowResult
    uncertainty: UncertaintyResult | None
    stem_tension_n: float
    tackle_tension_n: float
    tackle: TackleResult
    crew: CrewResult
    plain_crew_tension_n: float
    crew_tension_n: float
    kept_up_n: float
    steady_tension_n: float
    stem_bending_limit_n: float
    stem_snapping_tension_n: float
    proof_limit_n: float
    side_route: Route | None
    side: SideLineResult | None
    restraint: RestraintResult | None
    travel: TravelResult | None
    bollard: BollardResult | None

    @property
    def situation(self) -> Situation:
        """Stem, hinge, line and gust."""
        return self.scan.situation

    @property
    def line_efficiency(self) -> float:
        """Tension at the stem over tension at the tackle while hauling."""
        return self.situation.geometry.line_efficiency

    @property
    def crew_hauling_force_n(self) -> float:
        """The crew's task on the tail."""
        return self.crew_tension_n / (self.line_efficiency * self.tackle.hauling_advantage)

    @property
    def overhaul_at_stem_n(self) -> float:
        """What the crew at full strength puts on the stem."""
        return self.crew.overhaul_tension_n * self.line_efficiency

    @property
    def proof_tension_limit_n(self) -> float:
        """Greatest proof pull at the tackle."""
        return self.proof_limit_n / self.line_efficiency


def plan_figures(plan_input: PlanInput) -> PlanFigures:
    """Work out every figure of a plan; the first refusal met is raised.

    Order: pull (stem, attachment, hinge, line, wind), window, crew's task, uncertainty, crew and tackle, side line,
    restraint, travel, bollard.
    T_stem = max(T_req_max, T_lo, T_p95), T_tackle = T_stem / eta_line
    Range: as the topics.
    Source: MODEL-01, PANEL-01
    """
    stages = filled_stages(plan_input)
    scan = scan_of(situation(plan_input.tree, plan_input.hinge, plan_input.line, plan_input.wind))
    state = scan.situation
    pulled = pull_of(scan, plan_input.margins)
    window = full_window_of(state, plan_input.window)
    plain_n = crew_tension(scan, window.lowest_tension_n)
    spread = _spread(plan_input, state, stages)
    stem_n = max(pulled.required_tension_n, window.lowest_tension_n, spread.required_tension_p95_n if spread else 0.0)
    tackle_n = stem_n / state.geometry.line_efficiency
    crewed = _crew(plan_input, stages, tackle_n)
    rigged = tackle(stages, tackle_n)
    route = None if plan_input.side_line is None else side_route(state, plan_input.side_line)
    side = None if route is None else side_line(state, route, stem_n)
    held = None if plan_input.restraint is None else restraint(plan_input.restraint)
    taken_in = _travel(plan_input, stages, state, tension_n=tackle_n, tip_travel_m=pulled.tip_travel_m)
    bending_n, snapping_n, proof_n = _stem_limits(state, plan_input.window.bending_fraction)
    return PlanFigures(
        plan=plan_input,
        stages=stages,
        scan=scan,
        pull=pulled,
        window=window,
        uncertainty=spread,
        stem_tension_n=stem_n,
        tackle_tension_n=tackle_n,
        tackle=rigged,
        crew=crewed,
        plain_crew_tension_n=plain_n,
        crew_tension_n=max(plain_n, spread.crew_tension_p95_n if spread else 0.0),
        kept_up_n=kept_up_force(plan_input.people, plan_input.sustained_force_n),
        steady_tension_n=plan_input.steady_force_n * crewed.best_advantage * state.geometry.line_efficiency,
        stem_bending_limit_n=bending_n,
        stem_snapping_tension_n=snapping_n,
        proof_limit_n=proof_n,
        side_route=route,
        side=side,
        restraint=held,
        travel=taken_in,
        bollard=_bollard(plan_input, tackle_n),
    )


def _stem_limits(state: Situation, bending_ratio: float) -> tuple[float, float, float]:
    """Tensions at the stem that bend it to its limit, that snap it, and that the uncut stem bears in a proof pull."""
    low_pa = state.section.rupture_modulus_low_pa
    bending_n = stem_bending_tension(state, bending_ratio * low_pa)
    return (
        bending_n,
        stem_bending_tension(state, low_pa),
        min(bending_n, uncut_stem_tension(state, bending_ratio * low_pa)),
    )


def _spread(plan_input: PlanInput, state: Situation, stages: Sequence[Stage]) -> UncertaintyResult | None:
    asked = plan_input.uncertainty
    if asked is None:
        return None
    return uncertainty_of(state, stages, distributions=asked.distributions, samples=asked.samples, seed=asked.seed)


def _crew(plan_input: PlanInput, stages: Sequence[Stage], tackle_tension_n: float) -> CrewResult:
    return crew(
        stages,
        tackle_tension_n,
        plan_input.people,
        sustained_force_n=plan_input.sustained_force_n,
        peak_force_n=plan_input.peak_force_n,
        best_efficiency_ratio=plan_input.best_sheave_efficiency,
    )


def _travel(
    plan_input: PlanInput, stages: Sequence[Stage], state: Situation, *, tension_n: float, tip_travel_m: float
) -> TravelResult | None:
    asked = plan_input.travel
    if asked is None:
        return None
    return travel(
        state.geometry.total_length_m,
        tension_n,
        asked.rope,
        tip_travel_m=tip_travel_m,
        stages=stages,
        slack_m=asked.slack_m,
    )


def _bollard(plan_input: PlanInput, tension_n: float) -> BollardResult | None:
    asked = plan_input.bollard
    if asked is None:
        return None
    return bollard(
        tension_n,
        asked.hand_force_n,
        friction_low_coeff=asked.friction_low,
        friction_high_coeff=asked.friction_high,
        wrap_turns=asked.wraps,
    )


def thickest_hinge_of(figures: PlanFigures) -> float | None:
    """Greatest hinge the haulers can pull over [m], or None: the cure for too few people that a saw can give.

    Range: the grid of whole millimetres between too thin and too thick.
    Source: PANEL-01.
    """
    plain_n, crew_n = figures.plain_crew_tension_n, figures.crew_tension_n
    limit_n = figures.kept_up_n * figures.line_efficiency * figures.tackle.hauling_advantage
    # With no tension needed at the plan's own thickness there is nothing to scale: the spread's figure stands for all.
    min_n = crew_n if plain_n <= 0.0 else 0.0
    if plain_n > 0.0:
        limit_n *= plain_n / crew_n
    if exceeds(max(min_n, figures.window.pinch_tension_n), limit_n):
        return None
    grid = thickness_grid(figures.situation.diameter_m)
    return thickest_hinge(figures.situation, figures.plan.window, grid, tension_limit_n=limit_n)


def gauge_band(figures: PlanFigures) -> GaugeBand | None:
    """What the gauge may show in its own place [N]; None without a gauge.

    Range: lowest above highest where this gauge cannot show the window.
    Source: PANEL-01.
    """
    place = figures.plan.tension_gauge
    return None if place == "none" else band_read(figures, place)


def band_read(figures: PlanFigures, place: GaugePlace) -> GaugeBand:
    """What a gauge there may show [N], without credit for friction either way.

    in the line T_lo / eta_line to T_hi eta_line; on the hauling part over MA_lo and over MA_hi
    Range: lowest above highest where a gauge there cannot show the window.
    Source: PANEL-01.
    """
    low = figures.window.lowest_tension_n / figures.line_efficiency
    high = figures.window.highest_tension_n * figures.line_efficiency
    if place == "on_hauling_part":
        low /= lowest_advantage(figures.stages, GAUGE_EFFICIENCY_LOSS_RATIO)
        high /= figures.crew.best_advantage
    return GaugeBand(lowest=low, highest=high)
