"""The work in its order: steps with hold points, rigging checks, who does what, hazards, who signs."""

from collections.abc import Iterable

from crewlog.models import Skill
from crewlog.pdf.content import Signature
from jobs.mechanics.plan.result import PlanResult
from jobs.models import DutyKind
from jobs.models import Hazard as HazardModel
from jobs.models.plan import CutMethod, PullPlan
from jobs.plans.quantities import PlanQuantities, plan_quantities
from jobs.sheet_rows.rows import Check, Duty, DutyPerson, Hazard, Step
from jobs.sheets.check import SheetCheck, climbs
from jobs.sheets.duties import SKILL_OF, Holder, duties_needed
from jobs.wording.felling import felling
from jobs.wording.figure import BEARING, DIAMETER, LENGTH, LOAD, SHARE, Figure, Words, words

# In the order of the work, in the few words of page one.
DUTY_WORDS = {
    DutyKind.CUTTER: "Cutter",
    DutyKind.HAULER: "Hauler",
    DutyKind.BOLLARD_TENDER: "Bollard tender",
    DutyKind.HITCH_TENDER: "Hitch minder",
    DutyKind.LOOKOUT: "Lookout",
    DutyKind.SIDE_TENDER: "Side line tender",
    DutyKind.RESTRAINT_TENDER: "Restraint tender",
    DutyKind.FIRST_AIDER: "First-aider",
    DutyKind.RESCUE_CLIMBER: "Rescue climber",
}

# Ticks of the form checks: common practice and the model's own conditions (mechanics section 15).
RIGGING_CHECKS = (
    "Sound wood at the line's height, confirmed by whoever climbed to it",
    "All gear on this sheet looked at before use, tags read against the sheet",
    "Each anchor looked at again: root plate, decay, lean, ground",
    "Tackle fully extended",
    "Stopper knot in the tail of the tackle",
    "Friction hitch set and proved by loading; its wraps are a rule of thumb",
    "Cleat backed up on the bollard before hands leave the rope",
    "Back-up tail on the bollard kept snug",
    "A person other than the cutter tends the bollard",
    "Escape route of the cutter clear, walked once",
    "Everybody at their place; the public is two heights away",
    "Lookout sees or hears everybody; signals agreed",
    "Wind watched; the stop figure known to all",
)
LATE_CHECK = "Pre-tension read again just before the back cut: rope creeps and hitches settle"


def duties(check: SheetCheck) -> tuple[Duty, ...]:
    """Every duty in the order of the work: those the sheet needs, and those somebody was given besides."""
    needed = duties_needed(check.plan_data.plan, someone_climbs=climbs(check.plan_data))
    held: dict[DutyKind, list[DutyPerson]] = {}
    for place, holder in enumerate(check.holders):
        held.setdefault(holder.duty, []).append(duty_person(holder, place))
    return tuple(
        Duty(
            key=kind.value,
            title=kind.label,
            short=short,
            skill=str(Skill(SKILL_OF[kind]).label),
            people=tuple(held.get(kind, ())),
            is_needed=kind in needed,
            findings=tuple(f for f in check.refusals if f.area == "crew" and f.subject == kind.value),
        )
        for kind, short in DUTY_WORDS.items()
        if kind in needed or kind in held
    )


def duty_person(holder: Holder, place: int) -> DutyPerson:
    return DutyPerson(
        name=holder.name,
        is_trainee=holder.is_trainee,
        supervisor=holder.supervisor_name,
        is_competent=SKILL_OF[holder.duty] in holder.skills,
        place=place,
    )


def lead(check: SheetCheck) -> Duty:
    """Who leads, as a duty before all others."""
    people = (DutyPerson(name=str(check.plan_data.job.lead)),)
    return Duty(key="lead", title="Crew lead", short="Crew lead", people=people)


def names_of(check: SheetCheck, kind: DutyKind) -> str:
    return ", ".join(h.name for h in check.by_duty.get(kind.value, [])) or str(kind.label)


