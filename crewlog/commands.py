"""The base of our commands: exit 1 on an error in the input, 2 on a refusal."""

import sys
from typing import Any, NoReturn

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import Error as DatabaseFault

from crewlog.evidence.database import must_be_ready

INPUT_ERROR = 1
REFUSED = 2


class OwnParser(CommandParser):
    """A parser whose usage errors exit 1: argparse's own 2 would read as a refusal."""

    def error(self, message: str) -> NoReturn:
        if not self.called_from_command_line:
            raise CommandError(f"Error: {message}")
        self.print_usage(sys.stderr)
        self.exit(INPUT_ERROR, f"{self.prog}: {message}\n")


class CrewlogCommand(BaseCommand):
    """A command of ours. `needs_database` has it say in one line that there is none, or none that is migrated."""

    needs_database = False

    def execute(self, *args: Any, **options: Any) -> str | None:
        if not self.needs_database:
            return super().execute(*args, **options)
        try:
            must_be_ready()
            return super().execute(*args, **options)
        except DatabaseFault as fault:
            raise CommandError(f"The database cannot be used: {' '.join(str(fault).split())}") from fault

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        parser = super().create_parser(prog_name, subcommand, **kwargs)
        parser.__class__ = OwnParser  # Django builds its own class and offers no hook for another
        return parser
