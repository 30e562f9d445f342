"""The last key each table gave out: a copy goes on from there, so that no number of a deleted row is given again."""

from django.core.management.color import no_style
from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Max

from crewlog.backup.rows import Table, tables_in

Counters = dict[str, int]


def numbered(connection: BaseDatabaseWrapper) -> list[Table]:
    """Tables that number their rows themselves."""
    return [table for table in tables_in(connection) if isinstance(table.model._meta.pk, models.AutoField)]


def read_counters(connection: BaseDatabaseWrapper) -> Counters:
    """The last number given out by table, never below the highest that stands there."""
    tables = numbered(connection)
    given = sqlite_counters(connection) if connection.vendor == "sqlite" else postgresql_counters(connection, tables)
    return {table.name: max(given.get(table.name, 0), highest(connection, table)) for table in tables}


def highest(connection: BaseDatabaseWrapper, table: Table) -> int:
    return int(table.model._base_manager.using(connection.alias).aggregate(found=Max("pk"))["found"] or 0)


def sqlite_counters(connection: BaseDatabaseWrapper) -> Counters:
    with connection.cursor() as cursor:
        cursor.execute("SELECT name, seq FROM sqlite_sequence")
        return dict(cursor.fetchall())


def postgresql_counters(connection: BaseDatabaseWrapper, tables: list[Table]) -> Counters:
    found = {}
    with connection.cursor() as cursor:
        for table in tables:
            sequence = sequence_of(connection, table)
            cursor.execute(f"SELECT last_value, is_called FROM {sequence}")  # noqa: S608 - PostgreSQL's own name
            last, is_called = cursor.fetchone()
            found[table.name] = last if is_called else last - 1
    return found


def sequence_of(connection: BaseDatabaseWrapper, table: Table) -> str:
    with connection.cursor() as cursor:
        name, column = connection.ops.quote_name(table.name), table.model._meta.pk.column
        cursor.execute("SELECT pg_get_serial_sequence(%s, %s)", [name, column])
        return str(cursor.fetchone()[0])


def write_counters(connection: BaseDatabaseWrapper, counters: Counters) -> None:
    """Let every table go on after the number given."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("DELETE FROM sqlite_sequence")
            used = [(name, value) for name, value in counters.items() if value]
            cursor.executemany("INSERT INTO sqlite_sequence (name, seq) VALUES (%s, %s)", used)
            return
        models_of = [table.model for table in numbered(connection)]
        for statement in connection.ops.sequence_reset_sql(no_style(), models_of):
            cursor.execute(statement)
        for table in numbered(connection):
            if counters.get(table.name):
                cursor.execute("SELECT setval(%s, %s, true)", [sequence_of(connection, table), counters[table.name]])
