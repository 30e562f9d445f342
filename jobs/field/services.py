"""What was done on the day of an issued sheet: readings as they were taken, and the day as its lead records it."""

import datetime as dt
import zoneinfo
from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row, canonical_json
from crewlog.models import Company, Membership
from crewlog.people.rights import must_be_ours, require_role
from crewlog.web.access import COMPANY_PEOPLE, PLANNERS
from gear.fitness.entries import moment_of
from gear.fitness.facts import item_fitness
from gear.loads.services import Load, record_loads
from gear.models import GearItem, LoadRecord
from gear.register.services import start_use
from jobs.field.loads import IssuedPath, Peak, loads_of_day, peak_of
from jobs.mechanics import MECHANICS_VERSION
from jobs.models import Assignment, DayRecord, IssuedSheet, Reading, Sheet
from jobs.wording.unit_formatter import UnitFormatter

LONGEST_REASON = 200


@transaction.atomic
def record_reading(
    *,
    actor: Membership,
    sheet: Sheet,
    kind: str,
    moment: str,
    force_n: float,
    gauge: GearItem,
    read_at: dt.datetime,
    note: str = "",
    from_paper: bool = False,
    corrects: Reading | None = None,
) -> Reading:
    """Record what a load cell showed [N]. A cell that was not fit that day still tells: the record says why it was
    not. Raises RuleBroken for a draft, a day that is not the sheet's, or what is no load cell of the company.
    """
    require_role(actor, *COMPANY_PEOPLE)
    must_be_ours(actor, sheet.stem.job.company_id, "sheet")
    issue_of(sheet)
    if gauge.company_id != actor.company_id or gauge.kind != "gauge":
        raise RuleBroken("Choose the load cell it was read with.", code="no-load-cell", field="gauge")
    must_be_of_the_day(sheet, read_at)
    if corrects is not None:
        must_stand(corrects, sheet)
    unfit = " ".join(reason.words for reason in item_fitness(gauge, sheet.day))
    row = Reading(
        sheet=sheet,
        kind=kind,
        moment=moment,
        force_n=force_n,
        gauge=gauge,
        gauge_unfit=unfit[:LONGEST_REASON],
        read_at=read_at,
        note=note.strip(),
    )
    entry = Entry(
        actor=actor.person,
        happened_at=read_at,
        from_paper=from_paper,
        corrects=corrects.record if corrects is not None else None,
    )
    return append_row(actor.company, entry, row, people=[actor.person])


@transaction.atomic
def record_day(
    *,
    actor: Membership,
    sheet: Sheet,
    result: str,
    used: Sequence[Assignment],
    note: str = "",
    from_paper: bool = False,
) -> DayRecord:
    """Record a sheet's day: what became of the stem, and which items were used, each with its load and a use.

    Loads come from the readings through the plan as it was issued; without a reading they are not measured. Recorded
    again, the day and each load correct the ones before. An item over its limit goes out of use at once.
    Raises RuleBroken for a draft, a day ahead, or an item that is not on the sheet.
    """
    require_role(actor, *PLANNERS)
    must_be_ours(actor, sheet.stem.job.company_id, "sheet")
    Company.objects.select_for_update().get(pk=actor.company_id)
    issue = issue_of(sheet)
    if sheet.day > actor.company.today():
        raise RuleBroken("The sheet's day lies ahead. Record it when the work is done.", code="day-ahead")
    for each in used:
        if each.sheet_id != sheet.pk or each.item is None:
            raise RuleBroken("That item is not on this sheet.", code="not-on-sheet", field="used")
    path = IssuedPath(issue)
    write = UnitFormatter(actor.company.unit_system)
    peak = peak_of(path, standing_readings(sheet), write)
    row = DayRecord(result=result, note=note.strip())
    day = write_day(actor, sheet, row, used=used, peak=peak, from_paper=from_paper)
    begin_use(actor, sheet, used)
    record_loads(
        actor=actor,
        loads=greatest_each(loads_of_day(path, used, peak)),
        on=sheet.day,
        reference=f"Sheet {sheet.number}, revision {sheet.revision}",
        work=issue.record,
        earlier=list(LoadRecord.objects.filter(work=issue.record).standing().select_related("item__company", "record")),
    )
    return day


def issue_of(sheet: Sheet) -> IssuedSheet:
    issue = IssuedSheet.objects.defer("pdf").select_related("record").filter(sheet=sheet).first()
    if issue is None:
        raise RuleBroken("Only an issued sheet is worked from.", code="not-issued")
    return issue


def must_be_of_the_day(sheet: Sheet, read_at: dt.datetime) -> None:
    zone = zoneinfo.ZoneInfo(sheet.stem.job.company.time_zone)
    if read_at > timezone.now():
        raise RuleBroken("The time lies ahead.", code="happened-in-future", field="read_at")
    if read_at.astimezone(zone).date() != sheet.day:
        words = f"The sheet is for {sheet.day:%-d %B %Y}. A reading of another day belongs to that day's sheet."
        raise RuleBroken(words, code="not-that-day", field="read_at")


def must_stand(reading: Reading, sheet: Sheet) -> None:
    if reading.sheet_id != sheet.pk or reading.record.corrections.exists():
        raise RuleBroken("A later record corrects it already. Correct that one.", code="corrected-already")


def standing_readings(sheet: Sheet) -> list[Reading]:
    return list(Reading.objects.filter(sheet=sheet).standing().select_related("gauge"))


def standing_day(sheet: Sheet) -> DayRecord | None:
    """The day as it stands recorded. One query."""
    rows = DayRecord.objects.filter(sheet=sheet).standing().select_related("record", "recorded_by__details")
    found: DayRecord | None = rows.first()
    return found


def write_day(
    actor: Membership,
    sheet: Sheet,
    row: DayRecord,
    *,
    used: Sequence[Assignment],
    peak: Peak | None,
    from_paper: bool,
) -> DayRecord:
    """Append the day; one that was recorded before is corrected by it."""
    before = standing_day(sheet)
    row.sheet, row.recorded_by = sheet, actor.person
    row.used = canonical_json([[each.role, each.item_id] for each in used])
    row.tension_n = peak.tension_n if peak is not None else None
    row.tension_basis = f"{peak.words}."[:LONGEST_REASON] if peak is not None else ""
    row.mechanics_version = MECHANICS_VERSION
    entry = Entry(
        actor=actor.person,
        happened_at=moment_of(actor.company, sheet.day),
        from_paper=from_paper,
        corrects=before.record if before is not None else None,
    )
    return append_row(actor.company, entry, row, people=[actor.person])


def begin_use(actor: Membership, sheet: Sheet, used: Sequence[Assignment]) -> None:
    """The first day of use of what was new."""
    for row in used:
        if row.item is not None and row.item.is_unused and row.item.retired_on is None:
            start_use(actor=actor, item=row.item, on=sheet.day)


def greatest_each(loads: Sequence[Load]) -> list[Load]:
    """One load an item: of one that hung in two positions the greatest share counts."""
    kept: dict[int, Load] = {}
    for load in loads:
        other = kept.get(load.item.pk)
        if other is None or share_of(load) > share_of(other):
            kept[load.item.pk] = load
    return list(kept.values())


def share_of(load: Load) -> float:
    return load.peak_n / load.limit_n if load.peak_n is not None and load.limit_n else -1.0
