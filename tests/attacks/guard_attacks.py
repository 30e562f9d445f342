# ruff: noqa: S608 - the statements are the attack
"""The guards themselves: taken away, emptied, switched off."""

from crewlog.evidence.guards import postgresql
from tests.attacks.sql import run, settle, unguarded

TABLE = "gear_inspection"
GUARD = f"{TABLE}_no_update"
LEAST = f"record_id = (SELECT MIN(record_id) FROM {TABLE})"
ALTER = f"UPDATE {TABLE} SET verdict = 'fit', next_due_on = '2040-01-01' WHERE {LEAST}"


def attacks(vendor):
    yield "a guard is dropped, then a row is altered", drop_and_alter
    yield "a guard is dropped, a row is altered, the guard is laid again", alter_behind_the_guard
    if vendor == "sqlite":
        yield "an empty trigger of the same name", empty_trigger
        yield "a trigger of the same name on another table", trigger_elsewhere
        yield "the text of a trigger is changed in the schema", writable_schema
        yield "the guard of inserts is dropped, then a row is replaced", drop_insert_guard
    else:
        yield "an empty trigger function of the same name", empty_function
        yield "a function that does nothing", nothing_function
        yield "a trigger of the same name with a condition", conditional_trigger
        yield "ENABLE REPLICA TRIGGER", lambda world: enable("REPLICA")
        yield "DISABLE TRIGGER", disable
        yield "ENABLE TRIGGER without ALWAYS, as a replica", origin_as_replica
        yield "an update by a session that calls itself a replica", as_replica
        yield "a rule that does something else instead", rule
        yield "a unique index is dropped", drop_unique


def drop_and_alter(world):
    settle()
    on = "" if is_sqlite() else f" ON {TABLE}"
    run(f"DROP TRIGGER {GUARD}{on}")
    run(ALTER)


def alter_behind_the_guard(world):
    with unguarded(TABLE):
        run(ALTER)


def is_sqlite():
    from django.db import connection

    return connection.vendor == "sqlite"


def empty_trigger(world):
    run(f"DROP TRIGGER {GUARD}")
    run(f"CREATE TRIGGER {GUARD} BEFORE UPDATE ON {TABLE} BEGIN SELECT 1; END")


def trigger_elsewhere(world):
    run(f"DROP TRIGGER {GUARD}")
    run(f"CREATE TRIGGER {GUARD} BEFORE UPDATE ON gear_gearitem BEGIN SELECT 1; END")


def writable_schema(world):
    run("PRAGMA writable_schema = ON")
    try:
        run(f"UPDATE sqlite_master SET sql = replace(sql, 'SELECT RAISE', 'SELECT 1 OR RAISE') WHERE name = '{GUARD}'")
    finally:
        run("PRAGMA writable_schema = OFF")


def drop_insert_guard(world):
    run(f"DROP TRIGGER {TABLE}_no_replace")
    run(f"INSERT OR REPLACE INTO {TABLE} SELECT * FROM {TABLE} WHERE record_id = (SELECT MIN(record_id) FROM {TABLE})")


def empty_function(world):
    run("CREATE FUNCTION harmless() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$")
    run(f"CREATE OR REPLACE TRIGGER {GUARD} BEFORE UPDATE ON {TABLE} FOR EACH ROW EXECUTE FUNCTION harmless()")
    enable("ALWAYS")


def nothing_function(world):
    run(
        f"CREATE OR REPLACE FUNCTION {postgresql.FUNCTION}() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RETURN COALESCE(NEW, OLD); END $$"
    )


def conditional_trigger(world):
    run(
        f"CREATE OR REPLACE TRIGGER {GUARD} BEFORE UPDATE ON {TABLE} FOR EACH ROW WHEN (OLD.verdict = 'retire') "
        f"EXECUTE FUNCTION {postgresql.FUNCTION}()"
    )
    enable("ALWAYS")


def enable(how):
    settle()
    run(f"ALTER TABLE {TABLE} ENABLE {how} TRIGGER {GUARD}")


def disable(world):
    settle()
    run(f"ALTER TABLE {TABLE} DISABLE TRIGGER {GUARD}")


def origin_as_replica(world):
    settle()
    run(f"ALTER TABLE {TABLE} ENABLE TRIGGER {GUARD}")
    run("SET LOCAL session_replication_role = replica")
    run(ALTER)
    run("SET LOCAL session_replication_role = origin")


def as_replica(world):
    run("SET LOCAL session_replication_role = replica")
    run(ALTER)


def rule(world):
    run(f"CREATE RULE quiet AS ON DELETE TO {TABLE} DO INSTEAD NOTHING")


def drop_unique(world):
    settle()
    run("ALTER TABLE crewlog_record DROP CONSTRAINT crewlog_record_no_fork")
