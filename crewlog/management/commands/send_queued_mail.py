"""Send what waits in the outbox. For cron, every few minutes: what could not be sent at once goes out here."""

from typing import Any

from django.core.management.base import CommandError

from crewlog.commands import CrewlogCommand
from crewlog.mail.outbox import forget_old, is_set_up, send_due
from crewlog.models.mail import QueuedMail


class Command(CrewlogCommand):
    needs_database = True
    help = "Sends queued mail that is due, and deletes what is done since a month. Exit 1 when a mail was not taken."

    def handle(self, *args: Any, **options: Any) -> None:
        if not is_set_up():
            raise CommandError("Mail is not set up: set CREWLOG_EMAIL_URL and CREWLOG_FROM.")
        outcome, forgotten = send_due(), forget_old()
        waiting = QueuedMail.objects.filter(next_try__isnull=False).count()
        self.stdout.write(
            f"{outcome.sent} sent, {waiting} waiting, {outcome.given_up} given up, {forgotten} old rows deleted."
        )
        if outcome.causes:
            raise CommandError(f"Not sent: {'; '.join(dict.fromkeys(outcome.causes))}")
