"""The demo: a fresh database with an invented company, a walk through its main job, and the site."""

import os
import shlex
import socket
import sys
import tempfile
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError

from crewlog.backup.databases import called, config_of, own_config, without_password
from crewlog.backup.errors import CopyInputError
from crewlog.commands import CrewlogCommand
from crewlog.demo.served import Serving
from crewlog.evidence.marks import forget_marks
from crewlog.local import DEMO_HOST, DEMO_PORT, OWN_FILE, VAR_DIR, demo_url
from crewlog.models import Membership
from jobs.demo.build import build_demo
from jobs.demo.database import NotOurs, make_fresh_database
from jobs.demo.people import DEMO_PASSWORD
from jobs.demo.walk import heading, walk_main_job


class Command(CrewlogCommand):
    help = "Makes a demo company in a database of its own, walks its main job, and serves the site. Exit 1: error."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--database",
            metavar="WHERE",
            help="a path or postgres://user@host/name: an empty database, or an earlier demo's, which is made afresh "
            "(what DATABASE_URL says, else var/demo.sqlite3)",
        )
        parser.add_argument("--out", metavar="DIR", default=str(VAR_DIR / "demo"), help="where the PDF goes (var/demo)")
        parser.add_argument("--port", type=int, default=DEMO_PORT, help=f"port of the site ({DEMO_PORT})")
        parser.add_argument("--no-serve", action="store_true", help="stop after the walk")

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["no_serve"]:
            must_be_free(options["port"])
        url, out = demo_url(options["database"]), Path(options["out"]).expanduser().resolve()
        must_be_settings_database(url)
        must_be_writable(out)
        try:
            make_fresh_database()
        except NotOurs as error:
            raise CommandError(str(error)) from error
        by = "" if options["database"] or url == OWN_FILE else ", as DATABASE_URL says"
        self.stdout.write(f"Building the demo in {called(own_config())}{by} ...")
        self.stdout.flush()
        forget_marks()  # of the database that stood there before
        call_command("migrate", verbosity=0, interactive=False)
        call_command("createcachetable", verbosity=0)
        walk_main_job(build_demo(), out=out, say=self.stdout.write)
        self.tell_how_to_verify()
        self.tell_sign_ins()
        if not options["no_serve"]:
            self.serve(options["port"])

    def tell_how_to_verify(self) -> None:
        url = shlex.quote(f"DATABASE_URL={without_password(os.environ['DATABASE_URL'])}")
        self.stdout.write(f"Verify again: env {url} {sys.executable} manage.py verify_records")

    def tell_sign_ins(self) -> None:
        heading("Sign-ins", self.stdout.write)
        members = Membership.objects.select_related("user", "company", "person__details").order_by("company_id", "pk")
        for member in members:
            who = f"{member.person}, {member.company}"
            self.stdout.write(f"{member.user.email:30} {member.get_role_display():12} {who}")
        self.stdout.write(f"Password of all: {DEMO_PASSWORD} (the sign-in page needs none: press a name)")

    def serve(self, port: int) -> None:
        self.stdout.write("")
        self.stdout.write(f"The site: http://{DEMO_HOST}:{port}/  (Ctrl-C stops it)")
        self.stdout.flush()
        must_be_free(port)  # it was when the demo began
        Serving.by_the_demo = True
        Path(settings.STATIC_ROOT).mkdir(parents=True, exist_ok=True)  # empty, or the server warns that it is missing
        call_command("runserver", f"{DEMO_HOST}:{port}", use_reloader=False, skip_checks=True)


def must_be_settings_database(url: str) -> None:
    """Refuse to write anywhere but into the database that the settings were pointed at."""
    try:
        asked = config_of(url)
    except CopyInputError as error:
        raise CommandError(str(error)) from error
    if called(asked) != called(own_config()):
        raise CommandError("Start the demo as manage.py demo: it works in a database of its own.")


def must_be_writable(out: Path) -> None:
    try:
        out.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=out):
            pass
    except OSError as error:
        raise CommandError(f"Cannot write to {out}: {error.strerror}.") from error


def must_be_free(port: int) -> None:
    """Raise CommandError for a port that another program has, with one that is free."""
    if not 1 <= port <= 65535:
        raise CommandError(f"Port {port} does not exist. Give --port a number from 1 to 65535.")
    cause = why_taken(port)
    if cause:
        free = next((other for other in range(port + 1, min(port + 100, 65536)) if not why_taken(other)), None)
        another = f"--port {free}" if free else "--port another"
        raise CommandError(f"Port {port} cannot be used: {cause}. Start the demo with {another}.")


def why_taken(port: int) -> str:
    """Why nothing can listen at a port of this machine; empty when it can."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((DEMO_HOST, port))
        except OSError as error:
            return error.strerror or str(error)
    return ""
