"""What tells a demo's database from every other: only such a one is wiped by the demo and offers its people by name.

A SQLite file carries the mark in its head, PostgreSQL as a table of its own that anybody sees. Both go with the
database when it is backed up, restored or moved.
"""

from django.db import DEFAULT_DB_ALIAS, connections

DEMO_MARK = 0x43726577  # SQLite's application id
DEMO_TABLE = "crewlog_demo_mark"
NOTE = "A demo made this database. The next demo deletes all of it."


def is_demo_database(*, using: str = DEFAULT_DB_ALIAS) -> bool:
    """Whether the demo made this database. One short query."""
    connection = connections[using]
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA application_id")
            return bool(cursor.fetchone()[0] == DEMO_MARK)
        cursor.execute("SELECT to_regclass(%s) IS NOT NULL", [DEMO_TABLE])
        return bool(cursor.fetchone()[0])


def mark_demo_database(*, using: str = DEFAULT_DB_ALIAS) -> None:
    """Lay the mark; laying it twice is harmless."""
    connection = connections[using]
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(f"PRAGMA application_id = {DEMO_MARK}")
            return
        cursor.execute(f"CREATE TABLE IF NOT EXISTS {DEMO_TABLE} (note text PRIMARY KEY)")
        cursor.execute(f"INSERT INTO {DEMO_TABLE} VALUES (%s) ON CONFLICT DO NOTHING", [NOTE])  # noqa: S608 - our name
