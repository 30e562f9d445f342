"""What each record is about: a table made of the records alone, so that no query searches in their text."""

import json
import re
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections, transaction
from django.db.models import Model, Q

from crewlog.evidence.kinds import row_keys
from crewlog.models import Company, Person, Record, RecordSubject

Subject = tuple[str, str]  # label of a model, key of a row
PERSON = Person._meta.label_lower
# A person is named by id in any place of a body, in a text within it too.
PERSON_ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
TOGETHER = 500
READ = ("company", "sequence", "kind", "entered_by", "on_behalf_of", "names", "body")


def about(model: type[Model], keys: Iterable[object]) -> Q:
    """Records about any of the rows of a model with these keys, or naming these people.

    A row is one company's, and so are the records about it. To ask for the company besides, or for the chain's order,
    has SQLite read the company's chain for them.
    """
    subjects = RecordSubject.objects.filter(kind=model._meta.label_lower, key__in={str(key) for key in keys})
    return Q(pk__in=subjects.values("record"))


def subjects_of(record: Record) -> set[Subject]:
    """The rows that a record is about by its kind, and everyone whom it names, entered it or had it entered."""
    people = {str(key) for key in (record.entered_by_id, record.on_behalf_of_id) if key is not None}
    people.update(PERSON_ID.findall(record.names), PERSON_ID.findall(record.body))
    return {*rows_named(record), *((PERSON, key) for key in people)}


def rows_named(record: Record) -> Iterator[Subject]:
    """What the body names in the keys of its kind. A body that cannot be read names nothing: its hash tells of that."""
    keys = row_keys().get(record.kind, ())
    if not keys:
        return
    try:
        said = json.loads(record.body)
    except ValueError:
        return
    for key, label in keys:
        value = said.get(key) if isinstance(said, dict) else None
        if isinstance(value, int | str) and value != "":
            yield label, str(value)


def write_subjects(records: Iterable[Record], *, using: str = DEFAULT_DB_ALIAS) -> int:
    """Write what stored records are about; returns how many rows that made. One query for many."""
    rows = [
        RecordSubject(record_id=record.pk, kind=kind, key=key)
        for record in records
        for kind, key in sorted(subjects_of(record))
    ]
    return len(RecordSubject.objects.using(using).bulk_create(rows, batch_size=TOGETHER))


def rebuild_subjects(*, using: str = DEFAULT_DB_ALIAS) -> int:
    """Make the table again from every record, all of it or nothing; returns how many rows it holds.

    Nobody appends meanwhile. Memory does not grow with records.
    """
    with transaction.atomic(using=using):
        list(Company.objects.using(using).select_for_update().order_by("pk").values_list("pk"))
        RecordSubject.objects.using(using).all().delete()
        records = Record.objects.using(using).only(*READ).order_by("pk").iterator(chunk_size=TOGETHER)
        return sum(write_subjects(chunk, using=using) for chunk in chunks(records))


def fill_subjects(*, using: str = DEFAULT_DB_ALIAS, **_: Any) -> None:
    """Make the table where it is empty beside records: in a database that is older than it (post_migrate)."""
    there = set(connections[using].introspection.table_names())
    if not {Record._meta.db_table, RecordSubject._meta.db_table} <= there:
        return
    if Record.objects.using(using).exists() and not RecordSubject.objects.using(using).exists():
        rebuild_subjects(using=using)


def subject_faults(company: Company) -> Iterator[str]:
    """Rows of the table that no record stands for, and rows that it lacks, by record. Memory does not grow."""
    records = Record.objects.for_company(company).only(*READ).order_by("sequence").iterator(chunk_size=TOGETHER)
    for chunk in chunks(records):
        kept: dict[int, set[Subject]] = {}
        for record_id, kind, key in RecordSubject.objects.filter(record__in=chunk).values_list("record", "kind", "key"):
            kept.setdefault(record_id, set()).add((kind, key))
        for record in chunk:
            said, held = subjects_of(record), kept.get(record.pk, set())
            place = f"record {record.sequence} ({record.kind})"
            for kind, key in sorted(said - held):
                yield f"{place} is about {kind} {key}, which the table of subjects lacks: run rebuild_subjects"
            for kind, key in sorted(held - said):
                yield f"{place} is not about {kind} {key}, as the table of subjects says: run rebuild_subjects"


def chunks(records: Iterator[Record]) -> Iterator[list[Record]]:
    while chunk := list(islice(records, TOGETHER)):
        yield chunk
