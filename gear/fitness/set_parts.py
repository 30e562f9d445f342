"""Reads of tackle sets: which parts were in one on a day, and what was changed in it."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef, Q

from crewlog.models import Record
from gear.models import GearItem, PartChange
from gear.sets.part_history import Move, Stay, first_stay, stays_of


def move_of(row: PartChange) -> Move:
    return Move(row.part_id, row.assembly_id, row.is_in, row.day, row.first_record.sequence)


def stays_by_part(parts: Iterable[GearItem]) -> dict[int, list[Stay]]:
    """Every stay of some parts in sets. One query."""
    known = {part.pk: part for part in parts}
    rows: dict[int, list[PartChange]] = {key: [] for key in known}
    found = PartChange.objects.filter(part__in=known).select_related("record__corrects__corrects")
    corrected = Exists(Record.objects.filter(corrects=OuterRef("record")))
    for row in found.annotate(is_corrected=corrected).order_by("record_id"):
        rows[row.part_id].append(row)
    return {key: stays_of(standing_moves(rows[key]), begun_with(part, rows[key])) for key, part in known.items()}


def standing_moves(rows: Iterable[Any]) -> list[Move]:
    """The changes that no later record corrects; `is_corrected` was annotated."""
    return [move_of(row) for row in rows if not row.is_corrected]


def begun_with(part: GearItem, rows: Sequence[PartChange]) -> Stay | None:
    """Where a part was before the first change on record."""
    return first_stay(
        part=part.pk,
        present=part.assembly_id,
        registered_on=part.registered_on,
        first=move_of(rows[0]) if rows else None,
    )


def ever_in(assembly: GearItem) -> list[GearItem]:
    """Items that are or were parts of a set. One query."""
    moved = PartChange.objects.filter(assembly=assembly).values("part")
    rows = GearItem.objects.filter(Q(assembly=assembly) | Q(pk__in=moved)).distinct()
    return list(rows.order_by("tag", "pk"))


def parts_on(assembly: GearItem, day: dt.date) -> list[GearItem]:
    """The parts that were in a set when the day ended, by tag. Two queries."""
    return [row.part for row in part_rows(assembly, day)]


def parts_at_any_time_of(assembly: GearItem, day: dt.date) -> list[GearItem]:
    """The parts that were in a set at some hour of a day, one taken out or put in that day too. Two queries."""
    parts = ever_in(assembly)
    stays = stays_by_part(parts)
    return [part for part in parts if any(s.assembly == assembly.pk and s.touches(day) for s in stays[part.pk])]


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part that was in a set on the day asked for, and since when."""

    part: GearItem
    since: dt.date
    until: dt.date | None


def part_rows(assembly: GearItem, day: dt.date) -> list[PartRow]:
    """Parts of a set on a day with their stays. Two queries."""
    parts = ever_in(assembly)
    stays = stays_by_part(parts)
    return [
        PartRow(part, stay.since, stay.until)
        for part in parts
        for stay in stays[part.pk]
        if stay.assembly == assembly.pk and stay.covers(day)
    ]


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """One change of a set's parts as its page lists it."""

    record_id: int
    sequence: int
    on: dt.date
    words: str
    tag: str
    url: str
    because: str
    who: str
    is_late: bool
    corrects: int | None
    corrected_by: int | None


def change_rows(rows: Iterable[PartChange]) -> list[ChangeRow]:
    """Changes of a page; `with_people` has fetched what they read."""
    return [
        ChangeRow(
            record_id=row.pk,
            sequence=row.record.sequence,
            on=row.day,
            words=row.get_change_display(),
            tag=row.part.tag,
            url=row.part.get_absolute_url(),
            because=row.because,
            who=str(row.record.entered_by or "Crewlog"),
            is_late=row.record.is_late,
            corrects=row.record.corrects.sequence if row.record.corrects else None,
            corrected_by=next((later.sequence for later in row.record.corrections.all()), None),
        )
        for row in rows
    ]
