"""Database triggers that refuse UPDATE and DELETE on tables of evidence.

They are laid after every migrate, not in one migration: SQLite rebuilds a table to change it, and a rebuilt
table has lost its triggers.
"""

from typing import Any

from django.apps import apps
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

MESSAGE = "append-only: a record is corrected by a later one"


def evidence_tables() -> list[str]:
    """Names of the chain's table and of every table that stands on it."""
    from crewlog.models import EvidenceModel, Record

    models = [m for m in apps.get_models() if m is Record or issubclass(m, EvidenceModel)]
    return sorted(m._meta.db_table for m in models)


def trigger_statements(vendor: str, table: str) -> list[str]:
    """SQL that lays the triggers of one table; running it twice is harmless."""
    if vendor == "sqlite":
        return [
            f"CREATE TRIGGER IF NOT EXISTS {table}_no_{verb.lower()} BEFORE {verb} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END"
            for verb in ("UPDATE", "DELETE")
        ]
    if vendor == "postgresql":
        function = (
            "CREATE OR REPLACE FUNCTION crewlog_append_only() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{MESSAGE}'; END $$"
        )
        lay = [function]
        for verb, level in (("UPDATE", "ROW"), ("DELETE", "ROW"), ("TRUNCATE", "STATEMENT")):
            name = f"{table}_no_{verb.lower()}"
            lay.append(
                f"CREATE OR REPLACE TRIGGER {name} BEFORE {verb} ON {table} "
                f"FOR EACH {level} EXECUTE FUNCTION crewlog_append_only()"
            )
        return lay
    raise NotImplementedError(f"No append-only triggers for {vendor}; use SQLite or PostgreSQL.")


def removal_statements(vendor: str, table: str) -> list[str]:
    """SQL that takes the triggers away: for test databases and a restore into an empty one only."""
    verbs = ("update", "delete") if vendor == "sqlite" else ("update", "delete", "truncate")
    on = "" if vendor == "sqlite" else f" ON {table}"
    return [f"DROP TRIGGER IF EXISTS {table}_no_{verb}{on}" for verb in verbs]


def lay_triggers(*, using: str = "default", **_: Any) -> None:
    """Lay the triggers on every evidence table that exists (post_migrate receiver)."""
    connection = connections[using]
    with connection.cursor() as cursor:
        existing = set(connection.introspection.table_names(cursor))
        for table in evidence_tables():
            if table in existing:
                for statement in trigger_statements(connection.vendor, table):
                    cursor.execute(statement)


def missing_triggers(connection: BaseDatabaseWrapper) -> list[str]:
    """Tables of evidence that a trigger no longer guards."""
    verbs = ("update", "delete") if connection.vendor == "sqlite" else ("update", "delete", "truncate")
    query = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        if connection.vendor == "sqlite"
        else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        found = {row[0] for row in cursor.fetchall()}
    return [table for table in evidence_tables() if not {f"{table}_no_{verb}" for verb in verbs} <= found]
