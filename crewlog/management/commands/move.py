"""Copy the database into an empty one of the same or the other kind."""

import json
from argparse import ArgumentParser
from typing import Any

from django.utils import timezone

from crewlog.backup.databases import called, config_of, own_config
from crewlog.backup.moving import move_database
from crewlog.backup.putting_back import stamp_of
from crewlog.backup.report import rows_in, said_in_one_line, summary
from crewlog.commands import CrewlogCommand


class Command(CrewlogCommand):
    help = (
        "Copies the database that DATABASE_URL names into the empty one at URL, SQLite or PostgreSQL: every row, key, "
        "microsecond and head. Stop the site first; who writes during the move waits for its end. Every row is "
        "compared and every chain recomputed before anything can be seen in the target; a move that fails leaves it "
        "as it was. The source is not changed. Kept files and the secret key stay where they are. "
        "Exit 1: URL cannot be used. Exit 2: the target is not empty, or would not hold the same."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", metavar="URL", required=True, help="postgres://user@host/name or sqlite:////path")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        with said_in_one_line():
            target = config_of(options["to"])
            placed = move_database(source=own_config(), target=target, stamp=stamp_of(timezone.now()))
        if options["json"]:
            self.stdout.write(json.dumps(summary(placed.tables, placed.heads, moved_to=called(target)), indent=1))
            return
        self.stdout.write(f"{called(target)}: {rows_in(placed.tables)} compared.")
        for head in placed.heads:
            self.stdout.write(str(head))
        self.stdout.write(
            "Start the site with DATABASE_URL set to it. What is written to the old one from now is not in it."
        )
