"""The base of our commands: exit 1 on an error in the input, 2 on a refusal."""

import sys
from typing import Any, NoReturn

from django.core.management.base import BaseCommand, CommandError, CommandParser

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
    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        parser = super().create_parser(prog_name, subcommand, **kwargs)
        parser.__class__ = OwnParser  # Django builds its own class and offers no hook for another
        return parser
