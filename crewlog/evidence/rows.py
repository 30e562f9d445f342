"""Rows of evidence: appended with the record they stand on, and compared with what it says."""

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, TypeVar

from django.db import transaction
from django.db.models import Exists, OuterRef

from crewlog.evidence.canonical import canonical_json, to_plain
from crewlog.evidence.chain import Entry, append, last_link, next_link, save_links
from crewlog.evidence.kinds import evidence_models
from crewlog.models import Company, EvidenceModel, Person, Record

Evidence = TypeVar("Evidence", bound=EvidenceModel)
CHUNK = 2000


def columns(row: EvidenceModel) -> dict[str, Any]:
    """What a row of evidence says, by column, as the chain writes it."""
    return {
        field.attname: to_plain(getattr(row, field.attname))
        for field in row._meta.concrete_fields
        if field.attname != "record_id"
    }


@transaction.atomic
def append_row(company: Company, entry: Entry, row: Evidence, *, people: Iterable[Person | None] = ()) -> Evidence:
    """Append a record whose body is the row's columns, and insert the row on it."""
    row.clean_fields(exclude={"record", *null_columns(row)})
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
        row.clean_fields(exclude={*keys, *null_columns(row)})
        last = next_link(last, company, row.record_kind, entry, body=columns(row), people=named)
        records.append(last)
    save_links(company, records)
    rows = [row for _, row in entered]
    for row, record in zip(rows, records, strict=True):
        row.record = record
    if rows:
        type(rows[0])._default_manager.bulk_create(rows)
    return rows


def null_columns(row: EvidenceModel) -> set[str]:
    """Names of the nullable columns that hold None."""
    return {f.name for f in row._meta.concrete_fields if f.null and getattr(row, f.attname) is None}


def matches_record(row: EvidenceModel) -> bool:
    """Whether a row's columns say what its record says; a column younger than the record must hold its default."""
    try:
        said, body = columns(row), dict(json.loads(row.record.body))
    except (TypeError, ValueError):
        return False
    younger = said.keys() - body.keys()
    defaults = {f.attname: to_plain(f.get_default()) for f in row._meta.concrete_fields if f.attname in younger}
    return canonical_json(said) == canonical_json({**body, **defaults})


def row_faults(company: Company) -> Iterator[str]:
    """Rows of evidence whose columns no longer say what their record says, and records whose row is gone."""
    for model in evidence_models():
        rows = model._default_manager.filter(record__company=company).select_related("record").order_by("pk")
        table, found = model._meta.db_table, 0
        for row in rows.iterator(chunk_size=CHUNK):
            found += 1
            place = f"record {row.record.sequence} ({row.record.kind})"
            if row.record.kind != model.record_kind:
                yield f"{place}: a row of {table} stands on it, which needs a record of kind {model.record_kind}"
            elif not matches_record(row):
                yield f"{place}: its row in {table} was changed"
        if found != Record.objects.for_company(company).filter(kind=model.record_kind).count():
            yield f"{table} does not hold one row for each record of kind {model.record_kind}"
        stands = Record.objects.filter(pk=OuterRef("record_id"))
        for key in model._default_manager.filter(~Exists(stands)).values_list("pk", flat=True).order_by("pk"):
            yield f"a row of {table} stands on record {key}, which is gone"
