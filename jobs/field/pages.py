"""The page of what was done: readings, the day, and what each item carried."""

from collections.abc import Iterable
from dataclasses import dataclass

from crewlog.models import Company
from gear.loads.pages import LoadRow, load_rows
from gear.models import GearItem, LoadRecord, LoadSource
from jobs.field.services import standing_day
from jobs.models import DayRecord, IssuedSheet, Reading, Sheet
from jobs.models.snapshot_json import snapshot_of
from jobs.readings.limits import Limits, limits_in
from jobs.readings.pages import JudgedReading, judged, reading_figure
from jobs.sheets.standing.rules import is_over
from jobs.wording.date_words import moment_words
from jobs.wording.unit_formatter import UnitFormatter


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """One reading, worded."""

    id: int
    sequence: int
    what: str
    force: str
    moment: str
    when: str
    cell: GearItem
    cell_unfit: str
    who: str
    note: str
    judged: JudgedReading
    corrects: int | None
    corrected_by: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemLoad:
    """What one item carried that day."""

    item: GearItem
    load: LoadRow


@dataclass(frozen=True, slots=True, kw_only=True)
class DonePage:
    """Everything that is on record of a sheet's day."""

    day: DayRecord | None
    recorded_line: str
    tension_line: str
    is_behind: bool
    readings: tuple[ReadingRow, ...]
    last_wrong: ReadingRow | None
    loads: tuple[ItemLoad, ...]


def done_page(sheet: Sheet, issue: IssuedSheet, company: Company) -> DonePage:
    """Six queries, however much was read and used."""
    write = UnitFormatter(company.unit_system)
    rows = Reading.objects.filter(sheet=sheet).select_related(
        "gauge", "record__corrects", "record__entered_by__details"
    )
    readings = list(rows.prefetch_related("record__corrections"))
    limits = limits_in(snapshot_of(issue)) if readings else {}
    listed = tuple(reading_row(reading, company, write, limits) for reading in readings)
    day = standing_day(sheet)
    return DonePage(
        day=day,
        recorded_line=f"Recorded by {day.recorded_by}, {moment_words(day.record.entered_at, company)}" if day else "",
        tension_line=day.tension_basis if day else "",
        is_behind=day is not None and any(reading.record_id > day.record_id for reading in readings),
        readings=listed,
        last_wrong=last_wrong(listed) if day is None or not is_over(day.result) else None,
        loads=tuple(item_loads(issue, company)),
    )


def last_wrong(rows: tuple[ReadingRow, ...]) -> ReadingRow | None:
    """The newest reading that counts, where it lies outside what the sheet allows."""
    standing = [row for row in rows if row.corrected_by is None]
    return standing[-1] if standing and standing[-1].judged.is_wrong else None


def reading_row(row: Reading, company: Company, write: UnitFormatter, limits: Limits) -> ReadingRow:
    return ReadingRow(
        id=row.pk,
        sequence=row.record.sequence,
        what=row.get_kind_display(),
        force=write.text(reading_figure(row.kind, row.force_n)),
        moment=row.get_moment_display(),
        when=moment_words(row.read_at, company),
        cell=row.gauge,
        cell_unfit=row.gauge_unfit,
        who=str(row.record.entered_by or "Crewlog"),
        note=row.note,
        judged=judged(row.kind, row.moment, row.force_n, limits=limits, write=write),
        corrects=row.record.corrects.sequence if row.record.corrects else None,
        corrected_by=next((later.sequence for later in row.record.corrections.all()), None),
    )


def item_loads(issue: IssuedSheet, company: Company) -> Iterable[ItemLoad]:
    rows = LoadRecord.objects.filter(work=issue.record_id).standing().exclude(source=LoadSource.NOT_USED)
    found = list(rows.select_related("item", "gauge", "record__entered_by__details").order_by("record_id"))
    for row, load in zip(found, load_rows(found, company.unit_system), strict=True):
        yield ItemLoad(item=row.item, load=load)
