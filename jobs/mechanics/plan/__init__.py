"""A whole pull plan: figures, load path, and every fail and caution at once."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from jobs.mechanics.checks import COMPARISON_SLACK, exceeds
from jobs.mechanics.crew import people_for
from jobs.mechanics.findings.collected import Findings
from jobs.mechanics.plan.checks import check_hinge, check_hold, check_leans, check_line, check_wind, check_window
from jobs.mechanics.plan.figures import PlanFigures, band_read, gauge_band, plan_figures, thickest_hinge_of
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.plan.loads import PathForces, role_loads, shared_anchor_loads
from jobs.mechanics.plan.path import PathResult, check_path
from jobs.mechanics.plan.places import check_places
from jobs.mechanics.plan.pull_checks import check_people, check_pre_tension, check_restraint, check_stem, check_travel
from jobs.mechanics.plan.result import GaugeBand, PlanResult, PlanWorking
from jobs.mechanics.stem import total_height
from jobs.mechanics.tackle import tackle


def plan(plan_input: PlanInput) -> PlanResult:
    """Figures of a pull plan with every fail and caution found in it, each once.

    Range: quasi-static pull of a sound, green stem standing free, by people on a tackle. An estimate for a competent
    person to judge. Refuses as its topics do, the first met in this order: pull (stem, attachment, hinge, line, wind),
    window, crew's task, uncertainty, crew and tackle, side line, restraint, travel, bollard, hitch spread.
    Source: MODEL-01, PANEL-01.
    """
    figures = plan_figures(plan_input)
    forces = _path_forces(figures)
    loads = role_loads(forces)
    findings = Findings()
    band = gauge_band(figures)
    _check_felling(findings, figures)
    tender_m = check_places(
        findings,
        plan_input.places,
        plan_input.line,
        height_m=total_height(plan_input.tree),
        extended_length_m=figures.stages[0].extended_length_m,
        has_side_line=plan_input.side_line is not None,
    )
    check_people(findings, figures)
    check_pre_tension(findings, figures, band)
    check_stem(findings, figures)
    check_restraint(findings, figures)
    check_travel(findings, figures)
    path = _check_path(findings, figures, forces, loads)
    return _result(figures, findings, _Extras(loads=loads, path=path, band=band, tender_m=tender_m))


def _check_felling(findings: Findings, figures: PlanFigures) -> None:
    state = figures.situation
    check_hinge(findings, state)
    check_wind(findings, state)
    check_line(findings, state)
    check_leans(findings, figures.plan, pull=figures.pull, window=figures.window, side=figures.side)
    check_hold(findings, figures.plan, state, figures.pull)
    check_window(findings, figures.window)


def _path_forces(figures: PlanFigures) -> PathForces:
    return PathForces(
        stem_tension_n=figures.stem_tension_n,
        tackle_tension_n=figures.tackle_tension_n,
        hitch_spread_deg=figures.plan.hitch_spread_deg,
        tackle=figures.tackle,
        tension_gauge=figures.plan.tension_gauge,
        redirect_load_ratios=figures.situation.geometry.redirect_load_ratios,
        side=figures.side,
        side_redirect_load_ratios=figures.side_route.load_ratios if figures.side_route is not None else (),
        restraint_peak_n=figures.restraint.peak_tension_n if figures.restraint is not None else None,
    )


def _summed(figures: PlanFigures, forces: PathForces, loads: dict[str, float]) -> dict[str, float]:
    """Loads with anchors of one name taken together."""
    side_n = forces.side.side_tension_n if forces.side is not None else None
    return loads | shared_anchor_loads(
        figures.plan,
        loads,
        pull_route=figures.situation.route,
        side_route=figures.side_route,
        stem_tension_n=forces.stem_tension_n,
        side_tension_n=side_n,
    )


def _check_path(findings: Findings, figures: PlanFigures, forces: PathForces, loads: dict[str, float]) -> PathResult:
    summed = _summed(figures, forces, loads)
    if figures.tackle_tension_n > 0.0:
        unit = {name: load / figures.tackle_tension_n for name, load in summed.items()}
    else:
        # Nothing needs pulling, but the crew can still haul: take the loads of one newton at the tackle.
        one = replace(
            forces,
            stem_tension_n=figures.line_efficiency,
            tackle_tension_n=1.0,
            tackle=tackle(figures.stages, 1.0),
            side=None,
            restraint_peak_n=None,
        )
        unit = summed | _summed(figures, one, role_loads(one))
    return check_path(
        findings,
        figures.plan,
        summed,
        unit_loads_n=unit,
        overhaul_n=figures.crew.overhaul_tension_n,
        person_n=figures.plan.peak_force_n * figures.crew.best_advantage,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Extras:
    loads: dict[str, float]
    path: PathResult
    band: GaugeBand | None
    tender_m: float | None


def _result(figures: PlanFigures, findings: Findings, extras: _Extras) -> PlanResult:
    pulled, window, asked = figures.pull, figures.window, figures.plan
    path = extras.path
    person_at_stem_n = figures.line_efficiency * asked.peak_force_n * figures.crew.best_advantage
    stem_people = math.floor(figures.stem_snapping_tension_n / person_at_stem_n + COMPARISON_SLACK)
    slack = asked.restraint is not None and asked.restraint.slack_m > 0.0
    return PlanResult(
        required_tension_n=pulled.required_tension_n,
        lowest_tension_n=window.lowest_tension_n,
        highest_tension_n=window.highest_tension_n,
        stem_tension_n=figures.stem_tension_n,
        tackle_tension_n=figures.tackle_tension_n,
        hauling_force_n=figures.tackle.hauling_force_n,
        crew_tension_n=figures.crew_tension_n,
        crew_hauling_force_n=figures.crew_hauling_force_n,
        people_needed=people_for(figures.crew_hauling_force_n, asked.sustained_force_n),
        people_ample=people_for(figures.tackle.hauling_force_n, asked.sustained_force_n),
        thickest_hinge_m=thickest_hinge_of(figures),
        overhaul_tension_n=figures.crew.overhaul_tension_n,
        steady_tension_n=figures.steady_tension_n,
        proof_tension_n=figures.tackle_tension_n,
        proof_tension_limit_n=figures.proof_tension_limit_n,
        stem_bending_limit_n=figures.stem_bending_limit_n,
        stem_snapping_tension_n=figures.stem_snapping_tension_n,
        hold_critical=pulled.hold_critical,
        back_lean_deg=pulled.balance_angle_deg,
        side_lean_deg=pulled.side_lean_deg,
        forward_lean_deg=window.forward_lean_deg,
        side_utilisation_ratio=pulled.side_utilisation_ratio,
        balance_angle_deg=pulled.balance_angle_deg,
        balance_travel_m=pulled.balance_travel_m,
        self_falling_angle_deg=pulled.self_falling_angle_deg,
        tip_travel_m=pulled.tip_travel_m,
        never_falls_by_itself=pulled.never_falls_by_itself,
        full_pull_only_after_hinge=exceeds(figures.stem_tension_n, window.highest_tension_n),
        over_pre_tension_possible=exceeds(figures.overhaul_at_stem_n, window.highest_tension_n),
        shock_credible=asked.shock_credible or slack,
        hitch_tender_distance_m=extras.tender_m,
        loads_n=extras.loads,
        utilisations=path.utilisations,
        people_max_by_role={**path.people_max_by_role, "stem": stem_people},
        weakest_role=path.weakest_role,
        codes=findings.codes,
        passes=not findings.has_fail,
        gauge_band_n=extras.band,
        side=figures.side,
        uncertainty=figures.uncertainty,
        travel=figures.travel,
        bollard=figures.bollard,
        restraint=figures.restraint,
        findings=findings.gravest_first(),
        working=PlanWorking(
            plan=asked,
            stages=figures.stages,
            situation=figures.situation,
            pull=pulled,
            window=window,
            tackle=figures.tackle,
            crew=figures.crew,
            kept_up_n=figures.kept_up_n,
            plain_crew_tension_n=figures.plain_crew_tension_n,
            line_band_n=band_read(figures, "in_line"),
            hand_band_n=band_read(figures, "on_hauling_part"),
        ),
    )
