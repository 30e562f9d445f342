# ruff: noqa: S608 - the statements are the attack
"""The chain rewritten, cut short and lengthened, with the guards laid again afterwards."""

import datetime as dt
import json
from pathlib import Path

from django.conf import settings

from crewlog.evidence import chain_head
from crewlog.evidence.chain import Entry, last_link, next_link, record_hash
from crewlog.models import Record
from gear.models import ExaminationReport, Inspection
from jobs.models import IssuedSheet
from tests.attacks.sql import change_body, rehash, run, unguarded

IN_FILES = frozenset({"the same, and stored heads are set to the new chain as well"})


def attacks(vendor):
    yield "a record is changed", change
    yield "a record and its row are changed, and the rest is hashed anew", rewrite
    yield "the same, and the marks outside the database are removed", rewrite_without_marks
    yield "the same, and stored heads are set to the new chain as well", rewrite_with_stored_heads
    yield "the last records are removed", cut
    yield "a record in the middle is removed, and the rest is hashed anew", remove_middle
    yield "a record of an unknown kind is appended", unknown_kind
    yield "a record is entered before the one it follows", entered_earlier
    yield "a record is entered before it happened", entered_before_it_happened
    yield "a record of a kind with rows is appended without its row", without_row
    yield "a record lacks what its kind says", says_less
    yield "a table of evidence is dropped", drop_table


def inspection(world):
    return Inspection.objects.for_company(world.company).select_related("record").order_by("pk")[5]


def change(world):
    record = inspection(world).record
    with unguarded("crewlog_record"):
        change_body(record, verdict="fit", findings="nothing found")


def rewrite(world):
    row = inspection(world)
    with unguarded():
        run("UPDATE gear_inspection SET findings = %s WHERE record_id = %s", "nothing found", row.pk)
        change_body(row.record, findings="nothing found")
        rehash(world.company, row.record.sequence)


def rewrite_without_marks(world):
    rewrite(world)
    for path in Path(settings.HEADS_DIR).glob("*.heads"):
        path.unlink()


def rewrite_with_stored_heads(world):
    """Everything that names a head in the database is made to fit; the PDFs that were handed out are not."""
    before = dict(Record.objects.for_company(world.company).values_list("hash", "sequence"))
    kept = [*rows_with_head(world, IssuedSheet), *rows_with_head(world, ExaminationReport)]
    rewrite_without_marks(world)
    with unguarded():
        for evidence in sorted(kept, key=lambda found: found.record.sequence):
            head = Record.objects.for_company(world.company).get(sequence=before[evidence.chain_head]).hash
            table = type(evidence)._meta.db_table
            run(f"UPDATE {table} SET chain_head = %s WHERE record_id = %s", head, evidence.pk)
            change_body(Record.objects.get(pk=evidence.pk), chain_head=head)
            rehash(world.company, evidence.record.sequence)


def rows_with_head(world, model):
    return model.objects.filter(record__company=world.company).select_related("record")


def cut(world):
    last = list(Record.objects.for_company(world.company).order_by("-sequence")[:3])
    with unguarded():
        for record in last:
            run("DELETE FROM crewlog_record WHERE id = %s", record.pk)


def remove_middle(world):
    record = Record.objects.for_company(world.company).filter(kind="crewlog.competence-entered").last()
    with unguarded():
        run("DELETE FROM crewlog_record WHERE id = %s", record.pk)
        for later in (
            Record.objects.for_company(world.company).filter(sequence__gt=record.sequence).order_by("sequence")
        ):
            run("UPDATE crewlog_record SET sequence = %s WHERE id = %s", later.sequence - 1, later.pk)
        rehash(world.company, record.sequence)


def appended(world, kind="crewlog.company-changed", **columns):
    """A record that follows the last one and is hashed as it should be, put in by an insert."""
    record = next_link(last_link(world.company), world.company, kind, Entry(actor=None), body={})
    for name, value in columns.items():
        setattr(record, name, value)
    record.hash = record_hash(record)
    record.save(force_insert=True)
    assert chain_head(world.company) == record.hash


def unknown_kind(world):
    appended(world, kind="gear.all-is-well")


def entered_earlier(world):
    at = last_link(world.company).entered_at - dt.timedelta(days=400)
    appended(world, entered_at=at, happened_at=at)


def entered_before_it_happened(world):
    appended(world, happened_at=last_link(world.company).entered_at + dt.timedelta(days=2))


def without_row(world):
    body = json.loads(inspection(world).record.body)
    appended(world, kind="gear.inspection", body=json.dumps(body, sort_keys=True, separators=(",", ":")))


def says_less(world):
    """The chain is intact, and what recomputes the state would find no role."""
    appended(world, kind="crewlog.sign-in-given", body=json.dumps({"person": world.gone}))


def drop_table(world):
    from tests.attacks.sql import settle

    settle()
    run("DROP TABLE jobs_reading")
