"""Whether there is a database that a chain can be read from, said in one line before anything is asked of it."""

from django.core.management.base import CommandError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from crewlog.site.database import database_file


def must_be_ready() -> None:
    """Raise CommandError where the database is missing or not migrated. A table that is gone is not said here: that
    is a fault of the record. Raises django.db.Error where the database does not answer."""
    path = database_file()
    if path is not None and not (path.is_file() and path.stat().st_size):
        raise CommandError(f"There is no database at {path}.")  # to open it would make an empty one
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    if plan:
        first = f"{plan[0][0].app_label}.{plan[0][0].name}"
        raise CommandError(f"The database is not migrated: {len(plan)} missing, first {first}. Run migrate.")
