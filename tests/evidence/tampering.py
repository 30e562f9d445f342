"""What somebody with the database's own password could do, for the tests of this folder."""

from django.db import connection

from crewlog.evidence.guards import evidence_tables, lay_triggers, removal_statements


def tamper(sql, *params):
    with connection.cursor() as cursor:
        cursor.execute(sql, params)


def take_guards_away(*tables):
    """Without the guards; `lay_triggers` puts them back."""
    settle()
    for table in tables or evidence_tables():
        for statement in removal_statements(connection.vendor, table):
            tamper(statement)


def behind_the_guards(*statements):
    """Carry out statements, and leave the guards as they were."""
    take_guards_away()
    for sql, *params in statements:
        tamper(sql, *params)
    tamper("DELETE FROM crewlog_recordsubject WHERE record_id NOT IN (SELECT id FROM crewlog_record)")
    settle()
    lay_triggers()


def settle():
    """Foreign keys are checked now: PostgreSQL alters no table while it has that before it."""
    if connection.vendor == "postgresql":
        tamper("SET CONSTRAINTS ALL IMMEDIATE")
        tamper("SET CONSTRAINTS ALL DEFERRED")
