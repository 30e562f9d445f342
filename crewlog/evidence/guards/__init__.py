"""What the database itself refuses on tables of evidence: update, delete, truncate, and an insert that replaces a row.

The guards are laid after every migrate, not in one migration: SQLite rebuilds a table to change it, and a rebuilt
table has lost its triggers.
"""

from collections.abc import Iterator
from typing import Any, Protocol

from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

from crewlog.evidence.guards import postgresql, sqlite
from crewlog.evidence.guards.keys import MESSAGE, Guarded, guarded_tables

__all__ = ["MESSAGE", "evidence_tables", "guard_faults", "lay_triggers", "missing_triggers", "removal_statements"]


class Dialect(Protocol):
    """How one kind of database guards a table."""

    def lay(self, connection: BaseDatabaseWrapper, table: Guarded) -> None: ...

    def removal_statements(self, table: str) -> list[str]: ...

    def faults(self, connection: BaseDatabaseWrapper, tables: list[Guarded]) -> Iterator[tuple[str, str]]: ...


DIALECTS: dict[str, Dialect] = {"sqlite": sqlite.Sqlite(), "postgresql": postgresql.Postgresql()}


def dialect(vendor: str) -> Dialect:
    if vendor not in DIALECTS:
        raise NotImplementedError(f"No append-only triggers for {vendor}; use SQLite or PostgreSQL.")
    return DIALECTS[vendor]


def evidence_tables() -> list[str]:
    """Names of the chain's table and of every table that stands on it."""
    return [table.name for table in guarded_tables()]


def removal_statements(vendor: str, table: str) -> list[str]:
    """SQL that takes the triggers away: for test databases and a restore into an empty one only."""
    return dialect(vendor).removal_statements(table)


def lay_triggers(*, using: str = "default", **_: Any) -> None:
    """Lay the guards on every evidence table that exists, in place of any other of their name (post_migrate)."""
    connection = connections[using]
    existing = set(connection.introspection.table_names())
    for table in guarded_tables():
        if table.name in existing:
            dialect(connection.vendor).lay(connection, table)


def guard_faults(connection: BaseDatabaseWrapper) -> Iterator[tuple[str, str]]:
    """Each table of evidence whose guard is not the one that was laid, by definition: the table, and a sentence."""
    gone = missing_tables(connection)
    for name in gone:
        yield name, f"the table {name} is gone"
    yield from dialect(connection.vendor).faults(connection, [t for t in guarded_tables() if t.name not in gone])


def missing_tables(connection: BaseDatabaseWrapper) -> list[str]:
    """Tables of evidence that the database does not have."""
    existing = set(connection.introspection.table_names())
    return [table.name for table in guarded_tables() if table.name not in existing]


def missing_triggers(connection: BaseDatabaseWrapper) -> list[str]:
    """Tables of evidence that are not guarded as they should be."""
    return sorted({table for table, _ in guard_faults(connection)})
