"""What a person who runs the site looks at: each line ok, warn or fail, with what to do."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from crewlog.commands import REFUSED, CrewlogCommand
from crewlog.site.checking import FAIL, OK, WARN, check_site

WORDS = {OK: "ok", WARN: "warn", FAIL: "FAIL"}


class Command(CrewlogCommand):
    help = "Checks database, disk, files, guards, mail, proxy, clock, back-up. Exit 0: ok, 1: warnings, 2: failures."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        lines = check_site()
        if options["json"]:
            said = [{"name": e.name, "state": e.state, "words": e.words, "do": e.do} for e in lines]
            self.stdout.write(json.dumps(said, indent=1))
        else:
            for each in lines:
                do = f" {each.do}" if each.do else ""
                self.stdout.write(f"{WORDS[each.state]:5} {each.name}: {each.words}{do}")
        counts = {state: sum(each.state == state for each in lines) for state in (FAIL, WARN)}
        if counts[FAIL]:
            raise CommandError(f"{counts[FAIL]} of {len(lines)} fail.", returncode=REFUSED)
        if counts[WARN]:
            raise CommandError(f"{counts[WARN]} of {len(lines)} to look at.", returncode=1)
