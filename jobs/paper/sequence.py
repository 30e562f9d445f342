"""The work in its order: steps with hold points, resets, rigging checks, who does what."""

from crewlog.models import Company
from crewlog.paper.content import Signature
from jobs.checking import SheetCheck
from jobs.mechanics.plan_result import PlanResult
from jobs.models import DutyKind
from jobs.models.plan import CutMethod
from jobs.paper.haul import sequences
from jobs.paper.words import bearing_words
from jobs.sheets.content import Check, Duty, Hazard, Reset, Step
from jobs.unit_formatter import UnitFormatter

# In the order of the work, in the few words of page one.
DUTY_WORDS = {
    DutyKind.CUTTER: "Cuts",
    DutyKind.HAULER: "Hauls",
    DutyKind.BOLLARD_TENDER: "Bollard",
    DutyKind.HITCH_TENDER: "Hitch",
    DutyKind.LOOKOUT: "Looks out",
    DutyKind.SIDE_TENDER: "Side line",
    DutyKind.RESTRAINT_TENDER: "Restraint",
    DutyKind.FIRST_AIDER: "First aid",
    DutyKind.RESCUE_CLIMBER: "Rescue",
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
    "Everybody stands at their place; the public is two heights away",
    "Lookout sees or hears everybody; signals agreed",
    "Wind watched; the stop figure known to all",
)
LATE_CHECK = "Pre-tension read again just before the back cut: rope creeps and hitches settle"


def duties(check: SheetCheck) -> tuple[Duty, ...]:
    """Who leads and who does what, in the order of the work; one line a duty."""
    held = check.by_duty
    rows = [Duty(duty="Leads", people=(str(check.bundle.job.lead),))]
    for kind, words in DUTY_WORDS.items():
        holders = held.get(kind.value, [])
        if not holders:
            continue
        supervisors = sorted({h.supervisor_name for h in holders if h.supervisor_name})
        people = tuple(f"{h.name} (trainee)" if h.is_trainee else h.name for h in holders)
        rows.append(Duty(duty=words, people=people, supervised_by=", ".join(supervisors)))
    return tuple(rows)


def names_of(check: SheetCheck, kind: DutyKind) -> str:
    return ", ".join(h.name for h in check.by_duty.get(kind.value, [])) or kind.label


def sequence(check: SheetCheck, result: PlanResult, reader: UnitFormatter) -> tuple[Step, ...]:
    """The steps of the pull. `hold` is the hold point at whose spoken go the work goes on."""
    plan, lead = check.bundle.plan, str(check.bundle.job.lead)
    cutter, haulers = names_of(check, DutyKind.CUTTER), names_of(check, DutyKind.HAULER)
    bollard = names_of(check, DutyKind.BOLLARD_TENDER)
    proof = (
        f"Zone clear: proof pull to {reader.force(result.proof_tension_n)}, held one minute. One person watches each "
        "anchor, one the root plate. A rig that fails its proof pull stops. Then slack to the pre-tension."
        if plan.proof_pull_planned
        else "Zone clear: take the slack out by hand and look along the whole line."
    )
    envelope = check.outcome.envelope
    low = envelope.lowest_tension_n if envelope else result.lowest_tension_n
    high = envelope.highest_tension_n if envelope else result.highest_tension_n
    depth = reader.percent(plan.notch_depth_ratio or 0.0)
    notch = (
        f"Face notch {depth} deep, {plan.notch_opening_deg:.0f}° open, on lay {plan.lay_azimuth_deg:03.0f}°. "
        f"Then pre-tension: {reader.force(low)} to {reader.force_limit(high)} at the stem."
    )
    back = "bore cut, leaving the holding strap" if plan.cut_method == CutMethod.BORE else "back cut"
    wedge = " Set the wedge before the line is trusted." if plan.wedge_planned else ""
    hinge = reader.diameter(plan.hinge_thickness_m or 0.0)
    return (
        Step(text="Rig from the stem to the anchor; the tackle fully extended. Tick the rigging checks.", who=lead),
        Step(text=proof, who=haulers, hold=1),
        Step(text=notch, who=f"{cutter}; {haulers}", hold=2),
        Step(text=f"{LATE_CHECK}. Everybody at their place.", who=lead, hold=3),
        Step(
            text=f"{back.capitalize()} to a hinge of {hinge}.{wedge} Nobody hauls while the saw is in the wood.",
            who=cutter,
        ),
        Step(text="Cutter leaves by the escape route and calls clear.", who=cutter, hold=4),
        Step(text=pull_words(result, reader), who=f"{haulers}; {bollard}"),
        Step(text="Keep away until it lies still; slack the line off before anyone touches it.", who=lead, hold=5),
    )


def pull_words(result: PlanResult, reader: UnitFormatter) -> str:
    travel = reader.length(result.balance_travel_m)
    goes = f"It may go by itself from {reader.angle(result.balance_angle_deg)}, {travel} of travel"
    if result.self_falling_angle_deg is None:
        return f"Haul without a stop. {goes}; keep hauling until the notch closes."
    return (
        f"Haul without a stop. {goes}; it must be pulled at most to {reader.angle(result.self_falling_angle_deg)}, "
        f"{reader.length(result.tip_travel_m)} of travel. The bollard takes in every bit."
    )


def resets(result: PlanResult, reader: UnitFormatter) -> tuple[Reset, ...]:
    """Each reset of the first tackle in its order, with what holds the stem meanwhile."""
    worked = sequences(result)
    if not worked:
        return ()
    first, _ = worked[0]
    ends = [step for step in first.steps if step.kind == "cleat"]
    return tuple(
        Reset(
            when=f"Reset {number} of {first.resets}, at about {reader.length(step.travel_m)} of line travel",
            text=(
                "Cleat the tackle; bollard takes the load on its wraps; slack the tackle, slide the hitch forward, "
                "extend fully; haul until the bollard's line goes slack; take its slack in at once."
            ),
            while_tipping=step.is_tipping,
        )
        for number, step in enumerate(ends, 1)
    )


def rigging_checks(check: SheetCheck) -> tuple[Check, ...]:
    texts = list(RIGGING_CHECKS)
    if check.bundle.plan.wedge_planned:
        texts.append("Wedge and mallet at the stump")
    if check.bundle.plan.side_line:
        texts.append("Side line tended by a person of its own")
    if check.bundle.plan.restraint:
        texts.append("Restraint line snug: slack lets the log run")
    texts += [LATE_CHECK, "Competent person has confirmed the figures on this sheet for this stem"]
    return tuple(Check(text=text) for text in texts)


def hazards(check: SheetCheck, reader: UnitFormatter) -> tuple[Hazard, ...]:
    return tuple(
        Hazard(
            what=f"{h.get_kind_display()}: {h.description}",
            where=bearing_words(h.distance_m, h.bearing_deg, reader),
            control=f"{h.control} ({h.get_power_line_control_display()})" if h.kind == "overhead_line" else h.control,
        )
        for h in check.bundle.hazards
    )


def signatures(check: SheetCheck, company: Company) -> tuple[Signature, ...]:
    """A line for the lead, then one for each person who is briefed."""
    lead = str(check.bundle.job.lead)
    names = sorted({h.name for h in check.holders} - {lead})
    return (Signature(role="Crew lead", name=lead), *(Signature(role="Briefed", name=name) for name in names))
