# ruff: noqa: S608 - the statements are the attack
"""What the database itself refuses, and what is seen of a guard that was changed."""

import pytest
from django.db import DatabaseError, connection, transaction

from crewlog.evidence import Entry, append, append_row, verify
from crewlog.evidence.guards import evidence_tables, guard_faults, lay_triggers, missing_triggers
from crewlog.evidence.guards.keys import guarded_tables
from crewlog.evidence.guards.trial import plain_connection, trial_faults
from crewlog.models import Hold, Record
from tests.evidence.tampering import settle, tamper

pytestmark = pytest.mark.django_db
IS_SQLITE = connection.vendor == "sqlite"
on_sqlite = pytest.mark.skipif(not IS_SQLITE, reason="a statement of SQLite; the run on SQLite tries it")
on_postgresql = pytest.mark.skipif(IS_SQLITE, reason="a statement of PostgreSQL; the run on PostgreSQL tries it")
COLUMNS = ", ".join(field.column for field in Record._meta.concrete_fields)
SECOND = f"SELECT {COLUMNS} FROM crewlog_record WHERE sequence = 2"
UNDER_ANOTHER_KEY = SECOND.replace("SELECT id", "SELECT 999999", 1)


def said():
    return [sentence for _, sentence in guard_faults(connection)]


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE crewlog_record SET body = '{}' WHERE sequence = 2",
        "DELETE FROM crewlog_record WHERE sequence = 2",
        f"INSERT INTO crewlog_record ({COLUMNS}) {SECOND} ON CONFLICT (id) DO UPDATE SET body = '{{}}'",
        f"INSERT INTO crewlog_record ({COLUMNS}) {UNDER_ANOTHER_KEY} "
        "ON CONFLICT (company_id, sequence) DO UPDATE SET body = '{}'",
        pytest.param(f"INSERT OR REPLACE INTO crewlog_record ({COLUMNS}) {SECOND}", marks=on_sqlite),
        pytest.param(f"REPLACE INTO crewlog_record ({COLUMNS}) {UNDER_ANOTHER_KEY}", marks=on_sqlite),
        pytest.param(
            f"REPLACE INTO crewlog_record ({COLUMNS}) {UNDER_ANOTHER_KEY.replace('sequence,', '77,', 1)}",
            marks=on_sqlite,  # neither key nor place, but the hash before it is taken
        ),
        pytest.param("TRUNCATE crewlog_record CASCADE", marks=on_postgresql),
        pytest.param("SET LOCAL session_replication_role = replica; DELETE FROM crewlog_record", marks=on_postgresql),
    ],
)
def test_the_database_itself_refuses_to_change_a_record(chain, sql):
    settle()
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), plain_connection(connection):
        tamper(sql)
    assert verify(chain).holds


@on_sqlite
def test_a_row_of_evidence_cannot_be_replaced_under_the_same_record(owner):
    row = append_row(
        owner.company, Entry(actor=None), Hold(about="job", subject="1", because="claim", placed_by=owner.person)
    )
    columns = ", ".join(field.column for field in Hold._meta.concrete_fields)
    changed = columns.replace("because", "'nothing'")
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), plain_connection(connection):
        tamper(f"REPLACE INTO crewlog_hold ({columns}) SELECT {changed} FROM crewlog_hold WHERE record_id = %s", row.pk)


@on_sqlite
def test_the_guard_of_inserts_goes_along_indexes():
    for table in guarded_tables():
        for columns in table.unique:
            where = " AND ".join(f"{column} = 1" for column in columns)
            with connection.cursor() as cursor:
                cursor.execute(f"EXPLAIN QUERY PLAN SELECT 1 FROM {table.name} WHERE {where}")
                assert "SEARCH" in cursor.fetchone()[3], (table.name, columns)


@on_sqlite
def test_our_own_connections_fire_triggers_on_what_a_replace_deletes():
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA recursive_triggers")
        assert cursor.fetchone()[0] == 1


