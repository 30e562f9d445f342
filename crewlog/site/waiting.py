"""Migrations that this version brings and the database has not had."""

from functools import cache

from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

Migration = tuple[str, str]


def waiting_migrations() -> list[str]:
    """Names of migrations that this version brings and the database has not had, in order of name."""
    applied = set(MigrationRecorder(connection).applied_migrations())
    return [
        f"{app}.{name}" for (app, name), replaced in known_migrations() if not is_had((app, name), replaced, applied)
    ]


def is_had(key: Migration, replaced: tuple[Migration, ...], applied: set[Migration]) -> bool:
    return key in applied or (bool(replaced) and applied.issuperset(replaced))


@cache
def known_migrations() -> tuple[tuple[Migration, tuple[Migration, ...]], ...]:
    """Every migration on disk with those it replaces, but for the replaced ones; read once."""
    loader = MigrationLoader(None, load=False)
    loader.load_disk()
    gone = {each for migration in loader.disk_migrations.values() for each in migration.replaces}
    found = [(key, tuple(node.replaces)) for key, node in loader.disk_migrations.items() if key not in gone]
    return tuple(sorted(found))
