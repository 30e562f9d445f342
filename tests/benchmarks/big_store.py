"""Stores of any size with their inspections, written in bulk: no examination is judged on the way."""

import datetime as dt
import hashlib
import itertools
import os

from django.core.management.color import no_style
from django.db import connection
from django.db.models import Max
from django.utils import timezone

from crewlog.evidence.subjects import PERSON
from crewlog.models import Record, RecordSubject
from gear.models import GearItem, Inspection, SearchWord
from gear.register.search_index import words_of
from tests.factories.gear import ItemFactory

IS_FULL = os.environ.get("CREWLOG_BENCHMARKS") == "full"
ROWS_AT_ONCE = 10_000
MAKERS = ("Northwold", "Ebbing", "Tarrant", "Quill")
# Of twenty items, how many stand how.
STORIES = (("in_date", 14), ("due_soon", 2), ("overdue", 2), ("quarantined", 1), ("retired", 1))


def fill_store(company, *, items, inspections_each):
    """Items in all states, with words to be found by, and inspections that each stand on a record."""
    ones = [one for story, count in STORIES for one in itertools.repeat(model_item(company, story), count)]
    first = (GearItem.objects.aggregate(last=Max("pk"))["last"] or 0) + 1
    stored = [prepared(item) for item in ones]
    insert(GearItem, (stored[n % len(ones)] | numbered(n, items) | {"id": first + n} for n in range(items)))
    insert(SearchWord, words(company, ones, first, items), without=("id",))
    if inspections_each:
        write_inspections(company, range(first, first + items), inspections_each)


def insert(model, rows, without=()):
    """Rows given as values by column, straight into the table of a model."""
    columns = [f.column for f in model._meta.concrete_fields if f.column not in without]
    names = ", ".join(f'"{column}"' for column in columns)
    marks = ", ".join(["%s"] * len(columns))
    values = (tuple(row[column] for column in columns) for row in rows)
    with connection.cursor() as cursor:
        while chunk := list(itertools.islice(values, ROWS_AT_ONCE)):  # a generator would be kept whole meanwhile
            cursor.executemany(
                f'INSERT INTO "{model._meta.db_table}" ({names}) VALUES ({marks})',  # noqa: S608 - names of our own
                chunk,
            )
        for statement in connection.ops.sequence_reset_sql(no_style(), [model]):  # PostgreSQL counts no given keys
            cursor.execute(statement)


def prepared(row):
    """The values of a row as the database takes them, by column."""
    return {f.column: f.get_db_prep_save(getattr(row, f.attname), connection) for f in row._meta.concrete_fields}


def model_item(company, story):
    return ItemFactory(company=company, tag=f"Z-{story}"[:24], **({} if story == "in_date" else {story: True}))


def numbered(n, items):
    """What is an item's own: one place, one maker's name in a thousand and the tags beginning K-000 stay as few."""
    rare = n % max(items // 20, 1) == 0
    return {
        "tag": f"K-{n:06d}",
        "serial": f"{n * 7919 % 10**8:08d}",
        "maker": "Oddling" if rare else MAKERS[n % len(MAKERS)],
        "storage_place": f"Cage {n % 40}",
    }


def words(company, ones, first, items):
    """The words of every item, as the store's own service would write them."""
    for n in range(items):
        item = ones[n % len(ones)]
        for name, value in numbered(n, items).items():
            setattr(item, name, value)
        for word in words_of(item):
            yield {"company_id": company.pk, "item_id": first + n, "word": word}


def write_inspections(company, keys, each):
    """Fit examinations half a year apart, each found by its item and inspector; hashes are unlike but not a chain's."""
    last = Record.objects.filter(company=company).aggregate(last=Max("sequence"))["last"] or 0
    first = (Record.objects.aggregate(last=Max("pk"))["last"] or 0) + 1
    now = timezone.now()
    record = prepared(
        Record(company=company, sequence=0, kind=Inspection.record_kind, happened_at=now, entered_at=now, body="{}")
    )
    insert(
        Record,
        (
            record
            | {
                "id": first + n,
                "sequence": last + 1 + n,
                "previous_hash": hashlib.sha256(f"{company.pk} {n}".encode()).hexdigest(),
                "hash": hashlib.sha256(f"{company.pk} {n + 1}".encode()).hexdigest(),
            }
            for n in range(len(keys) * each)
        ),
    )
    person = company.people.first()
    days = [company.today() - dt.timedelta(days=30 + 180 * n) for n in range(each)]
    rows = [
        prepared(Inspection(kind="thorough", examined_on=day, inspector=person, verdict="fit", marking_legible=True))
        for day in days
    ]
    numbers = itertools.count(first)
    insert(Inspection, (row | {"record_id": next(numbers), "item_id": key} for key in keys for row in rows))
    insert(RecordSubject, subjects(first, keys, each, person), without=("id",))


def subjects(first, keys, each, person):
    """What the records of the inspections are about, as the chain's own service would write it."""
    for n, (key, _) in enumerate(itertools.product(keys, range(each))):
        yield {"record_id": first + n, "kind": GearItem._meta.label_lower, "key": str(key)}
        yield {"record_id": first + n, "kind": PERSON, "key": str(person.pk)}
