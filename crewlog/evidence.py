"""Appending to a company's chain of records, and recomputing it."""

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any, TypeVar

from django.apps import apps
from django.db import connection, models, transaction
from django.utils import timezone

from crewlog.append_only import missing_triggers
from crewlog.errors import RuleBroken
from crewlog.files.columns import FileHashField
from crewlog.files.keeping import file_fault
from crewlog.hooks import STATE_CHECKS
from crewlog.models import Company, EvidenceModel, Person, Record
from crewlog.paper_check import paper_faults

FIRST = "0" * 64
Evidence = TypeVar("Evidence", bound=EvidenceModel)


def plain(value: Any) -> Any:
    """A value as the chain writes it: dates in ISO 8601 and UTC, rows by key, bytes by their sha256."""
    if isinstance(value, dt.datetime):
        return value.astimezone(dt.UTC).isoformat()
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, models.Model):
        return str(value.pk)
    if isinstance(value, bytes | memoryview):
        return hashlib.sha256(bytes(value)).hexdigest()
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if value is None or isinstance(value, str | int | float | bool):
        return value
    return str(value)


def canonical(value: Any) -> str:
    """JSON with sorted keys and no spaces; a number that is not finite is an error."""
    return json.dumps(plain(value), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def record_hash(record: Record) -> str:
    """sha256 over everything a record says and the hash of the one before."""
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
    return hashlib.sha256(canonical(said).encode()).hexdigest()


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
    return canonical(rows)


@transaction.atomic
def append(
    company: Company, kind: str, entry: Entry, *, body: Mapping[str, Any], people: Iterable[Person | None] = ()
) -> Record:
    """Append one record to the company's chain and return it.

    Raises RuleBroken when the fact is said to have happened in the future.
    """
    record = next_link(last_link(company), company, kind, entry, body=body, people=people)
    record.save(force_insert=True)
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
    return Record.objects.bulk_create(records)


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
    """The record that follows the last one, not yet saved."""
    now = timezone.now()
    happened_at = entry.happened_at or now
    if happened_at > now + dt.timedelta(minutes=5):
        raise RuleBroken("A record cannot say that something happened in the future.", code="happened-in-future")
    record = Record(
        company=company,
        sequence=last.sequence + 1 if last else 1,
        kind=kind,
        happened_at=happened_at,
        entered_at=now,
        device_time=entry.device_time,
        device_offset_min=entry.device_offset_min,
        entered_by=entry.actor,
        on_behalf_of=entry.on_behalf_of,
        from_paper=entry.from_paper,
        corrects=entry.corrects,
        names=name_digests([entry.actor, entry.on_behalf_of, *people]),
        body=canonical(body),
        previous_hash=last.hash if last else FIRST,
    )
    record.hash = record_hash(record)
    return record


def columns(row: EvidenceModel) -> dict[str, Any]:
    """What a row of evidence says, by column, as the chain writes it."""
    return {
        field.attname: plain(getattr(row, field.attname))
        for field in row._meta.concrete_fields
        if field.attname != "record_id"
    }


@transaction.atomic
def append_row(company: Company, entry: Entry, row: Evidence, *, people: Iterable[Person | None] = ()) -> Evidence:
    """Append a record whose body is the row's columns, and insert the row on it."""
    row.clean_fields(exclude={"record", *unsaid(row)})
    row.record = append(company, row.record_kind, entry, body=columns(row), people=people)
    row.save(force_insert=True)
    return row


@transaction.atomic
def append_rows(
    company: Company, entered: Sequence[tuple[Entry, Evidence]], *, people: Iterable[Person | None] = ()
) -> list[Evidence]:
    """Append many rows of one table, each on a record of its own, in the order given.

    The same links as `append_row` one by one, in a number of queries that grows with batches, not with rows.
    """
    last, named = last_link(company), tuple(people)
    records = []
    for entry, row in entered:
        keys = {f.name for f in row._meta.concrete_fields if f.is_relation}  # the database itself checks those
        row.clean_fields(exclude={*keys, *unsaid(row)})
        last = next_link(last, company, row.record_kind, entry, body=columns(row), people=named)
        records.append(last)
    Record.objects.bulk_create(records)
    rows = [row for _, row in entered]
    for row, record in zip(rows, records, strict=True):
        row.record = record
    if rows:
        type(rows[0])._default_manager.bulk_create(rows)
    return rows


def unsaid(row: EvidenceModel) -> set[str]:
    """Columns that may be empty and are."""
    return {f.name for f in row._meta.concrete_fields if f.null and getattr(row, f.attname) is None}


def chain_head(company: Company) -> str:
    """Hash of the company's last record, or 64 zeros for an empty chain."""
    last = Record.objects.for_company(company).order_by("-sequence").values_list("hash", flat=True).first()
    return last or FIRST


@dataclass(frozen=True, slots=True)
class Verdict:
    """What recomputing one chain found."""

    company: Company
    count: int
    head: str
    fault: str = ""

    @property
    def holds(self) -> bool:
        return not self.fault


def evidence_models() -> list[type[EvidenceModel]]:
    return [m for m in apps.get_models() if issubclass(m, EvidenceModel)]


def verify(company: Company, *, since: str | None = None, files: bool = False) -> Verdict:
    """Recompute every hash of a chain and report the first break.

    `since` is a head that a third party kept: it must still stand in the chain. `files` reads every kept photograph
    and document too. Memory does not grow with rows.
    """
    guard = missing_triggers(connection)
    previous, count, seen = FIRST, 0, since in (None, FIRST)
    fault = f"the table {guard[0]} has lost its append-only triggers" if guard else ""
    if not fault:
        for record in Record.objects.for_company(company).order_by("sequence").iterator(chunk_size=2000):
            fault = link_fault(record, expected=count + 1, previous=previous)
            if fault:
                break
            count, previous = record.sequence, record.hash
            seen = seen or record.hash == since
    if not fault:
        states = (check(company) for check in STATE_CHECKS)
        fault = next(chain(row_faults(company), paper_faults(company), *states), "")
    if not fault and files:
        fault = next(file_faults(company), "")
    if not fault and not seen:
        fault = f"the head {since} that was kept is not in the chain: records after it were removed or rewritten"
    return Verdict(company=company, count=count, head=previous, fault=fault)


def link_fault(record: Record, *, expected: int, previous: str) -> str:
    """Why one link does not follow from the one before; empty when it does."""
    if record.sequence != expected:
        return f"record {expected} is missing: record {record.sequence} stands in its place"
    if record.previous_hash != previous:
        return f"record {record.sequence} does not follow from the one before it"
    if record.hash != record_hash(record):
        return f"record {record.sequence} ({record.kind}) was changed after it was entered"
    return ""


def says_the_same(row: EvidenceModel) -> bool:
    """Whether a row's columns say what its record says; a column younger than the record must hold its default."""
    said, body = columns(row), json.loads(row.record.body)
    younger = said.keys() - body.keys()
    defaults = {f.attname: plain(f.get_default()) for f in row._meta.concrete_fields if f.attname in younger}
    return canonical(said) == canonical({**body, **defaults})


def row_faults(company: Company) -> Iterator[str]:
    """Rows of evidence whose columns no longer say what their record says, and records whose row is gone."""
    for model in evidence_models():
        rows = model._default_manager.filter(record__company=company).select_related("record")
        found = 0
        for row in rows.iterator(chunk_size=2000):
            found += 1
            if not says_the_same(row):
                yield f"record {row.record.sequence} ({row.record.kind}): its row in {model._meta.db_table} was changed"
        if found != Record.objects.for_company(company).filter(kind=model.record_kind).count():
            yield f"{model._meta.db_table} does not hold one row for each record of kind {model.record_kind}"


def file_faults(company: Company) -> Iterator[str]:
    """Files that evidence names and whose bytes are missing or changed, read in pieces."""
    for model in evidence_models():
        for column in (f.attname for f in model._meta.concrete_fields if isinstance(f, FileHashField)):
            rows = model._default_manager.filter(record__company=company).select_related("record").order_by("pk")
            for row in rows.iterator(chunk_size=2000):
                fault = file_fault(getattr(row, column))
                if fault:
                    yield f"record {row.record.sequence} ({row.record.kind}): {fault}"
