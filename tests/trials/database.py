"""A database of a trial's own: a SQLite file or a private PostgreSQL server, gone afterwards."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

KINDS = ("sqlite", "postgresql")


@contextmanager
def trial_database(kind: str) -> Iterator[None]:
    """Set up Django on a fresh, migrated database of this kind. Once in a process: settings are read once."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # writers are forked
    with tempfile.TemporaryDirectory(prefix="crewlog-trial-") as folder:
        os.environ["CREWLOG_FILES"] = str(Path(folder) / "files")
        if kind == "sqlite":
            os.environ["DATABASE_URL"] = f"sqlite:///{folder}/trial.sqlite3"
            migrate()
            yield
            return
        from tests.postgresql.server import postgresql_server

        with postgresql_server() as server:
            os.environ["DATABASE_URL"] = f"{server}postgres"
            migrate()
            try:
                yield
            finally:
                from django.db import connections

                connections.close_all()


def migrate() -> None:
    import django
    from django.core.management import call_command
    from django.test.utils import setup_test_environment

    django.setup()
    setup_test_environment()  # pages tell what they were made from
    call_command("migrate", verbosity=0)
