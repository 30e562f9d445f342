"""Filling one database from another: SQLite by its pages, everything else row by row."""

import sqlite3
from contextlib import closing
from pathlib import Path

from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from crewlog.backup.counters import read_counters, write_counters
from crewlog.backup.databases import make_tables, opened, sqlite_file
from crewlog.backup.rows import all_tables, count, insert, rows_of, tables_in
from crewlog.demo import is_demo_database, mark_demo_database
from crewlog.evidence.guards import evidence_tables, lay_triggers, removal_statements


def copy_into_file(source: BaseDatabaseWrapper, path: Path) -> None:
    """Make a SQLite file that holds what the source holds in its open transaction. The file is one, without a log."""
    if source.vendor == "sqlite":
        copy_pages(source, path)
    else:
        with opened(sqlite_file(path), "made_file") as made:
            make_tables(made)
            with transaction.atomic(using=made.alias):
                copy_rows(source, made)
    path.chmod(0o600)


def copy_pages(source: BaseDatabaseWrapper, path: Path) -> None:
    """SQLite's online backup: the state that the source's transaction reads, the log included.

    It is made on the source's own connection, unless that holds writers out: SQLite copies nothing of a connection that
    could write, and then no other writes either, so that a second one reads the same.
    """
    copy = sqlite3.connect(path)
    try:
        source.ensure_connection()
        if getattr(source, "transaction_mode", "") == "IMMEDIATE":  # SQLite's wrapper has it
            with closing(sqlite3.connect(str(source.settings_dict["NAME"]))) as reading:
                reading.backup(copy)
        else:
            source.connection.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")  # the header of a live database asks for a log beside it
    finally:
        copy.close()


def copy_rows(source: BaseDatabaseWrapper, target: BaseDatabaseWrapper) -> None:
    """Fill a target, whose tables are made and hold nothing but defaults, in its open transaction.

    The guards are away while rows come in and stand again before the transaction ends.
    """
    there = {table.name for table in tables_in(target)}
    with target.cursor() as cursor:
        for guarded in evidence_tables():
            for statement in removal_statements(target.vendor, guarded):
                cursor.execute(statement)
        for name in sorted(there):
            cursor.execute(f"DELETE FROM {target.ops.quote_name(name)}")  # noqa: S608 - a name of our models
    for table in tables_in(source):
        insert(target, table, rows_of(source, table))
    write_counters(target, read_counters(source))
    target.check_constraints()
    lay_triggers(using=target.alias)
    if is_demo_database(using=source.alias):
        mark_demo_database(using=target.alias)


# Tables that every fresh database fills by itself, or that hold nothing anybody would miss.
FILLED_BY_ITSELF = {"django_migrations", "django_content_type", "auth_permission", "django_session", "crewlog_cache"}


def is_empty(connection: BaseDatabaseWrapper) -> bool:
    """Whether a database holds nothing that somebody entered: no tables, or only what migrate puts there."""
    ours = {table.name for table in all_tables()}
    if set(connection.introspection.table_names()) - ours:
        return False
    return not any(count(connection, table) for table in tables_in(connection) if table.name not in FILLED_BY_ITSELF)
