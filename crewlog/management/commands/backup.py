"""Copy database, files and key into a new folder while the site is served."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.utils import timezone

from crewlog.backup.databases import own_config
from crewlog.backup.marks import note_backup
from crewlog.backup.report import files_in, rows_in, said_in_one_line, summary
from crewlog.backup.taking import Backup, Site, remove_older, take_backup, unfinished
from crewlog.commands import CrewlogCommand


class Command(CrewlogCommand):
    help = (
        "Makes DIR/crewlog-YYYYMMDDTHHMMSSZ with a copy of the database, the kept files and the secret key, all of one "
        "moment, while the site is served. No back-up is ever written over. Every row is compared with the database, "
        "every chain of records recomputed and every file hashed; only then does the folder get its name (an "
        "interrupted one ends in .unfinished). The copy is a SQLite file whatever the database is. "
        "Exit 1: DIR cannot be written. Exit 2: the copy would not be whole."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", metavar="DIR", help="a folder for back-ups; made when it is missing")
        parser.add_argument("--without-key", action="store_true", help="leave the secret key out")
        parser.add_argument(
            "--keep", type=int, metavar="N", help="afterwards delete all back-ups in DIR but the last N"
        )
        parser.add_argument(
            "--allow-missing", action="store_true", help="back up though files that records name are gone"
        )
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        into = Path(options["folder"]).expanduser().resolve()
        if options["keep"] is not None and options["keep"] < 1:
            raise CommandError("--keep takes a number from 1.")
        key = None if options["without_key"] else settings.SECRET_KEY
        site = Site(own_config(), Path(settings.FILES_DIR), key)
        left = unfinished(into)
        with said_in_one_line():
            made = take_backup(site=site, into=into, now=timezone.now(), allow_missing=options["allow_missing"])
        manifest = made.manifest
        said = summary(manifest.tables, manifest.heads, folder=str(made.folder), taken_at=manifest.taken_at.isoformat())
        try:
            note_backup(dict(said))
        except OSError as fault:
            self.stderr.write(f"When this was done could not be noted: {fault.strerror}.")
        gone = remove_older(into, keep=options["keep"]) if options["keep"] else []
        if options["json"]:
            self.stdout.write(json.dumps(said, indent=1))
            return
        self.tell(made, with_key=key is not None)
        for path in gone:
            self.stdout.write(f"Deleted: {path}")
        for path in left:
            self.stdout.write(f"{path} was interrupted and holds no back-up. It can be deleted.")

    def tell(self, made: Backup, *, with_key: bool) -> None:
        manifest = made.manifest
        self.stdout.write(f"{made.folder}: {rows_in(manifest.tables)} compared, {files_in(manifest)}.")
        for head in manifest.heads:
            self.stdout.write(str(head))
        if manifest.missing:
            self.stdout.write(f"{len(manifest.missing)} files that records name were missing: see the manifest.")
        if with_key:
            self.stdout.write("It contains the secret key: whoever can read the folder can sign in as anybody.")
        else:
            self.stdout.write("The secret key is not in it.")
