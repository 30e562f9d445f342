"""Checking a sheet: everything that refuses it, at once, and what every position carries."""

import dataclasses
import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from jobs.mechanics.plan.result import RoleUtilisation
from jobs.mechanics.roles import find_role, role_title
from jobs.models import Assignment, Job, Sheet, Stem
from jobs.plans.calculation import Outcome, calculate
from jobs.plans.data import PlanData, load_plan_data
from jobs.plans.gear_to_mechanics import knows_stretch
from jobs.sheets.alternates import alternate_findings
from jobs.sheets.bookings import booking_findings
from jobs.sheets.changes import Change, changes_since_refusals, source_findings
from jobs.sheets.duties import Holder, duties_needed, duty_findings, holder_of, sheet_duties
from jobs.sheets.emergency import emergency_findings
from jobs.sheets.gear_fit import length_findings, position_findings
from jobs.sheets.path_order import group_of, path_roles
from jobs.sheets.site import anchor_findings, hazard_findings
from jobs.wording.finding import Finding, cautions, refusals
from jobs.wording.unit_formatter import UnitFormatter

# Codes that the fitness of an item says better, with date and reason.
SAID_BY_FITNESS = ("overdue", "retired")


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionRow:
    """One position of the load path with gear, what it carries and what speaks against it."""

    role: str
    title: str
    kinds: tuple[str, ...]
    group: str
    is_anchor: bool
    is_optional: bool
    reasons: tuple[str, ...]
    assignment: Assignment | None
    alternates: tuple[Assignment, ...]
    load_n: float | None
    use: RoleUtilisation | None
    people_max: int | None
    refusals: tuple[Finding, ...]
    cautions: tuple[Finding, ...]

    @property
    def is_filled(self) -> bool:
        return self.assignment is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetCheck:
    """The verdict on one sheet."""

    sheet: Sheet
    plan_data: PlanData
    outcome: Outcome
    positions: tuple[PositionRow, ...]
    holders: tuple[Holder, ...]
    findings: tuple[Finding, ...]
    changes: tuple[Change, ...]
    day: dt.date

    @property
    def refusals(self) -> tuple[Finding, ...]:
        return refusals(self.findings)

    @property
    def cautions(self) -> tuple[Finding, ...]:
        return cautions(self.findings)

    @property
    def stands(self) -> bool:
        return not self.refusals and self.outcome.result is not None

    @property
    def by_role(self) -> dict[str, PositionRow]:
        return {row.role: row for row in self.positions}

    @property
    def by_duty(self) -> dict[str, list[Holder]]:
        held: dict[str, list[Holder]] = {}
        for holder in self.holders:
            held.setdefault(holder.duty.value, []).append(holder)
        return held


def last_day(sheet: Sheet, job: Job) -> dt.date:
    """The last day gear has to be fit on: the job's, or the sheet's own where that lies later."""
    return max(sheet.day, job.last_day)


def check_sheet(sheet: Sheet) -> SheetCheck:
    """Check a sheet against every rule. Queries do not grow with the number of positions or people."""
    plan_data = on_path(load_plan_data(sheet.stem, sheet))
    write = UnitFormatter(plan_data.job.company.unit_system)
    day = last_day(sheet, plan_data.job)
    outcome = calculate(plan_data)
    holders = tuple(holder_of(row, sheet.day) for row in sheet_duties(sheet))
    changes = changes_since_refusals(sheet, plan_data, write)
    found = tuple(
        deduplicated(
            (
                *outcome.findings,
                *gear_findings(plan_data, outcome, day, write),
                *crew_findings(plan_data, outcome, holders, day=sheet.day, write=write),
                *hazard_findings(plan_data, write),
                *anchor_findings(plan_data),
                *emergency_findings(plan_data.job),
                *felled_findings(plan_data.stem),
                *date_findings(sheet, plan_data.job),
                *source_findings(changes),
            )
        )
    )
    return SheetCheck(
        sheet=sheet,
        plan_data=plan_data,
        outcome=outcome,
        positions=position_rows(plan_data, outcome, found),
        holders=holders,
        findings=found,
        changes=changes,
        day=day,
    )


def roles_of(plan_data: PlanData) -> tuple[str, ...]:
    return path_roles(plan_data.plan, len(plan_data.pull_redirects), len(plan_data.side_redirects))


def on_path(plan_data: PlanData) -> PlanData:
    """The plan data without what still hangs in positions that the plan no longer has."""
    roles = roles_of(plan_data)
    return dataclasses.replace(plan_data, assignments=tuple(a for a in plan_data.assignments if a.role in roles))


def gear_findings(plan_data: PlanData, outcome: Outcome, day: dt.date, write: UnitFormatter) -> Iterator[Finding]:
    for assignment in plan_data.assignments:
        yield from position_findings(assignment, plan_data, day, write)
    yield from booking_findings(plan_data)
    yield from stretch_findings(plan_data)
    yield from empty_findings(plan_data, outcome)
    yield from alternate_findings(plan_data, outcome, write)
    if outcome.result is not None:
        yield from length_findings(plan_data, outcome.result, write)


