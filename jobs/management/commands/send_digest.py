"""Send each member who asked for it what is overdue, falls due, or waits for them. For cron, once or more a day."""

import datetime as dt
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from crewlog.commands import CrewlogCommand
from crewlog.mail.outbox import is_set_up, send_due
from crewlog.mail.words import mail_words
from jobs.today.digest import digest, facts, queue_once, readers


class Command(CrewlogCommand):
    needs_database = True
    help = "Mails the digest, at most once a person and day. Nothing due sends nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--on", metavar="DATE", help="as of another day, 2026-11-25; default: the company's today")
        parser.add_argument("--dry-run", action="store_true", help="print the mails and send none")

    def handle(self, *args: Any, **options: Any) -> None:
        on = day_of(options["on"])
        if not (options["dry_run"] or is_set_up()):
            raise CommandError("Mail is not set up: give CREWLOG_EMAIL_URL and CREWLOG_FROM.")
        queued = nothing = before = 0
        for member, day in readers(on):
            sections = digest(member, day)
            if not sections:
                nothing += 1
            elif options["dry_run"]:
                words = mail_words("digest", facts(member, day, sections))
                self.stdout.write(f"To {member.user.email}: {words.subject}\n\n{words.body}")
            elif queue_once(member, day, sections):
                queued += 1
            else:
                before += 1
        if options["dry_run"]:
            return
        self.stdout.write(f"{queued} queued, {before} queued earlier, {nothing} with nothing due.")
        causes = send_due().causes
        if causes:
            raise CommandError(f"Not sent, and tried again by send_queued_mail: {'; '.join(dict.fromkeys(causes))}")


def day_of(text: str | None) -> dt.date | None:
    if not text:
        return None
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise CommandError(f"{text} is no date. Write it like 2026-11-25.") from None
