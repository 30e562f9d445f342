"""Appending to a company's chain of records."""

import datetime as dt
import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence.canonical import canonical_json, to_plain
from crewlog.evidence.marks import mark_on_commit
from crewlog.evidence.subjects import write_subjects
from crewlog.models import Company, Person, Record

FIRST = "0" * 64
AHEAD = dt.timedelta(minutes=5)  # what the clock of a device may run fast


def hashed_columns(record: Record) -> dict[str, Any]:
    """Everything a record says, as its hash and an exported chain write it."""
    said = {
        "company": record.company_id,
        "sequence": record.sequence,
        "kind": record.kind,
        "happened_at": record.happened_at,
        "entered_at": record.entered_at,
        "device_time": record.device_time,
        "device_offset_min": record.device_offset_min,
        "entered_by": str(record.entered_by_id) if record.entered_by_id else None,
        "on_behalf_of": str(record.on_behalf_of_id) if record.on_behalf_of_id else None,
        "from_paper": record.from_paper,
        "corrects": record.corrects_id,
        "names": record.names,
        "body": record.body,
        "previous_hash": record.previous_hash,
    }
    return {name: to_plain(value) for name, value in said.items()}


def record_hash(record: Record) -> str:
    """sha256 over everything a record says and the hash of the one before."""
    return hashlib.sha256(canonical_json(hashed_columns(record)).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Entry:
    """How a fact came into the records."""

    actor: Person | None
    happened_at: dt.datetime | None = None
    on_behalf_of: Person | None = None
    from_paper: bool = False
    device_time: dt.datetime | None = None
    device_offset_min: int | None = None
    corrects: Record | None = None


def name_digests(people: Iterable[Person | None]) -> str:
    """Canonical list of [person id, salted digest of the name as printed]; a removed person has no digest."""
    listed = {str(p.pk): p for p in people if p is not None}
    rows = []
    for key in sorted(listed):
        details = getattr(listed[key], "details", None)
        rows.append([key, details.digest() if details else None])
    return canonical_json(rows)


@transaction.atomic
def append(
    company: Company, kind: str, entry: Entry, *, body: Mapping[str, Any], people: Iterable[Person | None] = ()
) -> Record:
    """Append one record to the company's chain and return it. The kind is declared in the app's record_kinds.

    Raises RuleBroken when the fact is said to have happened in the future.
    """
    record = next_link(last_link(company), company, kind, entry, body=body, people=people)
    record.save(force_insert=True)
    write_subjects([record])
    mark_on_commit(company)
    return record


@transaction.atomic
def append_all(
    company: Company,
    kind: str,
    entry: Entry,
    *,
    bodies: Iterable[Mapping[str, Any]],
    people: Sequence[Person | None] = (),
) -> list[Record]:
    """Append one record for each body, in their order. As `append`; queries do not grow with the records."""
    records: list[Record] = []
    last = last_link(company)
    for body in bodies:
        last = next_link(last, company, kind, entry, body=body, people=people)
        records.append(last)
    return save_links(company, records)


def save_links(company: Company, records: list[Record]) -> list[Record]:
    """Insert records that follow each other and the end of the chain, and what they are about."""
    saved = Record.objects.bulk_create(records)
    if saved:
        write_subjects(saved)
        mark_on_commit(company)
    return saved


def last_link(company: Company) -> Record | None:
    """The end of the chain, held until the transaction ends: one writer at a time (on SQLite the transaction is)."""
    Company.objects.select_for_update().get(pk=company.pk)
    last: Record | None = Record.objects.for_company(company).order_by("-sequence").first()
    return last


def next_link(
    last: Record | None,
    company: Company,
    kind: str,
    entry: Entry,
    *,
    body: Mapping[str, Any],
    people: Iterable[Person | None] = (),
) -> Record:
    """The record that follows the last one, not yet saved.

    Its time of entry is the server's, and never before that of the last: a clock that was set back does not show.
    """
    now = timezone.now()
    happened_at = entry.happened_at or now
    if happened_at > now + AHEAD:
        raise RuleBroken("A record cannot say that something happened in the future.", code="happened-in-future")
    record = Record(
        company=company,
        sequence=last.sequence + 1 if last else 1,
        kind=kind,
        happened_at=happened_at,
        entered_at=max(now, last.entered_at) if last else now,
        device_time=entry.device_time,
        device_offset_min=entry.device_offset_min,
        entered_by=entry.actor,
        on_behalf_of=entry.on_behalf_of,
        from_paper=entry.from_paper,
        corrects=entry.corrects,
        names=name_digests([entry.actor, entry.on_behalf_of, *people]),
        body=canonical_json(body),
        previous_hash=last.hash if last else FIRST,
    )
    record.hash = record_hash(record)
    return record


def chain_length(company: Company) -> int:
    """How many records the company's chain has: the place of the last, as none is missing. Nothing is counted."""
    last = Record.objects.for_company(company).order_by("-sequence").values_list("sequence", flat=True).first()
    return last or 0


def chain_head(company: Company) -> str:
    """Hash of the company's last record, or 64 zeros for an empty chain."""
    last = Record.objects.for_company(company).order_by("-sequence").values_list("hash", flat=True).first()
    return last or FIRST
