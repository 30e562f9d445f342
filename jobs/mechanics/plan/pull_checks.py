"""Holding a plan's people, pre-tension, stem, proof pull, restraint and travel against their limits."""

from __future__ import annotations

from jobs.mechanics.checks import exceeds, falls_short
from jobs.mechanics.crew import people_for
from jobs.mechanics.findings.collected import Findings
from jobs.mechanics.limits import GROUND_FALL_DEG, LONG_HAUL_M, MANY_RESETS, RESTRAINT_SLACK_M, WINDOW_SPAN_RATIO
from jobs.mechanics.plan.figures import PlanFigures
from jobs.mechanics.plan.result import GaugeBand


def check_people(findings: Findings, figures: PlanFigures) -> None:
    """Note haulers too few for the crew's task, or enough for it but not for the figure the gear is sized by.

    Range: figures of a plan that was not refused; a value equal to its limit passes.
    Source: PANEL-01
    """
    task_n, gear_n = figures.crew_hauling_force_n, figures.tackle.hauling_force_n
    for code, force_n in (("too-few-people", task_n), ("people-marginal", gear_n)):
        if falls_short(figures.kept_up_n, force_n):
            needed = people_for(force_n, figures.plan.sustained_force_n)
            findings.note(
                code,
                hand_force_n=force_n,
                limit_n=figures.kept_up_n,
                people=float(figures.plan.people),
                people_needed="more than 12" if needed is None else float(needed),
            )
            return


def check_pre_tension(findings: Findings, figures: PlanFigures, band: GaugeBand | None) -> None:
    """Note a window that cannot be met by feel, or not with this gauge.

    Range: figures of a plan that was not refused; a value equal to its limit passes.
    Source: PANEL-01
    """
    low, high = figures.window.lowest_tension_n, figures.window.highest_tension_n
    if band is None:
        if exceeds(figures.steady_tension_n, high) or falls_short(high, WINDOW_SPAN_RATIO * low):
            findings.note("pre-tension-needs-gauge", steady_n=figures.steady_tension_n, lowest_n=low, limit_n=high)
    elif exceeds(band.lowest, band.highest) and not figures.window.is_empty:
        findings.note("gauge-band-empty", lowest_n=band.lowest, limit_n=band.highest)


def check_stem(findings: Findings, figures: PlanFigures) -> None:
    """Note a pull the stem does not bear, one the crew could break it with, and a proof pull too high.

    Range: figures of a plan that was not refused; a value equal to its limit passes.
    Source: PANEL-01
    """
    if exceeds(figures.stem_tension_n, figures.stem_bending_limit_n):
        findings.note("stem-bends", tension_n=figures.stem_tension_n, limit_n=figures.stem_bending_limit_n)
    if exceeds(figures.overhaul_at_stem_n, figures.stem_snapping_tension_n):
        findings.note("stem-can-snap", tension_n=figures.overhaul_at_stem_n, limit_n=figures.stem_snapping_tension_n)
    if exceeds(figures.tackle_tension_n, figures.proof_tension_limit_n):
        findings.note("proof-pull-too-high", tension_n=figures.tackle_tension_n, limit_n=figures.proof_tension_limit_n)


def check_restraint(findings: Findings, figures: PlanFigures) -> None:
    """Note falling ground with nothing to hold the log, and slack that lets it run.

    Range: figures of a plan that was not refused; a value equal to its limit passes.
    Source: PANEL-01
    """
    line, fall_deg = figures.plan.restraint, figures.plan.ground_fall_deg
    if line is None:
        if exceeds(fall_deg, GROUND_FALL_DEG):
            findings.note("restraint-needed", angle_deg=fall_deg, limit_deg=GROUND_FALL_DEG)
    elif exceeds(line.slack_m, RESTRAINT_SLACK_M):
        peak_n = figures.restraint.peak_tension_n if figures.restraint is not None else 0.0
        findings.note("restraint-slack", slack_m=line.slack_m, limit_m=RESTRAINT_SLACK_M, peak_n=peak_n)


def check_travel(findings: Findings, figures: PlanFigures) -> None:
    """Note a haul that is long or needs many resets.

    Range: figures of a plan that was not refused; a value equal to its limit passes.
    Source: PANEL-01
    """
    if figures.travel is None:
        return
    resets = max(stage.resets for stage in figures.travel.stages)
    if exceeds(figures.travel.total_haul_m, LONG_HAUL_M) or resets > MANY_RESETS:
        findings.note(
            "haul-too-long",
            haul_m=figures.travel.total_haul_m,
            limit_m=LONG_HAUL_M,
            resets=float(resets),
            limit_resets=MANY_RESETS,
        )
