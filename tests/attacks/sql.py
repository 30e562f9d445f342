"""What the attacks share: statements, the guards taken away and laid again, and a chain hashed anew."""

import json
from contextlib import contextmanager

from django.db import connection

from crewlog.evidence.chain import record_hash
from crewlog.evidence.guards import evidence_tables, lay_triggers, removal_statements
from crewlog.models import Record


def run(statement, *params):
    with connection.cursor() as cursor:
        cursor.execute(statement, params)


def settle():
    """Foreign keys are checked now: PostgreSQL alters no table while it has that before it."""
    if connection.vendor == "postgresql":
        run("SET CONSTRAINTS ALL IMMEDIATE")
        run("SET CONSTRAINTS ALL DEFERRED")


@contextmanager
def unguarded(*tables):
    """The guards are away, and stand again as they were laid afterwards: nothing of it is left to be seen."""
    unguarded_ones = tables or evidence_tables()
    settle()
    for table in unguarded_ones:
        for statement in removal_statements(connection.vendor, table):
            run(statement)
    yield
    run("DELETE FROM crewlog_recordsubject WHERE record_id NOT IN (SELECT id FROM crewlog_record)")
    settle()
    lay_triggers()


def rehash(company, sequence):
    """Hash every record anew from a place on, each on the one before: the chain follows again."""
    records = Record.objects.for_company(company).order_by("sequence")
    before = records.filter(sequence__lt=sequence).last()
    previous = before.hash if before else "0" * 64
    for record in records.filter(sequence__gte=sequence):
        record.previous_hash = previous
        previous = record.hash = record_hash(record)
        run(
            "UPDATE crewlog_record SET previous_hash = %s, hash = %s WHERE id = %s",
            record.previous_hash,
            previous,
            record.pk,
        )


def change_body(record, **changes):
    body = {**json.loads(record.body), **changes}
    text = json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    run("UPDATE crewlog_record SET body = %s WHERE id = %s", text, record.pk)
