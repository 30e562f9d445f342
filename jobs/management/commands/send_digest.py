"""Send each member who asked for it what is overdue, falls due, or waits for them. For cron, once or more a day."""

import datetime as dt
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from crewlog.commands import CrewlogCommand
from jobs.digest import digest, readers, send_once, words


class Command(CrewlogCommand):
    help = "Mails the digest, at most once a person and day. Nothing due sends nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--on", metavar="DATE", help="as of another day, 2026-11-25; default: the company's today")
        parser.add_argument("--dry-run", action="store_true", help="print the mails and send none")

    def handle(self, *args: Any, **options: Any) -> None:
        on = day_of(options["on"])
        sent = nothing = before = 0
        faults = []
        for member, day in readers(on):
            sections = digest(member, day)
            if not sections:
                nothing += 1
            elif options["dry_run"]:
                self.stdout.write(f"To {member.user.email}\n\n{words(member, day, sections)}")
            else:
                try:
                    is_new = send_once(member, day, sections)
                except OSError as error:
                    faults.append(f"{member.user.email}: {error}")
                    continue
                sent, before = sent + is_new, before + (not is_new)
        if not options["dry_run"]:
            self.stdout.write(f"{sent} sent, {before} sent earlier, {nothing} with nothing due.")
        if faults:
            raise CommandError(f"Not sent: {'; '.join(faults)}")


def day_of(text: str | None) -> dt.date | None:
    if not text:
        return None
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise CommandError(f"{text} is no date. Write it like 2026-11-25.") from None
