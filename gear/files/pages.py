"""Photographs and documents of one item as its pages show them."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from dataclasses import dataclass

from django.db.models import QuerySet
from django.urls import reverse

from crewlog.dates import day_words
from crewlog.files.keeping import is_kept
from gear.models import GearItem, StoredFile


@dataclass(frozen=True, slots=True)
class FileRow:
    """One file: where it opens, what it shows, when and by whom it was put on record."""

    address: str
    thumb_address: str
    is_photograph: bool
    kind: str
    words: str
    about: str
    on: dt.date
    who: str
    size_words: str
    sequence: int
    is_missing: bool


def files_of(item: GearItem) -> QuerySet[StoredFile]:
    """An item's files, newest first, with what their rows need."""
    rows: QuerySet[StoredFile] = StoredFile.objects.filter(item=item).select_related(
        "record__entered_by__details", "record__on_behalf_of__details", "inspection", "event"
    )
    return rows


def file_row(item: GearItem, file: StoredFile) -> FileRow:
    record = file.record
    person = record.on_behalf_of or record.entered_by
    names = {point.code: point.words for point in item.declared.checklist.points}
    about = [record_words(file)]
    if file.point:
        about.append(names.get(file.point, file.point))
    return FileRow(
        address=reverse("item_file", args=[item.tag, file.pk]),
        thumb_address=reverse("item_file_thumb", args=[item.tag, file.pk]) if file.is_photograph else "",
        is_photograph=file.is_photograph,
        kind=file.get_kind_display(),
        words=file.caption or (file.get_kind_display() if file.is_photograph else str(file)),
        about=". ".join(part for part in about if part),
        on=record.happened_at.astimezone(zoneinfo.ZoneInfo(item.company.time_zone)).date(),
        who=str(person) if person else "Crewlog",
        size_words=size_words(file.size),
        sequence=record.sequence,
        is_missing=not is_kept(file.sha256),
    )


def record_words(file: StoredFile) -> str:
    """The inspection or event it belongs to; empty for one of the item itself."""
    if file.inspection is not None:
        return f"{file.inspection.get_kind_display()}, {day_words(file.inspection.examined_on)}"
    if file.event is not None:
        return f"{file.event.get_kind_display()}, {day_words(file.event.happened_on)}"
    return ""


def size_words(size: int) -> str:
    """1.2 MB, or 340 kB."""
    if size >= 1_000_000:
        return f"{size / 1_000_000:.1f}\u00a0MB"
    return f"{max(1, round(size / 1000))}\u00a0kB"
