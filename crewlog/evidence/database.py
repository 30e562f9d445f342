"""Whether there is a database that a chain can be read from, said in one line before anything is asked of it."""

from pathlib import Path

from django.core.management.base import CommandError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor


def must_be_ready() -> None:
    """Raise CommandError where the database is missing or not migrated. A table that is gone is not said here: that
    is a fault of the record. Raises django.db.Error where the database does not answer."""
    name = str(connection.settings_dict["NAME"])
    if connection.vendor == "sqlite" and not is_there(name):
        raise CommandError(f"There is no database at {name}.")  # to open it would make an empty one
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    if plan:
        first = f"{plan[0][0].app_label}.{plan[0][0].name}"
        raise CommandError(f"The database is not migrated: {len(plan)} missing, first {first}. Run migrate.")


def is_there(name: str) -> bool:
    return "memory" in name or (Path(name).is_file() and Path(name).stat().st_size > 0)
