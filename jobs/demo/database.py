"""The demo's own database: fresh each time, and never in place of a database that is not a demo's."""

import sqlite3
from pathlib import Path

from django.db import DatabaseError, connection, transaction

from crewlog.demo import DEMO_MARK, is_demo_database, mark_demo_database

SQLITE_HEAD = b"SQLite format 3\0"
COMPANIONS = ("-wal", "-shm")


class NotOurs(Exception):  # noqa: N818 - the name says what it is
    """The place cannot hold a fresh demo database; the message says why in one line."""


def make_fresh_database() -> None:
    """Empty the database of the settings and mark it as a demo's. Raises NotOurs, and then nothing was touched."""
    if connection.vendor == "sqlite":
        make_fresh(Path(connection.settings_dict["NAME"]))
    else:
        make_fresh_tables()


def make_fresh_tables() -> None:
    """Drop what an earlier demo made in a database on a server, and mark it, in one transaction."""
    name = connection.settings_dict["NAME"]
    try:
        with transaction.atomic():
            tables = connection.introspection.table_names()
            if tables and not is_demo_database():
                raise NotOurs(
                    f"The database {name} holds {len(tables)} tables that no demo made, and is left as it is. "
                    "Give --database another."
                )
            with connection.cursor() as cursor:
                for table in tables:
                    cursor.execute(f"DROP TABLE {connection.ops.quote_name(table)} CASCADE")
            mark_demo_database()
    except DatabaseError as error:
        raise NotOurs(f"Cannot make a demo in the database {name}: {' '.join(str(error).split())[:300]}") from error


def is_demo(path: Path) -> bool:
    """Whether a file is a database that the demo made. Raises OSError when it cannot be read."""
    with path.open("rb") as file:
        head = file.read(72)
    return head.startswith(SQLITE_HEAD) and int.from_bytes(head[68:72], "big") == DEMO_MARK


def make_fresh(path: Path) -> None:
    """Put an empty database with the demo's mark at the path. Raises NotOurs, and then nothing was touched."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.is_dir():
            raise NotOurs(f"{path} is a folder. Give --database a file.")
        if path.exists() and not is_demo(path):
            raise NotOurs(f"{path} is not a demo database and is left as it is. Give --database another file.")
        stray = [] if path.exists() else [name for name in companions(path) if name.exists()]
        if stray:
            raise NotOurs(f"{stray[0]} lies there without its database. Give --database another file.")
        for old in (path, *companions(path)):
            old.unlink(missing_ok=True)
        mark(path)
    except OSError as error:
        raise NotOurs(f"Cannot make a database at {path}: {error.strerror}.") from error
    except sqlite3.Error as error:
        raise NotOurs(f"Cannot make a database at {path}: {error}.") from error


def companions(path: Path) -> tuple[Path, ...]:
    return tuple(path.with_name(path.name + ending) for ending in COMPANIONS)


def mark(path: Path) -> None:
    connection = sqlite3.connect(path)
    try:
        connection.execute(f"PRAGMA application_id = {DEMO_MARK}")
        connection.commit()
    finally:
        connection.close()
