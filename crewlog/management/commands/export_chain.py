"""Write a company's chain to a file that the stand-alone verifier checks."""

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError

from crewlog.commands import CrewlogCommand
from crewlog.evidence.export import VERIFIER, chain_lines
from crewlog.models import Company


class Command(CrewlogCommand):
    needs_database = True
    help = "Writes a company's chain as JSON lines. Check it anywhere with verify_chain.py, which needs Python alone."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--company", type=int, metavar="ID", required=True)
        parser.add_argument("--out", metavar="FILE", required=True, help="- for standard output")
        parser.add_argument("--names", action="store_true", help="with names and salts, so that digests can be checked")

    def handle(self, *args: Any, **options: Any) -> None:
        company = Company.objects.filter(pk=options["company"]).first()
        if company is None:
            raise CommandError(f"There is no company {options['company']}.")
        lines = chain_lines(company, names=options["names"])
        if options["out"] == "-":
            sys.stdout.writelines(lines)
            return
        path = Path(options["out"]).expanduser()
        try:
            with path.open("x", encoding="utf-8", newline="\n") as file:
                file.writelines(lines)
        except FileExistsError as fault:
            raise CommandError(f"{path} exists already. Give --out another name.") from fault
        except OSError as fault:
            raise CommandError(f"Cannot write {path}: {fault.strerror}.") from fault
        self.stdout.write(f"{company}: chain written to {path}. Check it: python {VERIFIER} {path}")
