"""Put a back-up in the place of database, files and key."""

import json
import os
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils import timezone

from crewlog.backup.databases import called, own_config
from crewlog.backup.placing import Placed
from crewlog.backup.putting_back import Proved, Wish, check_backup, restore, restore_key, stamp_of
from crewlog.backup.report import files_in, rows_in, said_in_one_line, summary
from crewlog.backup.taking import Site
from crewlog.commands import CrewlogCommand


class Command(CrewlogCommand):
    help = (
        "Restores the back-up DIR into the database that DATABASE_URL names, SQLite or PostgreSQL, whichever it was "
        "taken from. Stop the site first. Every file is hashed, every row counted and every chain recomputed before "
        "anything is put in place; then the database changes in one step or not at all. "
        "Exit 1: DIR is no back-up, or the target cannot be written. Exit 2: the back-up is damaged or older than a "
        "head that is known, or the target is not empty."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", metavar="DIR", help="a back-up: the folder with its manifest.json")
        parser.add_argument("--since", metavar="HEAD", help="a head that somebody kept; the back-up must hold it")
        parser.add_argument(
            "--replace", action="store_true", help="keep the database that stands there aside and restore in its place"
        )
        parser.add_argument(
            "--accept-loss", action="store_true", help="restore though the database here has later records"
        )
        parser.add_argument("--check", action="store_true", help="prove the back-up and change nothing")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        folder = Path(options["folder"]).expanduser().resolve()
        if options["check"]:
            with said_in_one_line():
                self.tell_checked(folder, check_backup(folder, since=options["since"]), as_json=options["json"])
            return
        stamp = stamp_of(timezone.now())
        wish = Wish(options["since"], options["replace"], options["accept_loss"])
        site = Site(own_config(), Path(settings.FILES_DIR), None)
        with said_in_one_line():
            placed, proved = restore(folder=folder, site=site, wish=wish, stamp=stamp)
        key = self.put_key(folder, stamp)
        if options["json"]:
            said = summary(placed.tables, placed.heads, restored=str(folder), aside=placed.aside)
            self.stdout.write(json.dumps(said, indent=1))
            return
        self.tell(folder, placed, proved)
        self.stdout.write(key)

    def put_key(self, folder: Path, stamp: str) -> str:
        """Put the key in its place, and say what became of it."""
        if os.environ.get("CREWLOG_SECRET_KEY"):
            return "CREWLOG_SECRET_KEY gives the secret key; the one of the back-up was left there."
        if restore_key(folder, Path(settings.VAR_DIR) / "secret-key", stamp=stamp):
            return "The secret key was restored; the one that was here is kept beside it."
        return "The secret key was left as it is. Where it is not the one of the back-up, everybody signs in again."

    def tell(self, folder: Path, placed: Placed, proved: Proved) -> None:
        taken = f"{proved.manifest.taken_at:%Y-%m-%d %H:%M:%S} UTC"
        self.stdout.write(f"{folder}, taken {taken}, stands in {called(own_config())}.")
        self.stdout.write(f"{rows_in(placed.tables)} compared, {files_in(proved.manifest)}.")
        for head in placed.heads:
            self.stdout.write(str(head))
        if proved.migrated:
            self.stdout.write(f"An earlier version took it: {proved.migrated} migrations were applied.")
        if proved.manifest.missing:
            self.stdout.write(f"{len(proved.manifest.missing)} files were missing when it was taken.")
        if placed.aside:
            self.stdout.write(f"What stood there is kept: {placed.aside}")

    def tell_checked(self, folder: Path, proved: Proved, *, as_json: bool) -> None:
        if as_json:
            self.stdout.write(json.dumps(summary(proved.manifest.tables, proved.heads, checked=str(folder)), indent=1))
            return
        self.stdout.write(f"{folder} is whole: {rows_in(proved.manifest.tables)}, {files_in(proved.manifest)}.")
        for head in proved.heads:
            self.stdout.write(str(head))
