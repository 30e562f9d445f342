"""Start a company with its first owner, who can sign in afterwards."""

import sys
from argparse import ArgumentParser
from getpass import getpass
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.core.management.base import CommandError
from django.db import transaction

from crewlog.commands import CrewlogCommand
from crewlog.company.start import start_company
from crewlog.models import FellingWords, Membership, UnitSystem, User
from crewlog.people.invitation import password_link


class Command(CrewlogCommand):
    needs_database = True
    help = "Starts a company with its first owner. Asks for a password on a terminal, else prints a link to set one."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--name", required=True, help="name of the company")
        parser.add_argument("--owner-email", required=True, metavar="EMAIL", help="what the owner signs in with")
        parser.add_argument("--owner-name", required=True, metavar="NAME", help="the owner's name")
        parser.add_argument("--time-zone", default="Europe/London", metavar="ZONE", help="such as America/Vancouver")
        parser.add_argument("--units", choices=UnitSystem.values, default=UnitSystem.METRIC.value)
        parser.add_argument(
            "--felling-words",
            choices=FellingWords.values,
            default=FellingWords.NORTH_AMERICAN.value,
            help="what plans and sheets call the cuts",
        )
        parser.add_argument("--link", action="store_true", help="print a link to set the password; never ask for one")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            with transaction.atomic():
                member = start(options)
                asks = not options["link"] and sys.stdin.isatty()
                if asks:
                    set_password(member.user)
        except ValidationError as fault:
            raise CommandError(" ".join(said(fault))) from fault
        self.stdout.write(f"{member.company} is started; {member.person} is its owner.")
        if asks:
            self.stdout.write(f"Sign in with {member.user.email}.")
        else:
            self.stdout.write(f"To choose a password, open this once: {password_link(member.user)}")


def start(options: dict[str, Any]) -> Membership:
    return start_company(
        name=options["name"],
        owner_name=options["owner_name"],
        owner_email=options["owner_email"],
        time_zone=options["time_zone"],
        units=options["units"],
        felling_words=options["felling_words"],
    )


def set_password(user: User) -> None:
    """Ask twice. Raises ValidationError for two that differ, or one that is too weak."""
    password = getpass("Password of the owner: ")
    if getpass("The same again: ") != password:
        raise ValidationError("The two passwords differ; nothing was started.")
    validate_password(password, user)
    user.set_password(password)
    user.save(update_fields=["password"])


def said(fault: ValidationError) -> list[str]:
    """Messages with the field they are about."""
    if not hasattr(fault, "error_dict"):
        return fault.messages
    return [
        message if field == NON_FIELD_ERRORS else f"{field}: {message}"
        for field, messages in fault.message_dict.items()
        for message in messages
    ]
