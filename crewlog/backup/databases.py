"""Databases beside the one of the settings: opened for a while, read in one state, stood in for it while code runs."""

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

from django.contrib.contenttypes.models import ContentType
from django.core.management import call_command
from django.db import DEFAULT_DB_ALIAS, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor

from crewlog.backup.errors import CopyInputError, CopyRefused
from crewlog.settings import SQLITE_OPTIONS, database

Config = Mapping[str, Any]
CACHE_TABLE = "crewlog_cache"  # made by createcachetable, no model stands for it
SQLITE = "django.db.backends.sqlite3"
POSTGRESQL = "django.db.backends.postgresql"
ADDRESSES = "Give sqlite:////path/to/file or postgres://user@host/name."


def own_config() -> Config:
    """The database of the settings."""
    return connections[DEFAULT_DB_ALIAS].settings_dict


def config_of(url: str) -> Config:
    """The database an address names. Raises CopyInputError for what is no address of SQLite or PostgreSQL."""
    try:
        config = database(url)
    except ValueError as error:
        raise CopyInputError(f"{without_password(url)} is no address of a database. {ADDRESSES}") from error
    if config["ENGINE"] not in (SQLITE, POSTGRESQL) or not config["NAME"] or config["NAME"] == ":memory:":
        raise CopyInputError(f"{without_password(url)} cannot be used. {ADDRESSES}")
    return config


def without_password(url: str) -> str:
    return re.sub(r"^(\w+://[^:@/]*):[^@/]*@", r"\1@", url)


def sqlite_file(path: Path) -> Config:
    """A SQLite file as one writes it before anybody else sees it: one file, synced by whoever made it."""
    quick = "PRAGMA journal_mode=DELETE; PRAGMA synchronous=OFF;"
    return {"ENGINE": SQLITE, "NAME": str(path), "OPTIONS": {"init_command": quick}}


def sqlite_unchanging(path: Path) -> Config:
    """A SQLite file that nobody writes, read without a trace."""
    return {"ENGINE": SQLITE, "NAME": f"file:{quote(str(path))}?mode=ro&immutable=1", "OPTIONS": {}}


def for_reading(config: Config, *, hold_writers: bool = False) -> Config:
    """The same database for reading one state; on SQLite the mode says whether writers wait meanwhile."""
    if config["ENGINE"] != SQLITE:
        return config
    mode = "IMMEDIATE" if hold_writers else "DEFERRED"
    return {**config, "OPTIONS": {**SQLITE_OPTIONS, "transaction_mode": mode}}


def is_sqlite(config: Config) -> bool:
    return bool(config["ENGINE"] == SQLITE)


def called(config: Config) -> str:
    """How a database is called in a message: never with its password."""
    if is_sqlite(config):
        return str(config["NAME"])
    place = config.get("HOST") or "the local server"
    if config.get("PORT"):
        place = f"{place}:{config['PORT']}"
    return f"PostgreSQL database {config['NAME']} on {place}"


@contextmanager
def opened(config: Config, alias: str) -> Iterator[BaseDatabaseWrapper]:
    """Open a database under an alias until the block ends."""
    fresh = {key: value for key, value in config.items() if key != "TEST"}
    configured = connections.configure_settings({DEFAULT_DB_ALIAS: dict(own_config()), alias: fresh})
    connections.settings[alias] = configured[alias]
    try:
        yield connections[alias]
    finally:
        connections[alias].close()
        del connections[alias]
        del connections.settings[alias]


@contextmanager
def standing_in(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Let an opened database be the default one, so that commands and checks written for that one work on it."""
    alias, own = connection.alias, connections[DEFAULT_DB_ALIAS]
    connection.alias = DEFAULT_DB_ALIAS
    connections[DEFAULT_DB_ALIAS] = connection
    ContentType.objects.clear_cache()
    try:
        yield
    finally:
        connections[DEFAULT_DB_ALIAS] = own
        connection.alias = alias
        ContentType.objects.clear_cache()


@contextmanager
def one_state(connection: BaseDatabaseWrapper, *, hold_writers: bool = False) -> Iterator[None]:
    """Read a database in one state, however long it takes. Others go on writing, or wait until the block ends.

    On SQLite the connection has to be one of `for_reading`, which says whether writers wait.
    """
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            names = [connection.ops.quote_name(name) for name in connection.introspection.table_names()]
            if hold_writers and names:
                cursor.execute(f"LOCK TABLE {', '.join(names)} IN SHARE MODE")
            cursor.execute("SELECT 1")
        else:
            cursor.execute("SELECT count(*) FROM sqlite_master")
        yield


def migrations_behind(connection: BaseDatabaseWrapper) -> list[str]:
    """Migrations of this version that the database does not have yet."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return [f"{migration.app_label}.{migration.name}" for migration, _ in plan]


def migrations_ahead(connection: BaseDatabaseWrapper) -> list[str]:
    """Migrations the database has and this version does not know."""
    executor = MigrationExecutor(connection)
    ours = {app for app, _ in executor.loader.graph.leaf_nodes()}
    on_disk = executor.loader.disk_migrations
    known = {*on_disk, *(replaced for migration in on_disk.values() for replaced in migration.replaces)}
    unknown = [
        (app, name) for app, name in executor.loader.applied_migrations if app in ours and (app, name) not in known
    ]
    return sorted(f"{app}.{name}" for app, name in unknown)


def must_exist(config: Config) -> None:
    """Raise CopyInputError for a SQLite file that is not there: to open it would make an empty one."""
    if is_sqlite(config) and not Path(config["NAME"]).exists():
        raise CopyInputError(f"There is no database at {config['NAME']}.")


def must_be_current(connection: BaseDatabaseWrapper) -> None:
    """Refuse a database whose tables are not those of this version."""
    ahead, behind = migrations_ahead(connection), migrations_behind(connection)
    if ahead:
        raise CopyRefused(f"The database was made by a later version ({ahead[-1]}). Use that version.", code="ahead")
    if behind:
        raise CopyRefused(
            f"The database lacks {len(behind)} migrations of this version (first {behind[0]}). Run migrate, or use the "
            "version that serves it.",
            code="behind",
        )


def make_tables(connection: BaseDatabaseWrapper) -> None:
    """Make or bring up to date every table, the cache's too."""
    with standing_in(connection):
        call_command("migrate", verbosity=0, interactive=False)
        call_command("createcachetable", CACHE_TABLE, verbosity=0)
