"""Putting a database in its place: a SQLite file in one rename, PostgreSQL in one transaction. Or nothing changes."""

import os
import shutil
import sqlite3
from dataclasses import dataclass
from pathlib import Path

from django.db import DatabaseError, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from crewlog.backup.copying import copy_into_file, copy_rows, is_empty
from crewlog.backup.databases import (
    Config,
    called,
    is_sqlite,
    make_tables,
    opened,
    sqlite_unchanging,
)
from crewlog.backup.errors import CopyInputError, CopyRefused
from crewlog.backup.manifest import sync
from crewlog.backup.proof import Head, proved_heads
from crewlog.backup.rows import Counted, all_tables, compare
from crewlog.demo import DEMO_TABLE


@dataclass(frozen=True, slots=True)
class Placed:
    """What stands in the target now, and where what stood there before lies."""

    tables: list[Counted]
    heads: list[Head]
    aside: str = ""


def must_be_free(config: Config, *, replace: bool) -> None:
    """Refuse a target that is neither missing nor empty unless it may be replaced. Raises CopyInputError where it
    cannot be read.
    """
    if is_sqlite(config) and not Path(config["NAME"]).exists():
        return
    try:
        with opened(config, "backup_target") as target:
            empty = is_empty(target)
    except DatabaseError as error:
        why = " ".join(str(error).split())[:300]
        raise CopyInputError(f"Cannot read {called(config)}: {why}") from error
    if not empty and not replace:
        raise CopyRefused(f"{called(config)} is not empty and is left as it is.", code="not-empty")


def place(source: BaseDatabaseWrapper, config: Config, *, stamp: str, replace: bool = False) -> Placed:
    """Put what the source holds in its open transaction into the target, proved before anybody can see it.

    What stands there is kept aside with `replace`, else refused. Raises CopyRefused and CopyInputError; nothing in
    the target is then changed.
    """
    must_be_free(config, replace=replace)
    try:
        return place_file(source, config, stamp) if is_sqlite(config) else place_tables(source, config, stamp)
    except (DatabaseError, OSError) as error:
        why = " ".join(str(error).split())[:300]
        raise CopyInputError(f"Cannot write {called(config)}: {why}") from error


def place_file(source: BaseDatabaseWrapper, config: Config, stamp: str) -> Placed:
    path = Path(config["NAME"])
    path.parent.mkdir(parents=True, exist_ok=True)
    work = path.with_name(f"{path.name}.{stamp}.unfinished")
    try:
        copy_into_file(source, work)
        with opened(sqlite_unchanging(work), "placed_copy") as copy:
            tables, heads = compare(source, copy), proved_heads(copy)
        sync(work)
        aside = set_file_aside(path, stamp)
        os.replace(work, path)
        sync(path.parent)
    finally:
        work.unlink(missing_ok=True)
    return Placed(tables, heads, aside)


def set_file_aside(path: Path, stamp: str) -> str:
    """Give the old file a second name, its log folded in. Raises CopyRefused while anybody has it open.

    A log whose file is gone is renamed too: SQLite would play it over the new file.
    """
    if not path.exists():
        for ending in ("-wal", "-shm", "-journal"):
            left = path.with_name(path.name + ending)
            if left.exists():
                left.rename(path.with_name(f"{path.name}.before-{stamp}{ending}"))
        return ""
    old = sqlite3.connect(path, timeout=2)
    try:
        old.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.Error as error:
        raise CopyRefused(f"{path} is in use. Stop the site first.", code="in-use") from error
    finally:
        old.close()
    aside = path.with_name(f"{path.name}.before-{stamp}")
    try:
        os.link(path, aside)
    except OSError:  # a file system without links: there is a moment in which only the old file's new name stands
        shutil.move(path, aside)
    return str(aside)


def place_tables(source: BaseDatabaseWrapper, config: Config, stamp: str) -> Placed:
    with (
        opened({**config, "CONN_HEALTH_CHECKS": False}, "placed_copy") as target,
        transaction.atomic(using=target.alias),
    ):
        aside = set_tables_aside(target, stamp)
        make_tables(target)
        target.check_constraints()  # a migration may have left some immediate: rows come in without regard to order
        copy_rows(source, target)
        return Placed(compare(source, target), proved_heads(target), aside)


def set_tables_aside(target: BaseDatabaseWrapper, stamp: str) -> str:
    """Move our tables into a schema of their own, in the transaction that puts the new ones in their place.

    Empty tables that migrate made are brought up to date instead.
    """
    if is_empty(target):
        return ""
    schema = f"before_{stamp.lower()}"
    quote = target.ops.quote_name
    ours = {table.name for table in all_tables()} | {DEMO_TABLE}
    with target.cursor() as cursor:
        cursor.execute(f"CREATE SCHEMA {quote(schema)}")
        for name in sorted(ours & set(target.introspection.table_names())):
            cursor.execute(f"ALTER TABLE {quote(name)} SET SCHEMA {quote(schema)}")
    return f"schema {schema}"
