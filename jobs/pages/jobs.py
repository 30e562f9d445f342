"""The list of jobs and the page of one."""

from dataclasses import dataclass

from django.core.paginator import Page

from crewlog.models import Person
from jobs.models import Anchor, Hazard, HazardKind, Job
from jobs.pages.rows import counted, sentence
from jobs.pages.state import SheetRow, StemRow, sheet_row, stem_row, with_sheets
from jobs.paper.words import NBSP, bearing_words, day_words
from jobs.unit_formatter import UnitFormatter


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow:
    """One job of the list."""

    id: int
    site: str
    reference: str
    days: str
    lead: str
    stems: str


@dataclass(frozen=True, slots=True)
class JobGroup:
    """Jobs that run now, lie ahead, or are done."""

    id: str
    title: str
    rows: tuple[JobRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HazardRow:
    what: str
    kind: str
    where: str
    control: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AnchorRow:
    id: int
    name: str
    kind: str
    estimate: str
    by: str
    basis: str
    open_checks: int
    open_words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobPage:
    """Everything on a job's page."""

    days: str
    crew: tuple[Person, ...]
    crew_words: str
    stems: tuple[StemRow, ...]
    hazards: tuple[HazardRow, ...]
    anchors: tuple[AnchorRow, ...]
    sheets: tuple[SheetRow, ...]


def days_words(job: Job) -> str:
    """ "26 and 27 November 2026" as a span, or one day."""
    if job.first_day == job.last_day:
        return day_words(job.first_day)
    if (job.first_day.year, job.first_day.month) == (job.last_day.year, job.last_day.month):
        return f"{job.first_day.day} to {day_words(job.last_day)}"
    if job.first_day.year == job.last_day.year:
        return f"{job.first_day.day}{NBSP}{job.first_day:%B} to {day_words(job.last_day)}"
    return f"{day_words(job.first_day)} to {day_words(job.last_day)}"


def job_groups(page: "Page[Job]") -> list[JobGroup]:
    """Jobs of one page of the list, what runs now first. `stem_count` was counted by the query."""
    named: dict[str, list[JobRow]] = {"now": [], "ahead": [], "past": []}
    for job in page.object_list:
        today = job.company.today()
        done = job.closed_on is not None or job.last_day < today
        key = "past" if done else "ahead" if job.first_day > today else "now"
        named[key].append(job_row(job))
    titles = {"now": "Running", "ahead": "Ahead", "past": "Done"}
    return [JobGroup(key, titles[key], tuple(rows)) for key, rows in named.items() if rows]


def job_row(job: Job) -> JobRow:
    return JobRow(
        id=job.pk,
        site=job.site_name,
        reference=job.reference,
        days=days_words(job),
        lead=str(job.lead),
        stems=sentence(counted(job.stem_count, "stem")),  # type: ignore[attr-defined]
    )


def job_page(job: Job, *, may_plan: bool) -> JobPage:
    """One job with its stems, hazards, anchors and sheets: a fixed number of queries."""
    reader = UnitFormatter(job.company.unit_system)
    stems = list(with_sheets(job.stems.all()).prefetch_related("hazards"))
    crew = tuple(job.crew.with_details().prefetch_related("learning").order_by("details__name"))
    return JobPage(
        days=days_words(job),
        crew=crew,
        crew_words=f"a crew of {len(crew)}" if crew else "alone so far",
        stems=tuple(stem_row(stem, may_plan=may_plan) for stem in stems),
        hazards=tuple(
            HazardRow(
                what=hazard.description,
                kind=hazard.get_kind_display(),
                where=f"{bearing_words(hazard.distance_m, hazard.bearing_deg, reader)} from {str(stem).lower()}",
                control=hazard_control(hazard),
            )
            for stem in stems
            for hazard in stem.hazards.all()
        ),
        anchors=tuple(anchor_row(anchor, reader) for anchor in job.anchors.select_related("estimated_by__details")),
        sheets=tuple(sheet_row(sheet, stem.sheets.all(), stem) for stem in stems for sheet in stem.sheets.all()),
    )


def hazard_control(hazard: Hazard) -> str:
    if hazard.kind == HazardKind.OVERHEAD_LINE:
        return f"{hazard.get_power_line_control_display()}. {hazard.control}"
    return hazard.control


def anchor_row(anchor: Anchor, reader: UnitFormatter) -> AnchorRow:
    opened = anchor.open_checks()
    return AnchorRow(
        id=anchor.pk,
        name=anchor.name,
        kind=anchor.get_kind_display(),
        estimate=reader.force_limit(anchor.estimate_n),
        by=str(anchor.estimated_by),
        basis=anchor.basis,
        open_checks=len(opened),
        open_words=f"{sentence(counted(len(opened), 'check'))} open",
    )
