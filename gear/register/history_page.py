"""The records of one item, newest first, as a page or a report shows them."""

import datetime as dt
import json
import zoneinfo
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from crewlog.evidence import about
from crewlog.models import Person, Record
from gear.fact_changes.words import Swap, swaps_of
from gear.failures.history import failure_events
from gear.files.pages import FileRow, file_row, files_of
from gear.fitness.defects import RETESTED
from gear.models import (
    ChangeAnswer,
    EnteredByMistake,
    FactChange,
    GearEvent,
    GearItem,
    Inspection,
    PartChange,
    Retirement,
    RoundLine,
)
from gear.models.round import NOT_PRESENTED


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One record. `is_grave` marks what took the item out; `of_tag` is set where it comes from the parent."""

    record_id: int
    sequence: int
    on: dt.date
    title: str
    lines: tuple[str, ...]
    who: str
    short_hash: str
    is_late: bool
    from_paper: bool
    is_grave: bool
    corrects: int | None = None
    corrected_by: int | None = None
    of_tag: str = ""
    inspection_kind: str = ""
    files: tuple[FileRow, ...] = ()
    swaps: tuple[Swap, ...] = ()


def item_history(item: GearItem) -> list[HistoryRow]:
    """Every record of an item, and of what it was cut from up to that day. Thirteen queries a generation."""
    rows = sorted(own_rows(item), key=lambda row: (row.on, row.sequence), reverse=True)
    rows = marked_corrections(rows)
    if item.parent is None:
        return rows
    inherited = [
        replace(row, of_tag=row.of_tag or item.parent.tag)
        for row in item_history(item.parent)
        if row.on <= item.registered_on
    ]
    return [*rows, *inherited]


def own_rows(item: GearItem) -> Iterator[HistoryRow]:
    people = ("record__entered_by__details", "record__on_behalf_of__details")
    files, of_events = dict[int, list[FileRow]](), dict[int, list[FileRow]]()
    changes = list(changes_of(item))
    of_changes = {change.shown_by_id for change in changes}
    for file in files_of(item).select_related("record__corrects", "inspection", "event", *people):
        row = file_row(item, file)
        if file.event_id is not None:
            of_events.setdefault(file.event_id, []).append(row)
        elif file.inspection_id is None:
            if file.pk in of_changes:
                continue
            yield replace(row_of(file.record, row.on, row.kind, (sentence(row.words),)), files=(row,))
        else:
            files.setdefault(file.inspection_id, []).append(row)
    for inspection in Inspection.objects.filter(item=item).select_related(
        "record__corrects", "inspector__details", *people
    ):
        yield replace(inspection_row(inspection), files=tuple(files.get(inspection.pk, ())))
    for event in GearEvent.objects.filter(item=item).select_related("record__corrects", *people):
        yield replace(event_row(event), files=tuple(of_events.get(event.pk, ())))
    for end in Retirement.objects.filter(item=item).select_related("record__corrects", *people):
        title = f"Retired: {end.get_disposal_display().lower()}"
        yield row_of(end.record, end.retired_on, title, (sentence(end.reason),), is_grave=True)
    for mistake in EnteredByMistake.objects.filter(item=item).select_related("record__corrects", *people):
        because = (sentence(mistake.reason),)
        yield row_of(mistake.record, mistake.ended_on, "Entered by mistake", because, is_grave=True)
    for change in PartChange.objects.filter(part=item).select_related("record__corrects", "assembly", *people):
        title = f"{'Put into' if change.is_in else 'Taken out of'} {change.assembly.tag}"
        yield row_of(change.record, change.day, title, (sentence(change.because),))
    zone = zoneinfo.ZoneInfo(item.company.time_zone)
    for failure in failure_events(item):
        lines = tuple(sentence(line) for line in failure.lines)
        yield row_of(failure.record, failure.on, failure.title, lines, is_grave=failure.is_grave)
    missed = RoundLine.objects.filter(item=item, outcome=NOT_PRESENTED)
    for line in missed.select_related("round", "record__corrects", *people):
        on = line.record.happened_at.astimezone(zone).date()
        yield row_of(line.record, on, "Not presented", (sentence(f"Inspection round: {line.round.title}"),))
    for each in changes:
        yield from change_rows(item, each, zone)
    for record in register_records(item):
        on = record.entered_at.astimezone(zone).date()
        if record.kind == "gear.item-registered":
            yield row_of(record, on, "Registered", ())
        else:
            swaps = swaps_of(json.loads(record.body)["changes"], item.company.unit_system)
            yield replace(row_of(record, on, "Changed on record", ()), swaps=swaps)


def changes_of(item: GearItem) -> Any:
    """Changes of an item's facts with their answers. One query."""
    people = ("record__entered_by__details", "record__on_behalf_of__details", "record__corrects")
    answers = tuple(f"answer__{name}" for name in (*people, "by__details"))
    return FactChange.objects.filter(item=item).select_related("shown_by__record", *people, *answers)


