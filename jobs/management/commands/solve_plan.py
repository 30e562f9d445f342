"""JSON requests to the mechanics, from a file or standard input, to JSON results; needs no database."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from jobs.mechanics.convert import FormatError
from jobs.mechanics.exchange import Answer, exit_status, read_document, solve_document
from jobs.mechanics.schema import exchange_schema

STANDARD_INPUT = "-"


class Command(BaseCommand):
    help = "Solves one request or a list, as JSON, and prints the results as JSON. Exit 1: input error, 2: refused."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", nargs="?", metavar="FILE", help="JSON file, or - for standard input")
        parser.add_argument("--schema", action="store_true", help="print the JSON Schema of requests and answers")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["schema"]:
            self._print(exchange_schema())
            return
        answers = _answers(options["file"])
        self._print(answers)
        for line in error_lines(answers):
            self.stderr.write(line)
        status = exit_status(answers)
        if status:
            sys.exit(status)

    def _print(self, document: object) -> None:
        # ASCII only: other programs read it whatever the terminal's encoding, and half a surrogate pair cannot stop it.
        self.stdout.write(json.dumps(document, indent=1, allow_nan=False))


def _answers(source: str | None) -> Answer | list[Answer]:
    try:
        return solve_document(read_document(_text(source)))
    except FormatError as error:
        return {"topic": None, "error": error.message, "path": error.path}


def _text(source: str | None) -> str:
    if source is None:
        raise FormatError("FILE is missing; - reads standard input", "")
    try:
        return sys.stdin.read() if source == STANDARD_INPUT else Path(source).read_text("utf-8")
    except OSError as error:
        raise FormatError(f"cannot read {source}: {error.strerror}", "") from error
    except UnicodeDecodeError as error:
        raise FormatError(f"{source} is not UTF-8 text", "") from error


def error_lines(answers: Answer | list[Answer]) -> list[str]:
    """One clear line for each request that does not fit the format, with its place in a list."""
    if isinstance(answers, list):
        return [
            f"request {number}: {line}"
            for number, answer in enumerate(answers, start=1)
            for line in error_lines(answer)
        ]
    if "error" not in answers:
        return []
    return [f"{answers['path']}: {answers['error']}" if answers["path"] else str(answers["error"])]
