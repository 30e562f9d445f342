"""Stores of any size with their inspections, written in bulk: no examination is judged on the way."""

import datetime as dt
import hashlib
import itertools
import os

from django.utils import timezone

from crewlog.models import Record
from gear.models import GearItem, Inspection
from gear.services.words import write_words
from tests.factories.gear import ItemFactory

IS_FULL = os.environ.get("CREWLOG_BENCHMARKS") == "full"
ROWS_AT_ONCE = 2_000
MAKERS = ("Northwold", "Ebbing", "Tarrant", "Quill")
# Of twenty items, how many stand how.
STORIES = (("in_date", 14), ("due_soon", 2), ("overdue", 2), ("quarantined", 1), ("retired", 1))


def fill_store(company, *, items, inspections_each):
    """Items in all states, with words to be found by, and inspections that each stand on a record."""
    ones = [one for story, count in STORIES for one in itertools.repeat(model_item(company, story), count)]
    numbers = iter(range(items))
    while chunk := list(itertools.islice(numbers, ROWS_AT_ONCE)):
        made = GearItem.objects.bulk_create(numbered(ones[n % len(ones)], n, items) for n in chunk)
        write_words(made)
        if inspections_each:
            write_inspections(company, made, inspections_each)


def model_item(company, story):
    item = ItemFactory(company=company, tag=f"Z-{story}"[:24], **({} if story == "in_date" else {story: True}))
    return {f.attname: getattr(item, f.attname) for f in GearItem._meta.concrete_fields if not f.primary_key}


def numbered(columns, n, items):
    """One item of the store; one place, one maker's name in a thousand and the tags beginning K-000 stay as few."""
    rare = n % max(items // 20, 1) == 0
    own = {
        "tag": f"K-{n:06d}",
        "serial": f"{n * 7919 % 10**8:08d}",
        "maker": "Oddling" if rare else MAKERS[n % len(MAKERS)],
        "storage_place": f"Cage {n % 40}",
    }
    return GearItem(**(columns | own))


def write_inspections(company, items, each):
    """Fit examinations half a year apart; hashes are unlike but not a chain's."""
    last = Record.objects.filter(company=company).order_by("-sequence").values_list("sequence", flat=True).first() or 0
    now = timezone.now()
    pairs = [(item, n) for item in items for n in range(each)]
    records = Record.objects.bulk_create(
        (
            Record(
                company=company,
                sequence=last + place,
                kind=Inspection.record_kind,
                happened_at=now,
                entered_at=now,
                body="{}",
                previous_hash=hashlib.sha256(f"{company.pk} {last + place}".encode()).hexdigest(),
                hash="",
            )
            for place in range(1, len(pairs) + 1)
        ),
        batch_size=ROWS_AT_ONCE,
    )
    today = company.today()
    person = company.people.first()
    Inspection.objects.bulk_create(
        (
            Inspection(
                record=record,
                item=item,
                kind="thorough",
                examined_on=today - dt.timedelta(days=30 + 180 * n),
                inspector=person,
                verdict="fit",
                marking_legible=True,
            )
            for record, (item, n) in zip(records, pairs, strict=True)
        ),
        batch_size=ROWS_AT_ONCE,
    )