def stretch_findings(plan_data: PlanData) -> Iterator[Finding]:
    """Resets and the restraint's peak rest on the rope's own strength and stretch, which nobody may assume."""
    for assignment in plan_data.assignments:
        item, role = assignment.item, assignment.role
        if role not in ("main_line", "restraint_line") or item is None:
            continue
        if not knows_stretch(item):
            yield Finding(
                code="unknown",
                subject="rope_stretch",
                severity="refusal",
                area="gear",
                title=f"{item.tag}: stretch not entered",
                text="Breaking strength, or the maker's elongation at a reference load, is missing: "
                "resets and the peak in a restraint cannot be worked out.",
                cure="Enter both from the maker's data sheet.",
                item=item.tag,
                field=role,
            )


def empty_findings(plan_data: PlanData, outcome: Outcome) -> Iterator[Finding]:
    """Empty positions that the mechanics had no say in: those of a plan that cannot be worked out, and those of a
    restraint that waits for its rope. A restraint that was worked out and holds nothing needs none.
    """
    filled = plan_data.in_place()
    result = outcome.result
    for name in roles_of(plan_data):
        role = find_role(name)
        if role is None or role.is_optional or name in filled or (result is not None and name in result.loads_n):
            continue
        if role.group == "restraint" and result is not None and result.restraint is not None:
            continue
        yield empty_position(name)


def empty_position(role: str) -> Finding:
    return Finding(
        code="position-empty",
        subject=role,
        severity="refusal",
        area="gear",
        title=f"{role_title(role)}: position empty",
        text="Nothing is assigned here and no allowed reason is given.",
        cure="Assign an item, or give the reason it is not needed.",
    )


def crew_findings(
    plan_data: PlanData, outcome: Outcome, holders: tuple[Holder, ...], *, day: dt.date, write: UnitFormatter
) -> tuple[Finding, ...]:
    diameter_m = 0.0
    if outcome.result is not None and outcome.result.working is not None:
        diameter_m = outcome.result.working.situation.stem.hinge_diameter_over_bark_m
    return duty_findings(
        holders,
        needed=duties_needed(plan_data.plan, someone_climbs=climbs(plan_data)),
        haulers=plan_data.plan.haulers,
        hauler_tolerance=plan_data.plan.hauler_tolerance,
        stem_diameter_m=diameter_m,
        day=day,
        write=write,
    )


def climbs(plan_data: PlanData) -> bool:
    """Somebody climbs when the line is set at a height a climber taped."""
    return plan_data.plan.attach_method == "climber" or plan_data.stem.height_method == "climber"


def felled_findings(stem: Stem) -> Iterator[Finding]:
    if Stem.objects.felled().filter(pk=stem.pk).exists():
        yield sheet_finding(
            "stem-felled",
            "The stem is down",
            "The stem has been felled, so no sheet can be issued for it.",
            "If it still stands, correct the record of the day.",
        )


def date_findings(sheet: Sheet, job: Job) -> Iterator[Finding]:
    if not job.first_day <= sheet.day <= job.last_day:
        yield sheet_finding(
            "day-outside-job",
            "The sheet's day is not a day of the job",
            f"The sheet is for {sheet.day:%-d %B %Y}; "
            f"the job runs from {job.first_day:%-d %B} to {job.last_day:%-d %B %Y}.",
            "Change the day of the sheet, or the days of the job.",
        )
    if sheet.day < job.company.today():
        yield sheet_finding(
            "day-past",
            "The sheet's day has passed",
            f"The sheet is for {sheet.day:%-d %B %Y}.",
            "Set the day the work is done.",
        )
    if job.closed_on is not None:
        yield sheet_finding(
            "job-closed", "The job is closed", f"Closed on {job.closed_on:%-d %B %Y}.", "Open a new job."
        )


def sheet_finding(code: str, title: str, text: str, cure: str) -> Finding:
    return Finding(
        code=code, severity="refusal", area="sheet", title=title, text=text, cure=cure, field="day", danger=3
    )


def deduplicated(findings: tuple[Finding, ...]) -> Iterator[Finding]:
    """Each finding once; an overdue item is named by its fitness, with the date."""
    unfit = {f.subject for f in findings if f.code == "unfit"}
    seen: set[tuple[str, ...]] = set()
    for finding in findings:
        if finding.code in SAID_BY_FITNESS and finding.subject in unfit:
            continue
        key = (finding.full_code, finding.title, finding.text)
        if key not in seen:
            seen.add(key)
            yield finding


def position_rows(plan_data: PlanData, outcome: Outcome, findings: tuple[Finding, ...]) -> tuple[PositionRow, ...]:
    held = plan_data.in_place()
    result = outcome.result
    rows = []
    for name in roles_of(plan_data):
        role = find_role(name)
        if role is None:
            continue
        about = [f for f in findings if f.subject == name]
        rows.append(
            PositionRow(
                role=name,
                title=role_title(name),
                kinds=role.kinds,
                group=group_of(name),
                is_anchor=role.is_anchor,
                is_optional=role.is_optional,
                reasons=role.reasons,
                assignment=held.get(name),
                alternates=tuple(a for a in plan_data.assignments if a.role == name and a.rank > 0),
                load_n=result.loads_n.get(name) if result else None,
                use=result.utilisations.get(name) if result else None,
                people_max=result.people_max_by_role.get(name) if result else None,
                refusals=refusals(about),
                cautions=cautions(about),
            )
        )
    return tuple(rows)
