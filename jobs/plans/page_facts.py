"""Figures of a plan beside its drawings: facts, parts of the tackle, how the pull comes about, what to measure."""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.mechanics.limits import LINE_TOO_STEEP_DEG, OFF_AXIS_FAIL_DEG, SIDE_LINE_UTILISATION_RATIO
from jobs.mechanics.plan.result import PlanResult, PlanWorking
from jobs.mechanics.situation import Situation
from jobs.models import PullPlan
from jobs.plans.calculation import Outcome
from jobs.plans.data import PlanData
from jobs.plans.page_rows import Fact
from jobs.plans.presentation import PartRow
from jobs.plans.quantities import PlanQuantities
from jobs.wording.counted import counted, sentence
from jobs.wording.felling import felling
from jobs.wording.figure import ENERGY, LOAD, MOMENT
from jobs.wording.unit_formatter import UnitFormatter

SPLIT_RISK_MARKS = {"low": "ok", "medium": "caution", "high": "refused"}
INPUT_WORDS = {
    "green_density": "Density of the wood",
    "diameter": "Diameters",
    "crown_mass": "Mass of the crown",
    "lean": "Lean",
    "gust": "Gusts",
    "attach_height": "Height of the line",
    "crown_forward": "Overhang of the crown",
    "lean_azimuth": "Direction of the lean",
    "hinge_thickness": "Hinge thickness as cut",
    "anchor_distance": "Distance to the anchor",
    "rupture_modulus": "Strength of the hinge",
    "sheave_efficiency": "Loss at the sheaves",
}
BOUND_WORDS = {"bend": "Bends above", "split": "Splits above", "shear": "Shears above", "strap": "Strap tears above"}


@dataclass(frozen=True, slots=True)
class PartLine:
    """A part of the tackle as the page prints it, hauling and on the cleat."""

    name: str
    hauling: str
    cleated: str


@dataclass(frozen=True, slots=True)
class WorkingRow:
    """One line of how a figure comes about."""

    name: str
    numbers: str
    result: str


@dataclass(frozen=True, slots=True)
class ShareRow:
    """How closely the pull follows one input; `width` is for the bar."""

    name: str
    width: str
    number: str


def side_facts(plan_data: PlanData, working: PlanWorking, write: UnitFormatter) -> tuple[Fact, ...]:
    at: Situation = working.situation
    forward, left, up = at.stem.centre_of_gravity_m
    behind = "in front of" if forward >= at.section.hinge_line_x_m else "behind"
    off = abs(forward - at.section.hinge_line_x_m)
    facts = [
        Fact(
            "Line",
            f"{write.length(at.geometry.total_length_m)}, falling at {write.angle(at.geometry.depression_angle_deg)}",
        ),
        Fact("Lever arm", f"{write.length(at.geometry.lever_arm_m)} about the hinge"),
        Fact("Stem and crown", f"{write.mass(at.stem.total_mass_kg)}, {write.force(at.stem.weight_n)}"),
        Fact("Centre of gravity", f"{write.length(up)} up, {write.length(off)} {behind} the hinge"),
        Fact("Off the lay", write.angle(at.geometry.off_axis_angle_deg)),
    ]
    if abs(left) >= 0.05:
        facts.append(Fact("To the side", f"{write.length(abs(left))} to the {'left' if left > 0 else 'right'}"))
    if plan_data.stem.tree_height_m:
        facts.append(Fact("Reach of the fall", write.length(plan_data.stem.tree_height_m)))
    return tuple(facts)


def window_facts(working: PlanWorking, write: UnitFormatter) -> tuple[Fact, ...]:
    window = working.window
    bounds = window.upper_bounds_n
    facts = [
        Fact("Sits back below", write.force(window.sit_back_tension_n)),
        Fact("Saw pinched below", write.force(window.pinch_tension_n)),
    ]
    for name, words in BOUND_WORDS.items():
        bound = getattr(bounds, name)
        if bound is not None:
            governs = ", governs" if name == window.governing_bound else ""
            facts.append(Fact(words, write.force_limit(bound) + governs))
    facts.append(Fact("Danger of a split", window.split_risk))
    return tuple(facts)


