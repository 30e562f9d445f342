"""When an item may stand in a position, besides its load: class, size, length and fitness on the day."""

import datetime as dt
import math
from collections.abc import Iterator
from typing import cast

from gear.catalogue.classes import BY_CODE
from gear.fitness.facts import item_fitness
from gear.models import GearItem
from jobs.mechanics.plan.result import PlanResult
from jobs.mechanics.roles import find_role, role_title
from jobs.mechanics.tackle import MAX_PARTS, MIN_PARTS, Rove, Stage, sheave_blocks
from jobs.models import Assignment
from jobs.models.plan import PullPlan
from jobs.plans.data import PlanData
from jobs.wording.figure import LIMIT, LOAD
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter

# Allowances on a rope's path. Chosen; shown on the sheet with the length they are part of.
TIE_OFF_M = 2.0  # a bowline or an eye round a stem or sling
TAIL_M = 3.0  # what is left in the tender's hands at the end

# Position of a rope -> positions whose sheave, drum or jaw it has to fit.
HOSTS = {
    "tackle_rope": ("moving_block", "fixed_block", "cleat"),
    "main_line": ("bollard", "rope_grab"),
    "side_line": ("side_bollard",),
    "restraint_line": ("restraint_bollard",),
}


def position_findings(
    assignment: Assignment, plan_data: PlanData, day: dt.date, write: UnitFormatter
) -> Iterator[Finding]:
    """Everything but the load that speaks against an item in its position."""
    item = assignment.item
    if item is None:
        return
    yield from class_findings(assignment, item)
    yield from sheave_findings(assignment, item, plan_data)
    yield from fitness_findings(assignment, item, day)
    yield from diameter_findings(assignment, item, plan_data, write)


def gear_finding(
    code: str,
    assignment: Assignment,
    item: GearItem,
    *,
    title: str,
    text: str,
    cure: str,
    danger: int = 2,
    reason: str = "",
) -> Finding:
    """A refusal of what hangs in a position; `reason` says in a word why an item is unfit."""
    return Finding(
        code=code,
        subject=assignment.role,
        severity="refusal",
        area="gear",
        title=f"{item.tag}: {title}",
        text=text,
        cure=cure,
        item=item.tag,
        danger=danger,
        facts={"reason": reason} if reason else {},
    )


def class_findings(assignment: Assignment, item: GearItem) -> Iterator[Finding]:
    gear_class, role = BY_CODE[item.gear_class], find_role(assignment.role)
    if role is None or role.name not in gear_class.roles:
        yield gear_finding(
            "wrong-class",
            assignment,
            item,
            title="wrong class for this position",
            text=f"A {gear_class.name.lower()} cannot be used as {role_title(assignment.role).lower()}.",
            cure="Assign an item of the right class.",
        )


def sheave_findings(assignment: Assignment, item: GearItem, plan_data: PlanData) -> Iterator[Finding]:
    """wrong-class: a block with fewer sheaves than its tackle turns round; where nobody entered a number it has one."""
    needed = sheaves_needed(plan_data.plan).get(assignment.role, 0)
    if (item.sheave_count or 1) >= needed:
        return
    has = "has no number of sheaves entered" if item.sheave_count is None else f"has {item.sheave_count}"
    yield gear_finding(
        "wrong-class",
        assignment,
        item,
        title="too few sheaves",
        text=f"A tackle of {plan_data.plan.parts} parts turns round {needed} sheaves here; {item.tag} {has}.",
        cure="Assign a block with enough sheaves, or plan fewer parts.",
    )


def sheaves_needed(plan: PullPlan) -> dict[str, int]:
    """Sheaves the first tackle needs on each of its blocks; nothing for parts that no tackle has."""
    if not MIN_PARTS <= plan.parts <= MAX_PARTS:
        return {}
    blocks = sheave_blocks(Stage(parts=plan.parts, rove=cast(Rove, plan.rove)))
    return {"moving_block": blocks.count("moving"), "fixed_block": blocks.count("fixed")}


def fitness_findings(assignment: Assignment, item: GearItem, day: dt.date) -> Iterator[Finding]:
    """One refusal for each reason why the item is not fit up to the job's last day.

    An event that took it out of use also asks for an examination: one cure, said once.
    """
    reasons = item_fitness(item, day)
    is_out = any(reason.code == "quarantined" for reason in reasons)
    for reason in reasons:
        if (
            reason.code == "examination-pending"
            and is_out
            and item.examination_pending_because == item.quarantined_because
        ):
            continue
        yield gear_finding(
            "unfit",
            assignment,
            item,
            title=reason.title.lower(),
            text=reason.words,
            cure=reason.cure,
            danger=1 if reason.code in ("retired", "quarantined") else 2,
            reason=reason.title.lower(),
        )


def diameter_findings(
    assignment: Assignment, item: GearItem, plan_data: PlanData, write: UnitFormatter
) -> Iterator[Finding]:
    """Rope against every sheave, drum and jaw it runs over; a size nobody entered does not fit."""
    for host_role in host_roles(assignment.role, plan_data):
        host = plan_data.item_in(host_role)
        if host is not None:
            yield from fit_findings(assignment, item, host, write)
    if assignment.role == "hitch_cord":
        yield from hitch_findings(assignment, item, plan_data.item_in("main_line"), write)


