"""Gear that is wanted in two places at once."""

from collections.abc import Iterable, Iterator

from django.db.models import Q

from jobs.models import Assignment, Sheet
from jobs.plans.data import PlanData
from jobs.wording.finding import Finding


def competing_assignments(sheet: Sheet, item_ids: Iterable[int]) -> list[Assignment]:
    """Assignments of these items on other sheets of the day that are planned or stand. One query.

    A withdrawn, superseded or closed sheet holds no gear; a stem's own sheets do not stand in each other's way.
    """
    return list(
        Assignment.objects.filter(item__in=list(item_ids), rank=0, sheet__day=sheet.day)
        .exclude(sheet__stem=sheet.stem)
        .filter(Q(sheet__issue__isnull=True) | Q(sheet__in=Sheet.objects.holding_gear()))
        .select_related("sheet__stem__job__lead__details", "item")
        .order_by("sheet_id", "role")
    )


def booking_findings(plan_data: PlanData) -> Iterator[Finding]:
    """double-booked: on another sheet whose window overlaps, or in two positions of this one.

    An alternate that hangs elsewhere cannot swap in. One alternate may wait for two positions.
    """
    sheet = plan_data.sheet
    if sheet is None:
        return
    held = [a for a in plan_data.assignments if a.item is not None]
    by_item: dict[int, list[Assignment]] = {}
    for assignment in sorted(held, key=lambda a: a.rank):
        by_item.setdefault(assignment.item_id or 0, []).append(assignment)
    for positions in by_item.values():
        for extra in positions[1:] if positions[0].rank == 0 else ():
            yield booked(extra, f"It is already assigned as {positions[0].role.replace('_', ' ')} on this sheet.")
    for other in competing_assignments(sheet, by_item):
        if sheet.overlaps(other.sheet):
            job = other.sheet.stem.job
            state = "issued" if hasattr(other.sheet, "issue") else "planned"
            text = f"On sheet {other.sheet.number} ({state}) at {job.site_name} that day, led by {job.lead}."
            yield booked(by_item[other.item_id or 0][0], text)


def booked(assignment: Assignment, text: str) -> Finding:
    tag = assignment.item.tag if assignment.item else ""
    return Finding(
        code="double-booked",
        subject=assignment.role,
        severity="refusal",
        area="gear",
        title=f"{tag}: double-booked",
        text=text,
        cure="Assign another, or give the sheets times that do not overlap.",
        item=tag,
        danger=3,
    )