def part_lines(rows: Iterable[PartRow], write: UnitFormatter) -> tuple[PartLine, ...]:
    """Parts of the first tackle from the hand to the becket."""
    return tuple(
        PartLine(
            "Hand part" if row.is_hand else f"Part {row.number}, becket" if row.is_becket else f"Part {row.number}",
            write.text(row.hauling),
            write.text(row.cleated),
        )
        for row in rows
        if row.stage == 1
    )


def backup_facts(
    result: PlanResult, working: PlanWorking, plan_data: PlanData, *, quantities: PlanQuantities, write: UnitFormatter
) -> tuple[Fact, ...]:
    facts: list[Fact] = []
    if result.bollard is not None:
        held = write.hand(result.bollard.holding_hand_force_worst_n)
        facts.append(Fact("Bollard", f"{result.bollard.wraps_used:g} wraps; {held} on the tail holds it"))
        facts.append(Fact("Slips above", write.force_limit(result.bollard.slip_tension_n)))
    if result.travel is not None:
        travel = result.travel
        parts = f"stretch {write.length(travel.stretch_m)}, tipping {write.text(quantities.tip_travel)}"
        slack = f"slack {write.length(plan_data.plan.slack_m)}, " if plan_data.plan.slack_m is not None else ""
        facts.append(Fact("Line travel", f"{write.length(travel.total_travel_m)}: {slack}{parts}"))
        facts.append(Fact("Haul by hand", write.length(travel.total_haul_m)))
        facts.append(
            Fact("Resets", f"{travel.stages[0].resets}, one haul gives {write.length(travel.stages[0].throw_m)}")
        )
        facts.append(
            Fact(
                "Stored in the line",
                f"{energy_words(travel.stored_energy_j, write)}. Stay out of line with it.",
            )
        )
    else:
        facts.append(Fact("Resets", "Assign the main line first: resets depend on its stretch."))
    facts.append(Fact("Let down by hand", f"{write.hand(working.tackle.holding_force_n)} at the tail"))
    facts.append(
        Fact(
            "Proof pull",
            f"{write.text(quantities.proof)} for one minute, at most {write.text(quantities.proof_limit)}",
        )
    )
    return tuple(facts)


def energy_words(energy_j: float, write: UnitFormatter) -> str:
    return write.quantity(energy_j, ENERGY, LOAD)


def side_of_fall(moment_n_m: float, write: UnitFormatter) -> str:
    """A moment about the hinge with the side it works for."""
    return f"{write.quantity(abs(moment_n_m), MOMENT)} {'against' if moment_n_m < 0 else 'with'} the fall"


def pull_working(
    working: PlanWorking, plan_data: PlanData, *, quantities: PlanQuantities, write: UnitFormatter
) -> tuple[WorkingRow, ...]:
    """How the greatest tension comes about with the stem upright, in a handful of lines."""
    pull, at = working.pull, working.situation
    gust = plan_data.plan.gust_m_s or 0.0
    factor = working.plan.margins.adverse_factor
    return (
        WorkingRow(
            "Moment of the weight",
            f"{write.force(at.stem.weight_n)}, {write.length(abs(at.stem.centre_of_gravity_m[0]))} from the pith",
            side_of_fall(pull.gravity_moment_n_m, write),
        ),
        WorkingRow(
            "Moment of the gust",
            f"{write.wind(gust)} on stem and crown",
            write.quantity(pull.wind_moment_n_m, MOMENT),
        ),
        WorkingRow(
            "Hinge, strongest case",
            "wood at its 95 % point, fully plastic",
            write.quantity(pull.hinge_moment_n_m, MOMENT),
        ),
        WorkingRow(
            "Needed upright",
            f"moments against the fall times {factor:g}, over {write.length(pull.lever_arm_m)}",
            write.force(pull.required_tension_upright_n),
        ),
        WorkingRow(
            "Greatest while it tips",
            f"at {write.angle(pull.governing_angle_deg)} from rest",
            write.force(pull.required_tension_n),
        ),
        WorkingRow(
            "Plan's tension", "the greatest of pull, pre-tension and the 95 % case", write.text(quantities.design_stem)
        ),
    )


