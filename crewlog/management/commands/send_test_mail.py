"""Try the mail server: one mail to one address, at once."""

from argparse import ArgumentParser
from typing import Any

from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.core.management.base import CommandError
from django.core.validators import validate_email

from crewlog.commands import CrewlogCommand
from crewlog.mail.outbox import is_set_up
from crewlog.mail.secrets import cause
from crewlog.mail.words import mail_words


class Command(CrewlogCommand):
    help = "Sends a test mail at once. Exit 0 when the server took it, 1 with the cause in one line."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("address", metavar="ADDRESS", help="where to send it")

    def handle(self, *args: Any, **options: Any) -> None:
        address = options["address"]
        try:
            validate_email(address)
        except ValidationError:
            raise CommandError(f"{address} is no mail address.") from None
        if not is_set_up():
            raise CommandError("Mail is not set up: set CREWLOG_EMAIL_URL and CREWLOG_FROM.")
        words = mail_words("test", {})
        try:
            EmailMessage(words.subject, words.body, None, [address]).send()
        except Exception as error:  # whatever a server can answer is what this command is for
            raise CommandError(f"Not sent: {type(error).__name__}: {cause(error)}") from error
        self.stdout.write(f"The mail server took a test mail to {address}.")
