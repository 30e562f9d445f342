"""Everything one plan is worked out from, saved or still being typed."""

from dataclasses import dataclass, replace

from gear.models import GearItem
from jobs.models import (
    Anchor,
    Assignment,
    CrownPart,
    EfficiencyMeasurement,
    Hazard,
    Job,
    Place,
    PullPlan,
    Redirect,
    Sheet,
    Stem,
    StemSection,
)
from jobs.models.sheet import HANGS_AS

SYSTEM_ROLES = ("moving_block", "fixed_block", "tackle_rope")  # whose set names the hauling system


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanData:
    """Rows that a plan is worked out from: stem, plan, sections, redirects, and what hangs in the load path.

    They may be unsaved: a form builds them while somebody types.
    """

    job: Job
    stem: Stem
    plan: PullPlan
    sections: tuple[StemSection, ...] = ()
    crown_parts: tuple[CrownPart, ...] = ()
    redirects: tuple[Redirect, ...] = ()
    places: tuple[Place, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    assignments: tuple[Assignment, ...] = ()
    sheet: Sheet | None = None
    measured: EfficiencyMeasurement | None = None  # the last one of the tackle that hangs, rove as planned

    @property
    def pull_redirects(self) -> tuple[Redirect, ...]:
        return tuple(r for r in self.redirects if r.line == Redirect.Line.PULL)

    @property
    def side_redirects(self) -> tuple[Redirect, ...]:
        return tuple(r for r in self.redirects if r.line == Redirect.Line.SIDE)

    def in_place(self) -> dict[str, Assignment]:
        """What hangs in each position, without the alternates."""
        return {a.role: a for a in self.assignments if a.rank == 0}

    def item_in(self, role: str) -> GearItem | None:
        assignment = self.in_place().get(role)
        return assignment.item if assignment else None

    def anchor_in(self, role: str) -> Anchor | None:
        assignment = self.in_place().get(role)
        return assignment.anchor if assignment else None

    def with_item(self, role: str, item: GearItem, template: Assignment | None = None) -> "PlanData":
        """The same rows with another item tried in a position, used as the one before it was."""
        tried = Assignment(sheet=self.sheet, role=role, item=item)
        for name in HANGS_AS:
            if template is not None and template.anchor_id is None and not template.not_used:
                setattr(tried, name, getattr(template, name))
        others = tuple(a for a in self.assignments if not (a.role == role and a.rank == 0))
        return replace(self, assignments=(*others, tried))


def gear_sheet_of(stem: Stem) -> Sheet | None:
    """The sheet whose gear a plan is worked with: the draft, else the latest that was issued. One query."""
    sheet: Sheet | None = stem.sheets.order_by("-revision").first()
    if sheet is not None:
        sheet.stem = stem
    return sheet


def load_plan_data(stem: Stem, sheet: Sheet | None = None) -> PlanData:
    """Read a stem's plan from the database, with what hangs on `sheet`: a fixed number of queries."""
    plan = getattr(stem, "plan", None) or PullPlan(stem=stem)
    saved = plan.pk is not None
    assignments = tuple(
        sheet.assignments.select_related("item__company", "anchor__estimated_by__details") if sheet is not None else ()
    )
    return PlanData(
        job=stem.job,
        stem=stem,
        plan=plan,
        sections=tuple(stem.sections.all()),
        crown_parts=tuple(stem.crown_parts.all()),
        redirects=tuple(plan.redirects.all()) if saved else (),
        places=tuple(plan.places.all()) if saved else (),
        hazards=tuple(stem.hazards.all()),
        assignments=assignments,
        sheet=sheet,
        measured=last_measurement(plan, assignments),
    )


def last_measurement(plan: PullPlan, assignments: tuple[Assignment, ...]) -> EfficiencyMeasurement | None:
    """The last measurement that counts of the tackle in the load path, rove as the plan says. At most one query."""
    hung = {a.role: a.item for a in assignments if a.rank == 0 and a.item is not None and a.role in SYSTEM_ROLES}
    systems = {item.assembly_id for item in hung.values()} - {None}
    if "moving_block" in hung:
        systems.add(hung["moving_block"].pk)
    if not systems:
        return None
    rows = EfficiencyMeasurement.objects.standing().filter(item__in=systems, parts=plan.parts, rove=plan.rove)
    return rows.select_related("item", "record").first()


def earlier_measurements(plan_data: PlanData) -> tuple[EfficiencyMeasurement, ...]:
    """Those that count of the same tackle, rove alike, before the last one. At most one query."""
    last = plan_data.measured
    if last is None:
        return ()
    rows = EfficiencyMeasurement.objects.standing().filter(item=last.item_id, parts=last.parts, rove=last.rove)
    return tuple(row for row in rows if row.pk != last.pk)
