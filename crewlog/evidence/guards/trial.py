# ruff: noqa: S608 - the names of tables and columns are those of our own models
"""Guards tried out: a change, a deletion and a replacing insert of a real row, each undone at once."""

from collections.abc import Iterator

from django.db import DatabaseError, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from crewlog.evidence.guards.keys import MESSAGE, Guarded, guarded_tables

NOT_ALLOWED = "42501"  # the role may not do this at all: refused before any trigger is asked
READ_ONLY = "25006"


class WentThrough(Exception):  # noqa: N818 - the name says what happened
    """The database did what it should have refused; leaving the savepoint by this undoes it."""


def trial_faults(using: str = "default") -> Iterator[str]:
    """One sentence for each change that a table of evidence lets through. Everything is rolled back.

    Where the database can only be read nothing is tried.
    """
    connection = connections[using]
    existing = set(connection.introspection.table_names())
    faults = []
    try:
        with transaction.atomic(using=using), plain_connection(connection):
            for table in guarded_tables():
                if table.name in existing:
                    faults += list(table_trial(connection, table))
    except DatabaseError as error:
        if not is_read_only(error):
            raise
    yield from faults


class plain_connection:  # noqa: N801 - used as a function
    """SQLite as another program opens it: without the settings of ours that guard a replacing insert as well."""

    def __init__(self, connection: BaseDatabaseWrapper) -> None:
        self.connection = connection

    def __enter__(self) -> None:
        self.say("OFF")

    def __exit__(self, *_: object) -> None:
        self.say("ON")

    def say(self, word: str) -> None:
        if self.connection.vendor == "sqlite":
            with self.connection.cursor() as cursor:
                cursor.execute(f"PRAGMA recursive_triggers = {word}")


def table_trial(connection: BaseDatabaseWrapper, table: Guarded) -> Iterator[str]:
    """Try a table's latest row; an empty table has nothing to try."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT MAX({table.key}) FROM {table.name}")
        latest = cursor.fetchone()[0]
    if latest is None:
        return
    for what, statement in attempts(connection.vendor, table).items():
        fault = trial(connection, statement, latest)
        if fault:
            yield f"the table {table.name} lets a row be {what}: {fault}"


def attempts(vendor: str, table: Guarded) -> dict[str, str]:
    name, key, columns = table.name, table.key, ", ".join(f'"{column}"' for column in table.columns)
    row = f"SELECT {columns} FROM {name} WHERE {key} = %s"
    if vendor == "sqlite":
        replacing = f"INSERT OR REPLACE INTO {name} ({columns}) {row}"
    else:
        replacing = f"INSERT INTO {name} ({columns}) {row} ON CONFLICT ({key}) DO UPDATE SET {key} = EXCLUDED.{key}"
    return {
        "changed": f"UPDATE {name} SET {key} = {key} WHERE {key} = %s",
        "deleted": f"DELETE FROM {name} WHERE {key} = %s",
        "replaced": replacing,
    }


def trial(connection: BaseDatabaseWrapper, statement: str, key: int) -> str:
    """Empty when the guard, or the role's own rights, refuse a statement; else why that is no guard."""
    try:
        with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
            cursor.execute(statement, [key])
            raise WentThrough
    except WentThrough:
        return "its guard does nothing"
    except DatabaseError as error:
        if MESSAGE in str(error) or getattr(error.__cause__, "sqlstate", "") == NOT_ALLOWED:
            return ""
        if is_read_only(error):
            raise
        return f"something other than its guard refuses it: {' '.join(str(error).split())}"


def is_read_only(error: DatabaseError) -> bool:
    return "readonly" in str(error) or getattr(error.__cause__, "sqlstate", "") == READ_ONLY