def host_roles(role: str, plan_data: PlanData) -> tuple[str, ...]:
    hosts = HOSTS.get(role, ())
    if role == "main_line":
        return (*hosts, *(f"redirect_block_{r.number}" for r in plan_data.pull_redirects))
    if role == "side_line":
        return (*hosts, *(f"side_redirect_block_{r.number}" for r in plan_data.side_redirects))
    return hosts


def fit_findings(assignment: Assignment, rope: GearItem, host: GearItem, write: UnitFormatter) -> Iterator[Finding]:
    low, high = host.rope_diameter_min_mm, host.rope_diameter_max_mm
    if rope.diameter_mm is None or low is None or high is None:
        missing = rope.tag if rope.diameter_mm is None else host.tag
        text = f"{missing} has no rope diameter entered, so {rope.tag} cannot be matched to {host.tag}."
        cure = f"Measure and enter the diameter on {missing}."
    elif not low <= rope.diameter_mm <= high:
        takes = f"{write.gear_diameter(low)} to {write.gear_diameter(high)}"
        text = f"{host.tag} takes {takes}, {rope.tag} is {write.gear_diameter(rope.diameter_mm)}."
        cure = "Choose a rope and a host that fit each other."
    else:
        return
    yield gear_finding("wrong-diameter", assignment, rope, title=f"wrong diameter for {host.tag}", text=text, cure=cure)


def hitch_findings(
    assignment: Assignment, cord: GearItem, host: GearItem | None, write: UnitFormatter
) -> Iterator[Finding]:
    """A hitch cord is thinner than the rope it grips (common practice), or it does not grip."""
    if host is None:
        return
    if cord.diameter_mm is None or host.diameter_mm is None:
        missing = cord.tag if cord.diameter_mm is None else host.tag
        text, cure = f"{missing} has no diameter entered.", f"Measure and enter the diameter of {missing}."
    elif cord.diameter_mm >= host.diameter_mm:
        cord_words, host_words = write.gear_diameter(cord.diameter_mm), write.gear_diameter(host.diameter_mm)
        text = f"The cord is {cord_words}, the line {host_words}: the cord has to be the thinner."
        cure = "Choose a thinner cord."
    else:
        return
    yield gear_finding("wrong-diameter", assignment, cord, title=f"wrong diameter for {host.tag}", text=text, cure=cure)


def length_findings(plan_data: PlanData, result: PlanResult, write: UnitFormatter) -> Iterator[Finding]:
    """Ropes shorter than their path with knots, wraps and tail."""
    for role, needed_m in lengths_needed(plan_data, result).items():
        assignment = plan_data.in_place().get(role)
        if assignment is not None:
            yield from rope_length_findings(assignment, needed_m, write)


def rope_length_findings(assignment: Assignment, needed_m: float | None, write: UnitFormatter) -> Iterator[Finding]:
    """too-short for one rope; a length nobody entered is too short."""
    item = assignment.item
    if item is None or needed_m is None:
        return
    if item.length_m is None:
        text, cure = f"{item.tag} has no length entered.", f"Measure {item.tag} and enter its length."
    elif item.length_m < needed_m - 1e-9:
        text = (
            f"{item.tag} is {write.length(item.length_m, rounding=LIMIT)} long; "
            f"its path with knots, wraps and tail takes {write.length(needed_m, rounding=LOAD)}."
        )
        cure = "Assign a longer rope, or shorten the path."
    else:
        return
    yield gear_finding("too-short", assignment, item, title="too short", text=text, cure=cure)


def lengths_needed(plan_data: PlanData, result: PlanResult) -> dict[str, float]:
    """Length each rope needs [m]: its path, the tie-off, the wraps on its drum and a tail."""
    plan = plan_data.plan
    working = result.working
    needed: dict[str, float] = {}
    if working is not None:
        path_m = working.situation.geometry.total_length_m
        needed["main_line"] = path_m + TIE_OFF_M + drum_m(plan_data, "bollard") + TAIL_M
    if result.travel is not None:
        needed["tackle_rope"] = result.travel.stages[0].rope_needed_m
    if plan.side_line and plan.side_anchor_distance_m is not None and plan.side_attach_height_m is not None:
        leg_m = math.hypot(plan.side_anchor_distance_m, plan.side_attach_height_m)
        leg_m += sum(r.distance_m for r in plan_data.side_redirects)  # a detour is never longer than out and back
        needed["side_line"] = leg_m + TIE_OFF_M + drum_m(plan_data, "side_bollard") + TAIL_M
    if plan.restraint and plan.restraint_length_m is not None:
        needed["restraint_line"] = plan.restraint_length_m + TIE_OFF_M + drum_m(plan_data, "restraint_bollard") + TAIL_M
    return needed


def drum_m(plan_data: PlanData, role: str) -> float:
    """Rope lying in the wraps of a drum [m]; six wraps where the plan gives none."""
    drum = plan_data.item_in(role)
    wraps = plan_data.plan.bollard_wraps or 6.0
    return wraps * math.pi * (drum.sheave_diameter_mm or 0.0) / 1000.0 if drum is not None else 0.0
