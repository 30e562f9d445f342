"""Sheets in force that leaned on a fact of an item which is now another: judged again with the loads they were issued
with.
"""

import json
from collections.abc import Iterator
from dataclasses import replace

from crewlog.evidence import Entry
from gear.models import GearItem
from jobs.mechanics.convert import FormatError
from jobs.mechanics.errors import OutOfRange
from jobs.mechanics.plan.input import PlanInput
from jobs.models import Sheet
from jobs.models.snapshot_json import snapshot_of
from jobs.plans.data import PlanData, load_plan_data
from jobs.plans.findings import findings_of
from jobs.plans.gear_to_mechanics import gear_item, rope_stretch
from jobs.plans.inputs_at import InputsAt
from jobs.plans.request_json import read_request
from jobs.plans.tolerances import Corner, corner_of
from jobs.sheets.check import last_day, on_path
from jobs.sheets.dependents import assignments_in_force
from jobs.sheets.gear_fit import length_findings, position_findings
from jobs.sheets.services import write_withdrawal
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter


def withdraw_sheets_leaning_on(before: GearItem, after: GearItem, entry: Entry) -> None:
    """Withdraw every standing sheet that an item no longer passes on, as its facts now stand.

    Runs in the transaction that changed them. Two queries, and those of each sheet that lists the item.
    """
    listed = assignments_in_force(after.company).filter(item=after).values("sheet")
    for sheet in Sheet.objects.with_stem().filter(pk__in=listed).order_by("pk"):
        found = new_refusals(sheet, before, after)
        if found:
            words = f"{after.tag} was changed on record. {found[0].title}: {found[0].text}"
            write_withdrawal(sheet, words, entry=entry, item=after)


def new_refusals(sheet: Sheet, before: GearItem, after: GearItem) -> list[Finding]:
    """What refuses the item on a sheet as it is now and did not as it was, the gravest first."""
    plan_data = on_path(load_plan_data(sheet.stem, sheet))
    try:
        was = {finding.full_code for finding in refusals_with(sheet, plan_data, before)}
        found = [finding for finding in refusals_with(sheet, plan_data, after) if finding.full_code not in was]
    except (FormatError, OutOfRange):  # a request that this version of the mechanics does not read
        return [not_judged(after)]
    return sorted(found, key=lambda finding: finding.danger)


def not_judged(item: GearItem) -> Finding:
    return Finding(
        code="not-judged",
        severity="refusal",
        area="gear",
        title=f"{item.tag}: cannot be judged again",
        text="The sheet was worked out by another version; issue a new one.",
        cure="Issue a new sheet.",
        item=item.tag,
    )


def refusals_with(sheet: Sheet, plan_data: PlanData, item: GearItem) -> Iterator[Finding]:
    """Everything of gear that refuses a sheet with one of its items as given, at the loads it was issued with."""
    plan_data = with_item(plan_data, item)
    write = UnitFormatter(plan_data.job.company.unit_system)
    day = last_day(sheet, plan_data.job)
    found: list[Finding] = []
    for assignment in plan_data.assignments:
        if assignment.rank == 0:
            found += position_findings(assignment, plan_data, day, write)
    for corner in corners_of(sheet, plan_data):
        found += findings_of(corner, write)
        if corner.result is not None:
            found += length_findings(plan_data, corner.result, write)
    yield from (finding for finding in found if finding.severity == "refusal")


def with_item(plan_data: PlanData, item: GearItem) -> PlanData:
    """The plan data with an item in its positions as it is given, whatever the database says of it."""
    for assignment in plan_data.assignments:
        if assignment.item_id == item.pk:
            assignment.item = item
    return plan_data


def corners_of(sheet: Sheet, plan_data: PlanData) -> Iterator[Corner]:
    """The plan as written and its worst corner, worked again from the sheet's own snapshot with the items as given."""
    snapshot = snapshot_of(sheet.issue)
    worked = (snapshot["as_written"], snapshot["request"])
    requests = {json.dumps(each, sort_keys=True) for each in worked if each}
    for text in sorted(requests):
        issued = replace(read_request(json.loads(text)), uncertainty=None)
        yield corner_of(with_items_of(issued, plan_data), {})


def with_items_of(issued: PlanInput, plan_data: PlanData) -> PlanInput:
    """An issued plan with the items and the ropes' own stretch as they are now; all else as it was issued."""
    hung = {a.role: a for a in plan_data.assignments if a.rank == 0 and a.item is not None and a.role in issued.items}
    fresh = {role: gear_item(plan_data, assignment) for role, assignment in hung.items()}
    travel, restraint = issued.travel, issued.restraint
    main = rope_stretch(plan_data.item_in("main_line"), InputsAt("inputs.travel.rope"))
    if travel is not None and main is not None:
        travel = replace(travel, rope=main)
    held = rope_stretch(plan_data.item_in("restraint_line"), InputsAt("inputs.restraint.rope"))
    if restraint is not None and plan_data.plan.restraint and held is not None:
        restraint = replace(restraint, rope=held)
    return replace(issued, items={**issued.items, **fresh}, travel=travel, restraint=restraint)
