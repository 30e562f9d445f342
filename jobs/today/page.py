"""The page one starts the day on: what runs, what waits for a decision, what the gear needs."""

import datetime as dt
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypedDict

from django.db.models import Count, Exists, OuterRef
from django.urls import reverse

from crewlog.dates import NBSP, day_words
from crewlog.evidence import chain_head, chain_length
from crewlog.models import Company, Membership, Person
from crewlog.web.access import INSPECTORS, PLANNERS
from crewlog.web.ui_rows import MarkKind
from gear.fact_changes.pages import changes_for
from gear.failures.pages import untold_rows
from gear.fitness.statuses import MARKS, Status
from gear.models import GearItem
from gear.register.store_list import store_counts
from gear.rounds.pages import DraftRow, open_drafts
from jobs.mechanics.findings.codes import find_code
from jobs.models import Job, PullPlan, Sheet, SheetRefusal, SheetWithdrawal, Stem
from jobs.plans.code_words import reasons_words
from jobs.plans.page_rows import stem_title
from jobs.readings.pages import ReadingAlert, reading_alerts
from jobs.sheets.standing.selectors import is_felled, unseen_withdrawals
from jobs.sites.page_state import StemRow, stem_row, with_sheets
from jobs.sites.pages import days_words
from jobs.wording.counted import counted
from jobs.wording.felling import felling
from jobs.wording.unit_formatter import UnitFormatter

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

DUE_SHOWN = 6
DECISIONS_SHOWN = 8
SHEETS_LOOKED_AT = 12
STORE_WORDS: dict[Status, str] = {
    "in_service": "In service",
    "due": "Due in 30 days",
    "overdue": "Overdue",
    "unfit": "Out of use",
    "retired": "Retired",
}


class CrewCount(TypedDict):
    """What the day counts beside each job."""

    crew_count: int


if TYPE_CHECKING:
    JobWithCrew = WithAnnotations[Job, CrewCount]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobToday:
    """A job that runs today or comes next."""

    id: int
    site: str
    reference: str
    line: str
    stems: tuple[StemRow, ...]
    next_words: str
    next_href: str
    gust_words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """Something that waits for the reader: a refused sheet, a withdrawal not acknowledged, a marking to read."""

    mark: MarkKind
    title: str
    why: str
    href: str
    verb: str
    withdrawal: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DueRow:
    tag: str
    href: str
    what: str
    mark: MarkKind
    words: str


@dataclass(frozen=True, slots=True)
class CountRow:
    status: str
    mark: MarkKind
    word: str
    count: int


@dataclass(frozen=True, slots=True)
class ChangedRow:
    """An input changed after a refusal, for the owner."""

    sheet: str
    href: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TodayPage:
    title: str
    line: str
    jobs: tuple[JobToday, ...]
    ahead: tuple[JobToday, ...]
    readings: tuple[ReadingAlert, ...]
    decisions: tuple[Decision, ...]
    due: tuple[DueRow, ...]
    counts: tuple[CountRow, ...]
    changed: tuple[ChangedRow, ...]
    rounds: tuple[DraftRow, ...]
    records: str
    head: str


def today_page(member: Membership, *, may_plan: bool) -> TodayPage:
    """One member's day. The number of queries does not grow with jobs, stems, sheets or gear."""
    company = member.company
    today = company.today()
    open_jobs = Job.objects.for_company(company).open().select_related("company", "lead__details")
    running = list(open_jobs.on_day(today).annotate(crew_count=Count("crew")).order_by("first_day", "reference"))
    ahead = list(open_jobs.filter(first_day__gt=today).annotate(crew_count=Count("crew")).order_by("first_day")[:3])
    stems = stems_of(running + ahead)
    return TodayPage(
        title=f"{today:%A} {today.day}{NBSP}{today:%B}",
        line=day_line(running, today, member.person),
        jobs=tuple(job_today(job, stems.get(job.pk, []), today, may_plan=may_plan) for job in running),
        ahead=tuple(job_today(job, stems.get(job.pk, []), today, may_plan=may_plan) for job in ahead),
        readings=tuple(reading_alerts(company)),
        decisions=(
            *untold(member),
            *decisions(company, member.person, may_plan=may_plan),
            *markings_to_read(member),
        ),
        due=tuple(due_rows(company, today)),
        counts=tuple(count_rows(company, today)),
        changed=tuple(changed_rows(company)) if member.role == "owner" else (),
        rounds=tuple(open_drafts(member)) if member.role in INSPECTORS else (),
        records=f"{chain_length(company):,} records",
        head=chain_head(company)[:12],
    )


