"""Fitness of every item on a day, with reasons."""

import datetime as dt
import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from crewlog.commands import CrewlogCommand
from crewlog.models import Company
from gear.register.pages import StandingRow, standing_on

USAGE_ERROR, UNFIT = 1, 2


class Command(CrewlogCommand):
    needs_database = True
    help = (
        "Prints whether each item in the store is fit up to and including a day, with its reasons. "
        "Exit 0 when every item in service is fit, 2 when one is not, 1 for an error in the input."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--on", metavar="DATE", help="the last day, like 2026-11-25; each company's today if left out"
        )
        parser.add_argument("--company", metavar="NAME", help="one company only, by name or number")
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        day = self.day(options["on"])
        companies = self.companies(options["company"])
        found = [(company, day or company.today()) for company in companies]
        rows = [(company, on, standing_on(company=company, on=on)) for company, on in found]
        if options["json"]:
            self.stdout.write(json.dumps([self.as_json(*row) for row in rows], indent=1, ensure_ascii=False))
        else:
            for row in rows:
                self.print_company(*row)
        unfit = sum(not item.is_fit and not item.is_retired for _, _, items in rows for item in items)
        if unfit:
            raise CommandError(f"{unfit} items in service are not fit.", returncode=UNFIT)

    def day(self, text: str | None) -> dt.date | None:
        if text is None:
            return None
        try:
            return dt.date.fromisoformat(text)
        except ValueError:
            raise CommandError(f"{text} is not a day. Write it like 2026-11-25.", returncode=USAGE_ERROR) from None

    def companies(self, named: str | None) -> list[Company]:
        rows = Company.objects.order_by("name", "pk")
        if named is not None:
            rows = rows.filter(pk=int(named)) if named.isascii() and named.isdigit() else rows.filter(name=named)
            if not rows:
                raise CommandError(f"There is no company {named}.", returncode=USAGE_ERROR)
        return list(rows)

    def print_company(self, company: Company, on: dt.date, items: list[StandingRow]) -> None:
        fit = sum(item.is_fit for item in items)
        retired = sum(item.is_retired for item in items)
        self.stdout.write(f"{company}, {on.isoformat()}: {len(items)} items, {fit} fit, {retired} retired")
        for item in items:
            self.stdout.write(f"  {item.tag}  {item.description}: {'fit' if item.is_fit else 'not fit'}")
            for reason in item.reasons:
                self.stdout.write(f"    {reason.code}: {reason.words} {reason.cure}")

    def as_json(self, company: Company, on: dt.date, items: list[StandingRow]) -> dict[str, Any]:
        return {
            "company": company.name,
            "on": on.isoformat(),
            "items": [
                {
                    "tag": item.tag,
                    "class": item.gear_class,
                    "description": item.description,
                    "fit": item.is_fit,
                    "next_due_on": item.next_due_on.isoformat() if item.next_due_on else None,
                    "reasons": [
                        {"code": r.code, "words": r.words, "cure": r.cure, "figure": self.plain(r.figure)}
                        for r in item.reasons
                    ],
                }
                for item in items
            ],
        }

    def plain(self, figure: dt.date | int | str | None) -> int | str | None:
        return figure.isoformat() if isinstance(figure, dt.date) else figure