def test_every_table_of_evidence_is_guarded(db):
    assert "crewlog_record" in evidence_tables()
    assert missing_triggers(connection) == []


def test_lost_triggers_are_a_fault_of_their_own(chain, unguarded):
    assert missing_triggers(connection) == ["crewlog_record"]
    assert "append-only trigger" in verify(chain).fault


@on_sqlite
def test_an_empty_trigger_of_the_same_name_is_seen_and_replaced_by_the_next_migrate(chain):
    tamper("DROP TRIGGER crewlog_record_no_update")
    tamper("CREATE TRIGGER crewlog_record_no_update BEFORE UPDATE ON crewlog_record BEGIN SELECT 1; END")
    assert said() == ["the guard crewlog_record_no_update of the table crewlog_record is not the one that was laid"]
    assert list(trial_faults()) == ["the table crewlog_record lets a row be changed: its guard does nothing"]
    lay_triggers()
    assert said() == []


@on_sqlite
def test_a_trigger_that_nobody_laid_is_a_fault(chain):
    tamper("CREATE TRIGGER quiet AFTER INSERT ON crewlog_record BEGIN SELECT 1; END")
    assert said() == ["a trigger that nobody laid, quiet, stands on the table crewlog_record"]


@on_postgresql
@pytest.mark.parametrize(
    ("statement", "fault"),
    [
        (
            "CREATE OR REPLACE FUNCTION crewlog_append_only() RETURNS trigger LANGUAGE plpgsql "
            "AS $$ BEGIN RETURN OLD; END $$",
            "the function crewlog_append_only of the guard",
        ),
        ("ALTER TABLE crewlog_record ENABLE REPLICA TRIGGER crewlog_record_no_update", "off for replicas"),
        ("ALTER TABLE crewlog_record ENABLE TRIGGER crewlog_record_no_update", "off for replicas"),
        ("ALTER TABLE crewlog_record DISABLE TRIGGER crewlog_record_no_delete", "is switched off"),
        ("CREATE RULE quiet AS ON DELETE TO crewlog_record DO INSTEAD NOTHING", "has rules"),
        ("ALTER TABLE crewlog_record DROP CONSTRAINT crewlog_record_no_fork", "stand twice"),
        ("SET LOCAL session_replication_role = replica", "session_replication_role is replica"),
    ],
)
def test_each_way_to_switch_a_guard_off_is_seen_and_undone_by_the_next_migrate(chain, statement, fault):
    settle()
    tamper(statement)
    assert any(fault in sentence for sentence in said()), said()
    lay_triggers()
    laid_again = "TRIGGER" in statement or "FUNCTION" in statement
    assert (said() == []) is laid_again


@on_postgresql
def test_a_function_that_does_nothing_is_seen_by_trying(chain):
    tamper(
        "CREATE OR REPLACE FUNCTION crewlog_append_only() RETURNS trigger LANGUAGE plpgsql "
        "AS $$ BEGIN RETURN COALESCE(NEW, OLD); END $$"
    )
    tried = list(trial_faults())
    assert "the table crewlog_record lets a row be changed: its guard does nothing" in tried
    assert "the table crewlog_record lets a row be deleted: its guard does nothing" in tried
    assert "the table crewlog_record lets a row be replaced: its guard does nothing" in tried


def test_a_trial_leaves_every_row_as_it_was(chain, unguarded):
    before = list(Record.objects.order_by("pk").values())
    assert len(list(trial_faults())) >= 2
    assert list(Record.objects.order_by("pk").values()) == before
    append(chain, "test.note", Entry(actor=None), body={})


def test_a_table_that_is_gone_is_one_fault_and_no_more_is_compared(chain):
    settle()
    tamper("DROP TABLE jobs_reading")
    assert verify(chain, every=True).faults == ("the table jobs_reading is gone",)