def change_rows(item: GearItem, change: FactChange, zone: zoneinfo.ZoneInfo) -> Iterator[HistoryRow]:
    """A change of fact, and its answer where it waited for one."""
    swaps = swaps_of(change.changes, item.company.unit_system)
    answer = getattr(change, "answer", None)
    lines = [f"{change.get_reason_display()}: {change.words}", f"Stands in: {change.get_source_display().lower()}"]
    if change.waits and answer is None:
        lines.append("Waiting: the recorded value applies")
    file = (file_row(item, change.shown_by),) if change.shown_by is not None else ()
    title = "Change entered, to be confirmed" if change.waits else "Fact changed"
    on = change.record.happened_at.astimezone(zone).date()
    yield replace(row_of(change.record, on, title, tuple(map(sentence, lines))), swaps=swaps, files=file)
    if answer is not None:
        on = answer.record.happened_at.astimezone(zone).date()
        title = f"Change of record {change.record.sequence}: {answer.get_answer_display().lower()}"
        counts = answer.answer == ChangeAnswer.AGREES
        said = sentence(answer.words) if answer.words else ""
        lines = [line for line in (said, "It applies from now on." if counts else "The recorded value stays.") if line]
        made = row_of(answer.record, on, title, tuple(lines))
        yield replace(made, who=str(answer.by), swaps=swaps if counts else ())


def register_records(item: GearItem) -> Any:
    """Records of the item being registered and changed."""
    return (
        Record.objects.filter(about(GearItem, [item.pk]), kind__in=["gear.item-registered", "gear.item-changed"])
        .select_related("entered_by__details", "on_behalf_of__details", "corrects")
        .order_by()
    )


def inspection_row(row: Inspection) -> HistoryRow:
    seen = [f"{a['words']}: {a['saw']}" for a in row.answers if a["saw"]]
    good = sum(a["answer"] == "good" for a in row.answers)
    lines = [f"{good} of {len(row.answers)} points good."] if row.answers else []
    lines += [sentence(text) for text in ([row.findings] if row.findings else seen)]
    for cure in row.cures:
        lines.append(cure_words(cure))
    if row.because:
        lines.append(sentence(f"Corrected because: {row.because}"))
    title = f"{row.get_kind_display()}: {row.get_verdict_display().lower()}"
    grave = row.verdict in ("out_of_use", "retire")
    made = row_of(row.record, row.examined_on, title, tuple(lines), is_grave=grave)
    return replace(made, who=str(row.inspector), inspection_kind=row.kind)


def cure_words(cure: dict[str, str]) -> str:
    """What became of a defect: what was mended and by whom, or which test shows none. Queries for a person."""
    if cure["how"] == RETESTED:
        return sentence(f"{cure['defect'].rstrip('.')}. Test shows no defect: {cure['words']}")
    person = Person.objects.with_details().filter(pk=cure["by"]).first() if cure["by"] else None
    by = " and ".join(part for part in (str(person) if person else "", cure["firm"]) if part)
    return sentence(f"{cure['defect'].rstrip('.')}. Mended by {by}: {cure['words']}")


def event_row(row: GearEvent) -> HistoryRow:
    lines = [sentence(row.description)]
    if row.gear_loaded is not None and row.kind in ("drop", "heat_or_chemical", "cut_or_abrasion", "loss"):
        lines.append("The gear was loaded." if row.gear_loaded else "The gear was not loaded.")
    grave = row.kind in ("shock_load", "overload", "recall", "taken_out_of_use", "drop", "cut_or_abrasion")
    return row_of(row.record, row.happened_on, row.get_kind_display(), tuple(lines), is_grave=grave)


def row_of(record: Record, on: dt.date, title: str, lines: tuple[str, ...], *, is_grave: bool = False) -> HistoryRow:
    person = record.on_behalf_of or record.entered_by
    return HistoryRow(
        record_id=record.pk,
        sequence=record.sequence,
        on=on,
        title=title,
        lines=lines,
        who=str(person) if person else "Crewlog",
        short_hash=f"{record.hash[:4]} {record.hash[4:8]}",
        is_late=record.is_late,
        from_paper=record.from_paper,
        is_grave=is_grave,
        corrects=record.corrects.sequence if record.corrects else None,
    )


def marked_corrections(rows: list[HistoryRow]) -> list[HistoryRow]:
    """Each corrected record names the one that corrects it."""
    later = {row.corrects: row.sequence for row in rows if row.corrects is not None}
    return [replace(row, corrected_by=later.get(row.sequence)) for row in rows]


def sentence(text: str) -> str:
    text = text.strip()
    return text if text.endswith((".", "…")) else f"{text}."
