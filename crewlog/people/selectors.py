"""Page-shaped reads over people and records."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from crewlog.models import Record
from crewlog.retention.rules import kind_words


@dataclass(frozen=True, slots=True)
class RecordRow:
    """One link of the chain as a list shows it."""

    sequence: int
    kind: str
    happened_at: dt.datetime
    entered_at: dt.datetime
    entered_by: str
    is_late: bool
    from_paper: bool
    short_hash: str


def record_rows(records: Iterable[Record]) -> list[RecordRow]:
    return [
        RecordRow(
            sequence=record.sequence,
            kind=kind_words(record.kind),
            happened_at=record.happened_at,
            entered_at=record.entered_at,
            entered_by=str(record.entered_by) if record.entered_by else "Crewlog",
            is_late=record.is_late,
            from_paper=record.from_paper,
            short_hash=record.hash[:12],
        )
        for record in records
    ]