def stems_of(jobs: Sequence[Job]) -> dict[int, list[Stem]]:
    found: dict[int, list[Stem]] = {}
    for stem in with_sheets(Stem.objects.filter(job__in=jobs)).order_by("position", "label"):
        found.setdefault(stem.job_id, []).append(stem)
    return found


def day_line(running: "Sequence[JobWithCrew]", today: dt.date, person: Person) -> str:
    if not running:
        return "No job runs today."
    if len(running) > 1:
        return f"{counted(len(running), 'job')} run today.".capitalize()
    job = running[0]
    days = (job.last_day - job.first_day).days + 1
    where = f"Day {(today - job.first_day).days + 1} of {days} at {job.site_name}."
    crew = f"a crew of {job.crew_count}" if job.crew_count else "it"
    return f"{where} {'You lead' if job.lead_id == person.pk else f'{job.lead} leads'} {crew}."


def job_today(job: Job, stems: list[Stem], today: dt.date, *, may_plan: bool) -> JobToday:
    rows = tuple(stem_row(stem, may_plan=may_plan) for stem in stems)
    todo = next((row for row in rows if not row.is_felled), None)
    words, href = "", ""
    if may_plan and todo is not None:
        words, href = f"Go on with {todo.short}", todo.href
    elif may_plan and not rows:
        words, href = "Add the first stem", reverse("stem_new", args=[job.pk])
    return JobToday(
        id=job.pk,
        site=job.site_name,
        reference=job.reference,
        line=f"{days_words(job)}. {job.lead} leads.",
        stems=rows,
        next_words=words,
        next_href=href,
        gust_words=gust_words(job, stems),
    )


def gust_words(job: Job, stems: list[Stem]) -> str:
    """What wind the plans of the stems that still stand were worked for."""
    up = (stem for stem in stems if not is_felled(stem, stem.sheets.all()))
    plans: list[PullPlan] = [stem.plan for stem in up if hasattr(stem, "plan")]
    gusts = [plan.gust_m_s for plan in plans if plan.gust_m_s is not None]
    write = UnitFormatter(job.company.unit_system)
    stop = f"The company stops at {write.wind(job.company.wind_stop_m_s)}."
    if not gusts:
        return stop
    return f"Planned for gusts of {write.wind(min(gusts))}. {stop}"


def decisions(company: Company, person: Person, *, may_plan: bool) -> Iterable[Decision]:
    """Withdrawals the reader has not acknowledged, then drafts that were refused."""
    for row in list(unseen_withdrawals(company, person))[:DECISIONS_SHOWN]:
        yield Decision(
            mark="caution",
            title=f"Sheet {row.sheet.number} withdrawn",
            why=withdrawal_words(row),
            href=reverse("sheet", args=[row.sheet_id]),
            verb="Open the sheet",
            withdrawal=row.pk,
        )
    if may_plan:
        yield from refused_drafts(company)


def untold(member: Membership) -> Iterable[Decision]:
    """Failed items whose telling is open, for those who may give it. One query."""
    rows = untold_rows(member) if member.role in INSPECTORS else []
    for row in rows[:DECISIONS_SHOWN]:
        yield Decision(
            mark="out",
            title=f"{row.tag} failed: say how the employer was told",
            why=f"{row.reason}. {row.line}",
            href=row.told_href,
            verb="Say how",
        )


def markings_to_read(member: Membership) -> Iterable[Decision]:
    """Changes of facts that wait for the member's answer. Two queries for who may answer any, else none."""
    if member.role not in PLANNERS and member.role not in INSPECTORS:
        return
    for row in changes_for(member):
        yield Decision(
            mark="open",
            title=f"Read the marking of {row.tag}",
            why="; ".join(str(swap) for swap in row.swaps) + f". Entered by {row.who}, {row.on}.",
            href=row.href,
            verb="Read the marking",
        )


