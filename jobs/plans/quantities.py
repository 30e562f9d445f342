"""The figures of a worked plan, each with its kind, its rounding and its place: declared here and nowhere else."""

from dataclasses import dataclass

from jobs.mechanics.crew import group_factor
from jobs.mechanics.plan.result import PlanResult
from jobs.models.plan import PullPlan
from jobs.plans.data import PlanData
from jobs.plans.tolerances import Envelope
from jobs.wording.figure import (
    ANGLE,
    FORCE,
    GAUGE,
    HAND_FORCE,
    HANDS,
    LENGTH,
    LIMIT,
    LOAD,
    STEM,
    TACKLE,
    WIND,
    At,
    Band,
    Figure,
)

USUAL_PULL_N = 250.0  # kept up by one person, for a plan that came without its working


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanQuantities:
    """What a plan that could be worked out comes to. The band is the one every corner of the tolerances allows."""

    required: Figure
    design_stem: Figure
    design_tackle: Figure
    hauling: Figure
    crew_stem: Figure
    crew_hauling: Figure
    kept_up: Figure
    band: Band
    band_read: Band
    aim: Figure | None
    overhaul: Figure
    proof: Figure
    proof_limit: Figure
    bending_limit: Figure
    back_lean: Figure
    side_lean: Figure
    balance_angle: Figure
    balance_travel: Figure
    self_falling_angle: Figure | None
    tip_travel: Figure
    required_p95: Figure | None


def plan_quantities(plan_data: PlanData, result: PlanResult, envelope: Envelope) -> PlanQuantities:
    """The figures of a result and of the corners around it."""
    self_falling, study = result.self_falling_angle_deg, result.uncertainty
    return PlanQuantities(
        required=Figure("tension needed", result.required_tension_n, FORCE, LOAD, STEM),
        design_stem=Figure("design tension", result.stem_tension_n, FORCE, LOAD, STEM),
        design_tackle=Figure("design tension", result.tackle_tension_n, FORCE, LOAD, TACKLE),
        hauling=Figure("pull for the design tension", result.hauling_force_n, HAND_FORCE, LOAD, HANDS),
        crew_stem=Figure("crew's task", result.crew_tension_n, FORCE, LOAD, STEM),
        crew_hauling=Figure("crew's task", result.crew_hauling_force_n, HAND_FORCE, LOAD, HANDS),
        kept_up=Figure("kept up by the crew", kept_up_n(plan_data.plan, result), HAND_FORCE, LIMIT, HANDS),
        band=band_at_stem(envelope),
        band_read=band_read(result, envelope),
        aim=aim(envelope),
        overhaul=Figure("what the crew could put on", result.overhaul_tension_n, FORCE, LOAD, TACKLE),
        proof=Figure("proof pull", result.proof_tension_n, FORCE, LOAD, TACKLE),
        proof_limit=Figure("proof pull, most", result.proof_tension_limit_n, FORCE, LIMIT, TACKLE),
        bending_limit=Figure("bending of the stem, most", result.stem_bending_limit_n, FORCE, LIMIT, STEM),
        back_lean=Figure("back lean", result.back_lean_deg, ANGLE),
        side_lean=Figure("side lean", result.side_lean_deg, ANGLE),
        balance_angle=Figure("may go by itself from", result.balance_angle_deg, ANGLE),
        balance_travel=Figure("travel to the balance", result.balance_travel_m, LENGTH),
        self_falling_angle=None if self_falling is None else Figure("falls by itself from", self_falling, ANGLE),
        tip_travel=Figure("travel while it tips", result.tip_travel_m, LENGTH),
        required_p95=None
        if study is None
        else Figure("tension needed in 95 of 100 cases", study.required_tension_p95_n, FORCE, LOAD, STEM),
    )


def kept_up_n(plan: PullPlan, result: PlanResult) -> float:
    """What the people on the tail keep up together [N]."""
    sustained_n = USUAL_PULL_N if result.working is None else result.working.plan.sustained_force_n
    return group_factor(plan.haulers or 1) * sustained_n


def pretension_band(min_n: float, max_n: float, at: At) -> Band:
    return Band(
        Figure("pre-tension, least", min_n, FORCE, LOAD, at), Figure("pre-tension, most", max_n, FORCE, LIMIT, at)
    )


def band_at_stem(envelope: Envelope) -> Band:
    """The pre-tension that is enough in every corner and too much in none."""
    return pretension_band(envelope.lowest_tension_n, envelope.highest_tension_n, STEM)


def band_read(result: PlanResult, envelope: Envelope) -> Band:
    """The pre-tension band where it is read: on the gauge in its own place, or at the stem."""
    bands = [each.gauge_band_n for each in envelope.results() if each.gauge_band_n is not None]
    if result.gauge_band_n is None:
        return band_at_stem(envelope)
    return pretension_band(max(band.lowest for band in bands), min(band.highest for band in bands), GAUGE)


def aim(envelope: Envelope) -> Figure | None:
    """The pre-tension to aim for, rounded away from what the wood bears; None where no pre-tension will do."""
    aim_n = envelope.aim_tension_n
    return None if aim_n is None else Figure("pre-tension to aim for", aim_n, FORCE, LIMIT, STEM)


def worked_gust(plan: PullPlan) -> Figure:
    """The strongest gust that the plan was worked for."""
    return Figure("gust worked for", (plan.gust_m_s or 0.0) + plan.gust_tolerance_m_s, WIND)


def wind_stop(plan_data: PlanData) -> Figure:
    """Work stops at the gust the plan was worked for, and never later than the company's own limit."""
    return Figure("wind stop", min(worked_gust(plan_data.plan).value, plan_data.job.company.wind_stop_m_s), WIND)
