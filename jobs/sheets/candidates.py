"""What could hang in a position: every item of the right class with its verdict, and filling from the store."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linear_sum_assignment

from gear.catalogue.classes import CLASSES
from gear.models import GearItem
from jobs.mechanics.plan.result import RoleUtilisation
from jobs.mechanics.roles import find_role
from jobs.models import Assignment, Sheet
from jobs.sheets.bookings import competing_assignments
from jobs.sheets.check import SheetCheck
from jobs.sheets.gear_fit import lengths_needed, position_findings, rope_length_findings
from jobs.sheets.position_rating import rating_of, results_of
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter

MAX_CANDIDATES = 120  # a phone shows no more; the fit ones come first
UNSUITED = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One item that could hang in a position, and what speaks against it."""

    item: GearItem
    assignment: Assignment
    use: RoleUtilisation | None
    refusals: tuple[Finding, ...]

    @property
    def suits(self) -> bool:
        return not self.refusals

    @property
    def use_ratio(self) -> float:
        return self.use.utilisation_ratio if self.use is not None else 0.0


def classes_for(role: str) -> list[str]:
    """Codes of the gear classes that may stand in a position."""
    spec = find_role(role)
    return [c.code for c in CLASSES if spec is not None and spec.name in c.roles]


def candidates(check: SheetCheck, role: str) -> list[GearItem]:
    """Items of the classes allowed there, the fit ones first. Two queries, however large the store."""
    items = GearItem.objects.for_company(check.plan_data.job.company).in_service().of_class(*classes_for(role))
    fit = list(items.fit_on(check.day).order_by("tag")[:MAX_CANDIDATES])
    room = MAX_CANDIDATES - len(fit)
    unfit = list(items.exclude(pk__in=[i.pk for i in fit]).order_by("tag")[: min(room, 20)]) if room else []
    return fit + unfit


def booked_elsewhere(sheet: Sheet, items: Iterable[GearItem]) -> dict[int | None, str]:
    """Item id to the sheet that has it at the same time. One query."""
    return {
        a.item_id: a.sheet.number
        for a in competing_assignments(sheet, [i.pk for i in items])
        if sheet.overlaps(a.sheet)
    }


def choices_for(check: SheetCheck, role: str, *, template: Assignment | None = None) -> tuple[Choice, ...]:
    """Every candidate with its verdict: those that suit first, the least over-rated leading."""
    items = candidates(check, role)
    booked = booked_elsewhere(check.sheet, items)
    held = {a.item_id: a.role for a in check.plan_data.assignments if a.item_id is not None and a.role != role}
    template = template or check.plan_data.in_place().get(role)
    listed = [choice_of(check, role, item, template, booked=booked, held=held) for item in items]
    return tuple(sorted(listed, key=lambda c: (not c.suits, len(c.refusals), -c.use_ratio, c.item.tag)))


def choice_of(
    check: SheetCheck,
    role: str,
    item: GearItem,
    template: Assignment | None,
    *,
    booked: dict[int | None, str],
    held: dict[int, str],
) -> Choice:
    plan_data = check.plan_data.with_item(role, item, template)
    assignment = plan_data.in_place()[role]
    write = UnitFormatter(plan_data.job.company.unit_system)
    found = list(position_findings(assignment, plan_data, check.day, write))
    use, rated = rating_of(results_of(check.outcome), plan_data, assignment, write)
    found += rated
    if check.outcome.result is not None:
        needed = lengths_needed(plan_data, check.outcome.result).get(role)
        found += rope_length_findings(assignment, needed, write)
    if item.pk in booked:
        found.append(taken(assignment, f"On sheet {booked[item.pk]} at the same time."))
    if item.pk in held:
        found.append(taken(assignment, f"It is already assigned as {held[item.pk].replace('_', ' ')} on this sheet."))
    return Choice(item=item, assignment=assignment, use=use, refusals=tuple(f for f in found if f.is_refusal))


def taken(assignment: Assignment, text: str) -> Finding:
    return Finding(
        code="double-booked",
        subject=assignment.role,
        severity="refusal",
        area="gear",
        title="Double-booked",
        text=text,
        cure="Use another.",
        item=assignment.item.tag if assignment.item else "",
        danger=3,
    )


def positions_to_fill(check: SheetCheck) -> list[str]:
    """Positions of gear that are empty or refused, and can be judged: a sling's use has to be said first."""
    wanted = []
    for row in check.positions:
        is_sling = row.kinds == ("sling",)
        said = row.assignment is not None and row.assignment.configuration != ""
        open_here = (not row.is_filled and not row.is_optional) or bool(row.refusals and row.assignment)
        if not row.is_anchor and open_here and (said or not is_sling):
            wanted.append(row.role)
    return wanted


def best_filling(check: SheetCheck) -> dict[str, Choice]:
    """The least over-rated set that suits: each position one item, no item twice (assignment problem).

    Nothing while the plan cannot be worked out: what a position carries is not known then.
    """
    if check.outcome.result is None:
        return {}
    roles = positions_to_fill(check)
    listed = {role: [c for c in choices_for(check, role) if c.suits] for role in roles}
    items = sorted({c.item.pk for choices in listed.values() for c in choices})
    if not roles or not items:
        return {}
    place = {pk: column for column, pk in enumerate(items)}
    cost = np.full((len(roles), len(items) + len(roles)), UNSUITED)
    by_cell: dict[tuple[int, int], Choice] = {}
    for row, role in enumerate(roles):
        for choice in listed[role]:
            cost[row, place[choice.item.pk]] = 1.0 - choice.use_ratio
            by_cell[row, place[choice.item.pk]] = choice
    chosen: Sequence[tuple[int, int]] = list(zip(*linear_sum_assignment(cost), strict=True))
    return {roles[row]: by_cell[row, column] for row, column in chosen if (row, column) in by_cell}
