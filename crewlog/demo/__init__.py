"""What is offered in the demo alone: whether this database is one, and signing in as its people with one press."""

from django.db import connection

DEMO_MARK = 0x43726577  # the application id in the head of every SQLite file the demo makes


def is_demo_database() -> bool:
    """Whether the demo made the database in use. One query."""
    if connection.vendor != "sqlite":
        return False
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA application_id")
        return bool(cursor.fetchone()[0] == DEMO_MARK)
