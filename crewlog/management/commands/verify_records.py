"""Verify every company's chain of records, and what repeats it."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError
from django.db import Error as DatabaseFault

from crewlog.commands import REFUSED, CrewlogCommand
from crewlog.evidence import Verdict, verify
from crewlog.evidence.database import must_be_ready
from crewlog.models import Company, Record
from crewlog.site.stamps import write_stamp


class Command(CrewlogCommand):
    help = (
        "Recomputes every hash of the records, tries the guards of the database, and compares what repeats the records "
        "with them: files, PDFs, sheets, gear, people. Exit 0: whole. 1: cannot be verified. 2: a fault."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--since", metavar="HEAD", help="a head that a third party kept; it must still stand")
        parser.add_argument("--company", type=int, metavar="ID", help="one company only")
        parser.add_argument("--all", action="store_true", help="every fault, not only the first of each company")
        parser.add_argument("--no-files", action="store_true", help="leave photographs, documents and PDFs unread")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            must_be_ready()
            verdicts, since = self.verdicts(options), options["since"]
            lost = bool(since) and not Record.objects.filter(hash=since, company__in=companies(options)).exists()
        except DatabaseFault as fault:
            raise CommandError(f"The database cannot be read: {one_line(fault)}") from fault
        message = f"The head {since} stands in no chain: records were removed or rewritten after it was kept."
        if options["json"]:
            told = [as_json(verdict) for verdict in verdicts]
            self.stdout.write(json.dumps([*told, {"fault": message}] if lost else told, indent=1))
        else:
            self.tell(verdicts)
        broken = [verdict for verdict in verdicts if not verdict.holds]
        if options["company"] is None and not options["no_files"]:
            self.say_when(whole=not broken and not lost)
        if broken:
            raise CommandError(f"{broken[0].company}: {broken[0].fault}", returncode=REFUSED)
        if lost:
            raise CommandError(message, returncode=REFUSED)

    def verdicts(self, options: dict[str, Any]) -> list[Verdict]:
        chosen = list(companies(options))
        if options["company"] is not None and not chosen:
            raise CommandError(f"There is no company {options['company']}.")
        files, every = not options["no_files"], options["all"]
        return [verify(company, files=files, every=every, trial=True) for company in chosen]

    def say_when(self, *, whole: bool) -> None:
        """`check_site` reads when the records were last looked at, and what was found."""
        try:
            write_stamp("verify", whole=whole)
        except OSError as fault:
            self.stderr.write(f"When this was done could not be noted: {fault.strerror}.")

    def tell(self, verdicts: list[Verdict]) -> None:
        for verdict in verdicts:
            state = "whole" if verdict.holds else f"BROKEN: {verdict.fault}"
            self.stdout.write(f"{verdict.company}: {verdict.count} records, head {verdict.head}, chain {state}")
            for fault in verdict.faults[1:]:
                self.stdout.write(f"  also: {fault}")
            for note in verdict.notes:
                self.stdout.write(f"  note: {note}")


def companies(options: dict[str, Any]) -> Any:
    rows = Company.objects.order_by("pk")
    return rows if options["company"] is None else rows.filter(pk=options["company"])


def one_line(fault: Exception) -> str:
    return " ".join(str(fault).split())


def as_json(verdict: Verdict) -> dict[str, Any]:
    return {
        "company": verdict.company.name,
        "records": verdict.count,
        "head": verdict.head,
        "holds": verdict.holds,
        "fault": verdict.fault,
        "faults": verdict.faults,
        "notes": verdict.notes,
    }
