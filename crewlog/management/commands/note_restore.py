"""Put on record that an older copy of the database was restored, and which records were lost by it."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from crewlog.commands import REFUSED, CrewlogCommand
from crewlog.errors import RuleBroken
from crewlog.evidence.losses import note_restore
from crewlog.models import Company


class Command(CrewlogCommand):
    needs_database = True
    help = (
        "Notes in a company's chain that an older copy was restored. verify_records then names the records that were "
        "lost as a note, at every run. Exit 2 when none is lost."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--company", type=int, metavar="ID", required=True)
        parser.add_argument("--because", required=True, metavar="REASON", help="why the older copy was restored")

    def handle(self, *args: Any, **options: Any) -> None:
        company = Company.objects.filter(pk=options["company"]).first()
        if company is None:
            raise CommandError(f"There is no company {options['company']}.")
        try:
            restore = note_restore(company=company, because=options["because"])
        except RuleBroken as refusal:
            raise CommandError(str(refusal), returncode=REFUSED) from refusal
        self.stdout.write(f"{company}: {restore}.")