def withdrawal_words(row: SheetWithdrawal) -> str:
    site = row.sheet.stem.job.site_name
    return f"{row.reason.rstrip('.')}. It was issued for {day_words(row.sheet.day)} at {site}."


def refused_drafts(company: Company) -> Iterable[Decision]:
    refused = SheetRefusal.objects.filter(sheet=OuterRef("pk"))
    drafts = (
        Sheet.objects.for_company(company)
        .drafts()
        .filter(Exists(refused), stem__job__closed_on__isnull=True)
        .exclude(stem__in=Stem.objects.for_company(company).felled())
        .select_related("stem__job")
        .prefetch_related("refusals")
        .order_by("day")[:DECISIONS_SHOWN]
    )
    for draft in drafts:
        codes = json.loads(max(draft.refusals.all(), key=lambda each: each.pk).codes)
        yield Decision(
            mark="refused",
            title=f"Sheet for {str(draft.stem).lower()} refused",
            why=f"{stem_title(draft.stem)} at {draft.stem.job.site_name}: {code_words(codes)}.",
            href=reverse("sheet", args=[draft.pk]),
            verb="See the cures",
        )


def code_words(codes: list[str]) -> str:
    """The first three rules of a refusal in words, and how many more."""
    named: list[str] = []
    for full in codes:
        code = find_code(full)
        words = felling(code.title) if code is not None else full.partition(":")[0].replace("-", " ")
        words = words[:1].lower() + words[1:]
        if words not in named:
            named.append(words)
    more = len(named) - 3
    return ", ".join(named[:3]) + (f" and {more} more" if more > 0 else "")


def due_rows(company: Company, today: dt.date) -> Iterable[DueRow]:
    """Gear that is overdue or falls due within thirty days, the oldest first. Two queries."""
    rows = GearItem.objects.for_company(company)
    late, soon = rows.needing("overdue", today), rows.needing("due", today)
    items = [*late[:DUE_SHOWN], *soon[:DUE_SHOWN]]
    for item in items[:DUE_SHOWN]:
        yield due_today(item, today)


def due_today(item: GearItem, today: dt.date) -> DueRow:
    """One item and the earliest of its days, with what falls due unless that is its inspection."""
    mark: MarkKind
    ends = [
        (item.next_due_on, ""),
        (item.remark_due_on, "remark "),
        (item.life_ends_on, "life "),
        (item.due_back_on, "goes back "),
    ]
    day, what = min(((day, what) for day, what in ends if day is not None), default=(None, ""))
    if day is None:
        mark, words = "over", "No interval set"
    else:
        mark = "over" if day < today else "due"
        when = "today" if day == today else f"{day.day}{NBSP}{day:%b}"
        words = f"{what}{'since ' if day < today else ''}{when}"
        words = f"{words[0].upper()}{words[1:]}"
    return DueRow(tag=item.tag, href=item.get_absolute_url(), what=item.description, mark=mark, words=words)


def count_rows(company: Company, today: dt.date) -> Iterable[CountRow]:
    counts = store_counts(company, today)
    for status, word in STORE_WORDS.items():
        yield CountRow(status, MARKS[status], word, getattr(counts, status))


def changed_rows(company: Company) -> Iterable[ChangedRow]:
    """Inputs changed after a refusal on the sheets issued last, for the owner's eye."""
    issued = Sheet.objects.for_company(company).issued().select_related("issue").defer("issue__pdf")
    for sheet in issued.order_by("-issue__record_id")[:SHEETS_LOOKED_AT]:
        for change in json.loads(sheet.issue.snapshot).get("changes", []):
            source = f", source: {change['source']}" if change.get("source") else ""
            why = f"because it was refused: {reasons_words(change['refusal'], change['path'])}{source}"
            yield ChangedRow(
                f"Sheet {sheet.number}, revision {sheet.revision}",
                reverse("sheet", args=[sheet.pk]),
                f"{change['what']} changed from {change['before']} to {change['after']}, {why}",
            )
