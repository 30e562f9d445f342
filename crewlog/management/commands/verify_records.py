"""Recompute every company's chain of records."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from crewlog.evidence import verify
from crewlog.models import Company, Record
from crewlog.site.stamps import write_stamp


class Command(BaseCommand):
    help = "Recomputes every hash of the records and of the files they name, and reports the first break."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--since", metavar="HEAD", help="a head that a third party kept; it must still stand")
        parser.add_argument("--company", type=int, metavar="ID", help="one company only")
        parser.add_argument("--no-files", action="store_true", help="leave photographs and documents unread")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        companies = Company.objects.order_by("pk")
        if options["company"] is not None:
            companies = companies.filter(pk=options["company"])
            if not companies:
                raise CommandError(f"There is no company {options['company']}.")
        verdicts = [verify(company, files=not options["no_files"]) for company in companies]
        since = options["since"]
        if since and not Record.objects.filter(company__in=companies, hash=since).exists():
            message = f"The head {since} stands in no chain: records were removed or rewritten after it was kept."
            if options["json"]:
                self.stdout.write(json.dumps({"fault": message}))
            raise CommandError(message, returncode=2)
        broken = [v for v in verdicts if not v.holds]
        if options["company"] is None and not options["no_files"]:
            self.say_when(whole=not broken)
        if options["json"]:
            self.stdout.write(json.dumps([self.as_json(v) for v in verdicts], indent=1))
        else:
            for v in verdicts:
                state = "whole" if v.holds else f"BROKEN: {v.fault}"
                self.stdout.write(f"{v.company}: {v.count} records, head {v.head}, chain {state}")
        if broken:
            raise CommandError(f"{broken[0].company}: {broken[0].fault}", returncode=2)

    def say_when(self, *, whole: bool) -> None:
        """`check_site` reads when the records were last looked at, and what was found."""
        try:
            write_stamp("verify", whole=whole)
        except OSError as fault:
            self.stderr.write(f"When this was done could not be noted: {fault.strerror}.")

    def as_json(self, verdict: Any) -> dict[str, Any]:
        return {
            "company": verdict.company.name,
            "records": verdict.count,
            "head": verdict.head,
            "holds": verdict.holds,
            "fault": verdict.fault,
        }
