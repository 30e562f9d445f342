"""The figures of a plan with their margins, and what a sheet stands while."""

from jobs.mechanics import defaults
from jobs.plans.calculation import Outcome
from jobs.plans.data import PlanData
from jobs.plans.findings import corner_words
from jobs.plans.presentation import PlanFigure
from jobs.plans.quantities import PlanQuantities, plan_quantities, worked_gust
from jobs.wording.felling import felling
from jobs.wording.figure import ANGLE, BEARING, DIAMETER, LENGTH, Figure, Part, words


def plan_figures(plan_data: PlanData, outcome: Outcome) -> tuple[PlanFigure, ...]:
    """Figures of the plan with the margin or factor in each; none for a plan that could not be worked out."""
    result, envelope = outcome.result, outcome.envelope
    if result is None or envelope is None:
        return ()
    q = plan_quantities(plan_data, result, envelope)
    worst = corner_words(envelope.governing.changes)
    return (
        PlanFigure(
            label="Worked at",
            value=worst if worst.parts else "the figures as written",
            note="at the worst case within the tolerances",
        ),
        PlanFigure(
            label="Tension needed at the stem",
            value=q.required,
            margin=f"{defaults.ADVERSE_FACTOR:g} on what holds it back",
        ),
        PlanFigure(label="Design tension at the stem", value=q.design_stem, note=study_words(q)),
        PlanFigure(label="Design tension at the tackle", value=q.design_tackle),
        PlanFigure(label="At the hands for it", value=q.hauling),
        PlanFigure(
            label="The crew's task, at the stem", value=q.crew_stem, margin=words("{} at the hands", q.crew_hauling)
        ),
        PlanFigure(label="Pre-tension, least", value=q.band.minimum),
        PlanFigure(label="Pre-tension, most", value=q.band.maximum),
        PlanFigure(label="What the crew could put on", value=q.overhaul),
        PlanFigure(label="Proof pull", value=q.proof, note=words("one minute, at most {}", q.proof_limit)),
        PlanFigure(label="Back lean", value=q.back_lean),
        PlanFigure(label="Side lean", value=q.side_lean),
        PlanFigure(label="May go by itself from", value=q.balance_angle, note=words("travel {}", q.balance_travel)),
        PlanFigure(label="Pull on at most to", value=self_falling_words(q)),
    )


def self_falling_words(q: PlanQuantities) -> Part:
    if q.self_falling_angle is None:
        return felling("until the notch closes")
    return words("{}, travel {}", q.self_falling_angle, q.tip_travel)


def study_words(q: PlanQuantities) -> Part:
    if q.required_p95 is None:
        return ""
    return words("95 in 100 cases of the measuring spread need less than {}", q.required_p95)


def stands_while(plan_data: PlanData) -> tuple[Part, ...]:
    """What the sheet stands while: outside it, stop, make it safe to leave, and plan again."""
    plan, stem = plan_data.plan, plan_data.stem
    attach, anchor = plan.attach_height_m or 0.0, plan.anchor_distance_m or 0.0
    haulers, spread = plan.haulers or 0, plan.hauler_tolerance
    people = f"{haulers}" if not spread else f"{max(1, haulers - spread)} to {min(12, haulers + spread)}"
    bearing = Figure("bearing of the anchor", plan.anchor_azimuth_deg or 0.0, BEARING)
    lay = Figure("lay", plan.lay_azimuth_deg or 0.0, BEARING)
    hinge = Figure("hinge, thickest", plan.hinge_thickness_m or 0.0, DIAMETER)
    return (
        words("Line on the stem at {}.", span("height of the line", attach, plan.attach_tolerance_m)),
        words(
            "Anchor {} from the stump, on bearing {}.",
            span("distance of the anchor", anchor, plan.anchor_tolerance_m),
            bearing,
        ),
        words("Gusts no stronger than {}.", worked_gust(plan)),
        words("Lean {}.", lean_span(stem.lean_deg or 0.0, plan.lean_tolerance_deg)),
        f"{people} people on the tail.",
        words("Hinge no thicker than {}, direction of fall (lay) {}.", hinge, lay),
    )


def span(name: str, value_m: float, tolerance_m: float) -> Part:
    """A length as it is, or from the least to the most that the tolerance allows."""
    if not tolerance_m:
        return Figure(name, value_m, LENGTH)
    return words("{} to {}", Figure(name, value_m - tolerance_m, LENGTH), Figure(name, value_m + tolerance_m, LENGTH))


def lean_span(lean_deg: float, tolerance_deg: float) -> Part:
    if not tolerance_deg:
        return Figure("lean", lean_deg, ANGLE)
    minimum = Figure("lean, least", max(0.0, lean_deg - tolerance_deg), ANGLE)
    return words("{} to {}", minimum, Figure("lean, most", lean_deg + tolerance_deg, ANGLE))
