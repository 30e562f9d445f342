"""The list of jobs and the page of one."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypedDict

from django.core.paginator import Page

from crewlog.dates import NBSP, day_words
from crewlog.models import Person
from jobs.models import Anchor, Job
from jobs.sheet_rows.rows import AnchorRow, Hazard
from jobs.sheets.path_rows import anchor_row
from jobs.sheets.work_rows import hazards
from jobs.sites.page_state import SheetRow, StemRow, sheet_row, stem_row, with_sheets
from jobs.wording.counted import counted, sentence
from jobs.wording.unit_formatter import UnitFormatter

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations


class StemCount(TypedDict):
    """What the list of jobs counts beside each."""

    stem_count: int


if TYPE_CHECKING:
    CountedJob = WithAnnotations[Job, StemCount]


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
class HazardLine:
    """A hazard of one of the job's stems, with the stem it is seen from."""

    hazard: Hazard
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AnchorLine:
    """An anchor with its estimate in the reader's units, and how many checks nobody has ticked."""

    anchor: AnchorRow
    estimate: str
    open_words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobPage:
    """Everything on a job's page."""

    days: str
    crew: tuple[Person, ...]
    crew_words: str
    stems: tuple[StemRow, ...]
    hazards: tuple[HazardLine, ...]
    anchors: tuple[AnchorLine, ...]
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


def job_groups(page: "Page[CountedJob]") -> list[JobGroup]:
    """Jobs of one page of the list, what runs now first. `stem_count` was counted by the query."""
    named: dict[str, list[JobRow]] = {"now": [], "ahead": [], "past": []}
    for job in page.object_list:
        today = job.company.today()
        done = job.closed_on is not None or job.last_day < today
        key = "past" if done else "ahead" if job.first_day > today else "now"
        named[key].append(job_row(job))
    titles = {"now": "Running", "ahead": "Ahead", "past": "Done"}
    return [JobGroup(key, titles[key], tuple(rows)) for key, rows in named.items() if rows]


def job_row(job: "CountedJob") -> JobRow:
    return JobRow(
        id=job.pk,
        site=job.site_name,
        reference=job.reference,
        days=days_words(job),
        lead=str(job.lead),
        stems=sentence(counted(job.stem_count, "stem")),
    )


def job_page(job: Job, *, may_plan: bool) -> JobPage:
    """One job with its stems, hazards, anchors and sheets: a fixed number of queries."""
    write = UnitFormatter(job.company.unit_system)
    stems = list(with_sheets(job.stems.all()).prefetch_related("hazards"))
    crew = tuple(job.crew.with_details().prefetch_related("learning").order_by("details__name"))
    return JobPage(
        days=days_words(job),
        crew=crew,
        crew_words=f"a crew of {len(crew)}" if crew else "alone so far",
        stems=tuple(stem_row(stem, may_plan=may_plan) for stem in stems),
        hazards=tuple(
            HazardLine(hazard=row, where=f"{write.text(row.where)} from {str(stem).lower()}")
            for stem in stems
            for row in hazards(stem.hazards.all())
        ),
        anchors=tuple(anchor_line(anchor, write) for anchor in job.anchors.select_related("estimated_by__details")),
        sheets=tuple(sheet_row(sheet, stem.sheets.all(), stem) for stem in stems for sheet in stem.sheets.all()),
    )


def anchor_line(anchor: Anchor, write: UnitFormatter) -> AnchorLine:
    row = anchor_row(anchor, anchor.job.company)
    return AnchorLine(
        anchor=row,
        estimate=write.text(row.estimate),
        open_words=f"{sentence(counted(len(row.open_checks), 'check'))} open",
    )