def sequence(check: SheetCheck, result: PlanResult) -> tuple[Step, ...]:
    """The steps of the pull. `hold` is the hold point at whose spoken go the work goes on. ValueError for no result."""
    plan, who_leads = check.plan_data.plan, str(check.plan_data.job.lead)
    if check.outcome.envelope is None:
        raise ValueError("a sequence rests on the corners of the tolerances")
    quantities = plan_quantities(check.plan_data, result, check.outcome.envelope)
    cutter, haulers = names_of(check, DutyKind.CUTTER), names_of(check, DutyKind.HAULER)
    bollard = names_of(check, DutyKind.BOLLARD_TENDER)
    return (
        Step(
            text="Rig from the stem to the anchor; the tackle fully extended. Tick the rigging checks.", who=who_leads
        ),
        Step(text=proof_words(plan, quantities), who=haulers, hold=1),
        Step(text=notch_words(plan, quantities), who=f"{cutter}; {haulers}", hold=2),
        Step(text=f"{felling(LATE_CHECK)}. Everybody at their place.", who=who_leads, hold=3),
        Step(text=back_cut_words(plan), who=cutter),
        Step(text="Cutter leaves by the escape route and calls clear.", who=cutter, hold=4),
        Step(text=pull_words(quantities), who=f"{haulers}; {bollard}"),
        Step(text="Keep away until it lies still; slack the line off before anyone touches it.", who=who_leads, hold=5),
    )


def proof_words(plan: PullPlan, quantities: PlanQuantities) -> Words:
    if not plan.proof_pull_planned:
        return words("Zone clear: take the slack out by hand and look along the whole line.")
    return words(
        "Zone clear: proof pull to {}, held one minute. One person watches each "
        "anchor, one the root plate. A rig that fails its proof pull stops. Then slack to the pre-tension.",
        quantities.proof,
    )


def notch_words(plan: PullPlan, quantities: PlanQuantities) -> Words:
    return words(
        "Face notch {} deep, {}° open, on lay {}. Then pre-tension: {} to {} at the stem.",
        Figure("depth of the notch", plan.notch_depth_ratio or 0.0, SHARE, LOAD),
        f"{plan.notch_opening_deg:.0f}",
        Figure("lay", plan.lay_azimuth_deg or 0.0, BEARING),
        quantities.band.minimum,
        quantities.band.maximum,
    )


def back_cut_words(plan: PullPlan) -> Words:
    cut = "Bore cut, leaving the holding strap" if plan.cut_method == CutMethod.BORE else felling("Back cut")
    wedge = " Set the wedge before the line is trusted." if plan.wedge_planned else ""
    hinge = Figure("thickness of the hinge", plan.hinge_thickness_m or 0.0, DIAMETER)
    return words("{} to a hinge of {}.{} Nobody hauls while the saw is in the wood.", cut, hinge, wedge)


def pull_words(quantities: PlanQuantities) -> Words:
    goes = words("It may go by itself from {}, {} of travel", quantities.balance_angle, quantities.balance_travel)
    if quantities.self_falling_angle is None:
        return words("Haul without a stop. {}; keep hauling until the notch closes.", goes)
    return words(
        "Haul without a stop. {}; it must be pulled at most to {}, {} of travel. The bollard takes in every bit.",
        goes,
        quantities.self_falling_angle,
        quantities.tip_travel,
    )


def rigging_checks(check: SheetCheck) -> tuple[Check, ...]:
    texts = list(RIGGING_CHECKS)
    if check.plan_data.plan.wedge_planned:
        texts.append("Wedge and mallet at the stump")
    if check.plan_data.plan.side_line:
        texts.append("Side line tended by a person of its own")
    if check.plan_data.plan.restraint:
        texts.append("Restraint line snug: slack lets the log run")
    texts += [LATE_CHECK, "Competent person has confirmed the figures on this sheet for this stem"]
    return tuple(Check(text=felling(text)) for text in texts)


def hazards(rows: Iterable[HazardModel]) -> tuple[Hazard, ...]:
    """Hazards around a stem as they were entered."""
    return tuple(hazard(row) for row in rows)


def hazard(row: HazardModel) -> Hazard:
    return Hazard(
        kind=row.get_kind_display(),
        description=row.description,
        where=from_stump(row.distance_m, row.bearing_deg),
        control=row.control,
        power_line=row.get_power_line_control_display() if row.kind == "overhead_line" else "",
    )


def from_stump(distance_m: float, bearing_deg: float) -> Words:
    """Where something is, seen from the stump: "9.00 m, bearing 007°"."""
    return words("{}, bearing {}", Figure("distance", distance_m, LENGTH), Figure("bearing", bearing_deg, BEARING))


def signatures(check: SheetCheck) -> tuple[Signature, ...]:
    """A line for the lead, then one for each person who is briefed."""
    leads = str(check.plan_data.job.lead)
    names = sorted({h.name for h in check.holders} - {leads})
    return (Signature(role="Crew lead", name=leads), *(Signature(role="Briefed", name=name) for name in names))
