"""The links of a chain recomputed one by one: place, hash, kind and time of each."""

import datetime as dt
import json
from collections.abc import Iterator
from dataclasses import dataclass, field

from crewlog.evidence.chain import AHEAD, FIRST, record_hash
from crewlog.evidence.kinds import known_kinds
from crewlog.evidence.rows import CHUNK
from crewlog.models import Company, Record


@dataclass(slots=True)
class Reading:
    """How far a chain was read, and what of it is needed later: grows with people, not with records."""

    count: int = 0
    head: str = FIRST
    entered_at: dt.datetime | None = None
    since_stands: bool = False
    digests: dict[str, str | None] = field(default_factory=dict)  # of each person's name, as last entered


def link_faults(company: Company, reading: Reading, *, since: str | None = None) -> Iterator[str]:
    """Recompute a chain from its first record; `reading` is filled on the way. After a fault it goes on from there."""
    kinds = known_kinds()
    reading.since_stands = since in (None, FIRST)
    for record in Record.objects.for_company(company).order_by("sequence").iterator(chunk_size=CHUNK):
        yield from one_link(record, reading, kinds)
        reading.count, reading.head = record.sequence, record.hash
        reading.entered_at = record.entered_at
        reading.since_stands = reading.since_stands or record.hash == since


def one_link(record: Record, reading: Reading, kinds: frozenset[str]) -> Iterator[str]:
    """What is wrong with one link that follows what was read."""
    place = f"record {record.sequence} ({record.kind})"
    if record.sequence != reading.count + 1:
        yield f"record {reading.count + 1} is missing: record {record.sequence} stands in its place"
    if record.previous_hash != reading.head:
        yield f"record {record.sequence} does not follow from the one before it"
    if record.hash != record_hash(record):
        yield f"{place} was changed after it was entered"
    if record.kind not in kinds:
        yield f"{place} is of a kind that Crewlog does not write"
    if reading.entered_at is not None and record.entered_at < reading.entered_at:
        yield f"{place} says that it was entered before the one it follows"
    if record.happened_at > record.entered_at + AHEAD:
        yield f"{place} was entered before it happened"
    try:
        reading.digests.update(dict(json.loads(record.names)))
    except (TypeError, ValueError):
        yield f"{place}: its list of names cannot be read"
