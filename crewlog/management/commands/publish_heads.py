"""Publish the heads of every chain where the environment says; for cron, once or several times a day."""

from argparse import ArgumentParser
from typing import Any

from django.core.exceptions import ImproperlyConfigured
from django.core.management.base import CommandError

from crewlog.commands import CrewlogCommand
from crewlog.evidence.publishing import FILE, MAIL, URL, publish, targets


class Command(CrewlogCommand):
    needs_database = True
    help = f"Sends the heads of the records by mail ({MAIL}), to a file or folder ({FILE}) or to an address ({URL})."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--again", action="store_true", help="send also where today's heads were sent already")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            if not targets():
                raise CommandError(f"Nothing is set up: set {MAIL}, {FILE} or {URL}.")
        except ImproperlyConfigured as fault:
            raise CommandError(str(fault)) from fault
        sent, failed = publish(again=options["again"])
        for name in sent:
            self.stdout.write(f"Heads sent: {name}.")
        if failed:
            told = "; ".join(f"{name}: {why}" for name, why in failed.items())
            raise CommandError(f"Not sent, to be tried again at the next run: {told}")
        if not sent:
            self.stdout.write("Today's heads were sent already.")