def share_rows(result: PlanResult) -> tuple[ShareRow, ...]:
    """Inputs that move the hand force most, first the strongest."""
    if result.uncertainty is None:
        return ()
    ranked = sorted(result.uncertainty.rank_correlations.items(), key=lambda each: -abs(each[1]))[:6]
    return tuple(
        ShareRow(
            INPUT_WORDS.get(name, sentence(name.replace("_", " "))), f"{abs(share) * 100:.0f}%", f"{abs(share):.2f}"
        )
        for name, share in ranked
        if abs(share) >= 0.05
    )


def holding_words(result: PlanResult, working: PlanWorking, *, quantities: PlanQuantities, write: UnitFormatter) -> str:
    """What holds, with the figures that come nearest to their limits."""
    at = working.situation.geometry
    return (
        f"Among them: line angle {write.angle(at.depression_angle_deg)} of {write.angle(LINE_TOO_STEEP_DEG)}, "
        f"off the lay {write.angle(at.off_axis_angle_deg)} of {write.angle(OFF_AXIS_FAIL_DEG)}, "
        f"side load {write.percent(result.side_utilisation_ratio)} of {write.percent(SIDE_LINE_UTILISATION_RATIO)} "
        f"of what the hinge holds, bending of the stem {write.text(quantities.design_stem)} "
        f"of {write.text(quantities.bending_limit)}."
    )


def summaries(plan_data: PlanData, write: UnitFormatter) -> dict[str, str]:
    """What each group of the form says when it is shut."""
    plan = plan_data.plan

    def joined(*parts: str | None) -> str:
        return sentence(", ".join(part for part in parts if part)) or "Nothing entered"

    def told(value: float | None, words: str, read: object = None) -> str | None:
        if value is None:
            return None
        return words.format(read(value) if callable(read) else value)

    return {
        "hinge": joined(
            told(plan.notch_depth_ratio, felling("notch {}"), write.percent),
            told(plan.hinge_thickness_m, "hinge {}", write.diameter),
            told(plan.notch_opening_deg, "opening {}", write.angle),
            told(plan.lay_azimuth_deg, "lay {:03.0f}°"),
        ),
        "line": joined(
            told(plan.attach_height_m, "{} up", write.length),
            told(plan.anchor_distance_m, "anchor {} away", write.length),
            counted(len(plan_data.pull_redirects), "redirect") if plan_data.pull_redirects else None,
        ),
        "tackle": joined(
            f"{plan.parts} parts" if plan.pk else None,
            told(plan.sheave_efficiency_ratio, "sheave efficiency {}", write.percent),
            counted(plan.haulers, "person", "people") + " on the tail" if plan.haulers else None,
        ),
        "wind": joined(
            told(plan.gust_m_s, "gusts of {}", write.wind),
            plan.get_gust_source_display().lower() if plan.gust_source else None,
        ),
        "holding": joined(
            told(plan.bollard_hand_n, "{} on the bollard's tail", write.hand),
            "wedge" if plan.wedge_planned else None,
            "proof pull" if plan.proof_pull_planned else None,
        ),
        "side": "Rigged" if plan.side_line else "None",
        "restraint": "Rigged" if plan.restraint else "None",
        "places": joined(*(place.get_place_display().lower() for place in plan_data.places)),
        "tolerances": tolerance_words(plan, write),
    }


def tolerance_words(plan: PullPlan, write: UnitFormatter) -> str:
    """What may differ on the day without a new plan."""
    listed = (
        (plan.attach_tolerance_m, f"line ± {write.length(plan.attach_tolerance_m)}"),
        (plan.anchor_tolerance_m, f"anchor ± {write.length(plan.anchor_tolerance_m)}"),
        (plan.gust_tolerance_m_s, f"gusts + {write.wind(plan.gust_tolerance_m_s)}"),
        (plan.lean_tolerance_deg, f"lean ± {write.angle(plan.lean_tolerance_deg)}"),
        (plan.hauler_tolerance, f"people ± {plan.hauler_tolerance}"),
    )
    return sentence(", ".join(words for by, words in listed if by)) or "As entered, with no room either way"


def envelope_facts(outcome: Outcome, quantities: PlanQuantities, write: UnitFormatter) -> tuple[Fact, ...]:
    """The pre-tension that every corner of the tolerances allows."""
    envelope, band = outcome.envelope, quantities.band
    if envelope is None or len(envelope.corners) < 2:
        return ()
    return (Fact("Within the tolerances", f"{write.text(band.minimum)} to {write.text(band.maximum)}"),)
