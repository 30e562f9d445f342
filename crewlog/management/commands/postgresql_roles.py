"""Print the SQL that keeps the application's role on PostgreSQL from changing evidence."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError
from django.db import DatabaseError, connection

from crewlog.commands import CrewlogCommand
from crewlog.roles.statements import ROLE_NAME, role_statements


class Command(CrewlogCommand):
    help = (
        "Prints SQL for two roles on PostgreSQL: the owner of the tables, who migrates, and the application's ROLE, "
        "which reads everything, changes state, adds evidence, and never changes evidence, its triggers or its tables. "
        "Start it as the owner after every migrate and give it to psql. Make the role before: CREATE ROLE role LOGIN. "
        "Exit 1: not PostgreSQL, or not migrated."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--app", metavar="ROLE", required=True, help="the role of DATABASE_URL when the site runs")
        parser.add_argument("--owner", metavar="ROLE", help="the role that migrates (the one that is connected now)")

    def handle(self, *args: Any, **options: Any) -> None:
        if connection.vendor != "postgresql":
            raise CommandError("Roles are for PostgreSQL; a SQLite file has none. Set DATABASE_URL to the owner's.")
        for role in (options["app"], options["owner"]):
            if role is not None and not ROLE_NAME.fullmatch(role):
                raise CommandError(f"{role!r}: a role's name here has letters, digits, _ and -, 63 at most.")
        try:
            with connection.cursor() as cursor:
                cursor.execute("SELECT current_user, to_regclass('crewlog_record')")
                connected, record = cursor.fetchone()
            if record is None:
                raise CommandError("The database has no tables yet. Run migrate and createcachetable first.")
            owner = options["owner"] or connected
            if owner == options["app"]:
                raise CommandError(f"{owner} is the owner. The application needs a role of its own.")
            statements = role_statements(connection, app=options["app"], owner=owner)
        except DatabaseError as error:
            raise CommandError(f"Cannot read the database: {' '.join(str(error).split())[:300]}") from error
        self.stdout.write("\\set ON_ERROR_STOP on\nBEGIN;")
        for statement in statements:
            self.stdout.write(f"{statement};")
        self.stdout.write("COMMIT;")
