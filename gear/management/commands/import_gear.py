"""Bring a CSV or XLSX list into the register, or say everything that is wrong with it."""

import hashlib
import json
import sys
from argparse import ArgumentParser
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import CommandError

from crewlog.commands import INPUT_ERROR, REFUSED, CrewlogCommand
from crewlog.errors import RuleBroken
from crewlog.models import Membership, Role
from gear.catalogue.classes import USES
from gear.lists.checking import Report, check_list
from gear.lists.columns import BY_NAME
from gear.lists.csv_source import ENCODING_NAMES
from gear.lists.days import ORDERS
from gear.lists.faults import Fault, Unreadable
from gear.lists.headings import IN_CELL, plain_heading, unit_named
from gear.lists.limits import MAX_BYTES
from gear.lists.reading import Plan
from gear.lists.rows_in import ListFile, ListRefused, doubt_line, fault_line, import_list
from gear.lists.services import open_questions, plan_for
from gear.lists.source import open_source

USE_CODES = {code: column for code, column, _ in USES}


class Command(CrewlogCommand):
    needs_database = True
    help = (
        "Imports a CSV or XLSX list of gear into the register: all rows or none. Columns are read as the company's "
        "page remembers them, and as given here. Exit 1: faults in the list, each by row and column; 2: refused."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", help="the list, CSV or XLSX")
        parser.add_argument("--as", required=True, dest="email", metavar="EMAIL", help="the owner who imports it")
        parser.add_argument("--dry-run", action="store_true", help="check only; nothing is changed")
        parser.add_argument("--json", action="store_true", help="print JSON")
        parser.add_argument(
            "--column", action="append", default=[], metavar="HEADING=NAME", help="take a column for this; empty: skip"
        )
        parser.add_argument(
            "--unit", action="append", default=[], metavar="HEADING=UNIT", help=f"its unit; {IN_CELL}: in each cell"
        )
        parser.add_argument("--use", action="append", choices=sorted(USE_CODES), help="of rows that state no use")
        parser.add_argument("--dates", choices=[code for code, _ in ORDERS], help="day or month first, if not ISO")
        parser.add_argument("--encoding", choices=sorted(ENCODING_NAMES), help="of a CSV that is not UTF-8")
        parser.add_argument("--sheet", default="", metavar="NAME", help="sheet of a workbook; the first if left out")
        parser.add_argument("--other-things", action="store_true", help="confirm that same serials are other things")

    def handle(self, *args: Any, **options: Any) -> None:
        actor = owner(options["email"])
        path = Path(options["file"])
        data = content_of(path)
        choices = {"encoding": options["encoding"] or "", "sheet": options["sheet"]}
        if options["dates"]:
            choices["date_order"] = options["dates"]
        if options["use"]:
            choices["uses"] = [USE_CODES[code] for code in options["use"]]
        try:
            source = open_source(data)
            if options["sheet"] and options["sheet"] not in source.sheets:
                raise Unreadable(f"There is no sheet {options['sheet']}. There are: {', '.join(source.sheets) or '-'}.")
            plan = as_said(plan_for(actor.company, source, choices), options)
            questions = open_questions(source, plan, choices)
            if questions:
                self.fail_with(Report(fault_count=len(questions), faults=questions), options, INPUT_ERROR)
            file = ListFile(path.name, hashlib.sha256(data).hexdigest())
            accepted = options["other_things"]
            if options["dry_run"]:
                self.tell_check(check_list(actor.company, source, plan), options)
            else:
                done = import_list(actor=actor, source=source, plan=plan, file=file, doubts_accepted=accepted)
                self.tell(options, {"brought_in": True, "new": done.new, "already_there": done.same})
        except Unreadable as fault:
            self.fail_with(Report(fault_count=1, faults=[Fault(0, "", "", "", fault.message)]), options, INPUT_ERROR)
        except ListRefused as refused:
            code = INPUT_ERROR if refused.report.fault_count else REFUSED
            self.fail_with(refused.report, options, code, refused.message)
        except RuleBroken as refused:
            raise CommandError(refused.message, returncode=REFUSED) from refused

    def tell_check(self, report: Report, options: dict[str, Any]) -> None:
        if report.fault_count:
            self.fail_with(report, options, INPUT_ERROR)
        if report.doubt_count and not options["other_things"]:
            self.fail_with(report, options, REFUSED)
        self.tell(options, {"brought_in": False, "new": report.new, "already_there": report.same})

    def tell(self, options: dict[str, Any], facts: dict[str, Any]) -> None:
        if options["json"]:
            self.stdout.write(json.dumps(facts))
            return
        done = "imported" if facts["brought_in"] else "to import; nothing was changed"
        self.stdout.write(f"{options['file']}: {facts['new']} new items {done}, {facts['already_there']} already there")

    def fail_with(self, report: Report, options: dict[str, Any], code: int, message: str = "") -> NoReturn:
        """Every fault and doubt on a line of its own, then one line of what follows; nothing was changed."""
        if options["json"]:
            facts = {
                "brought_in": False,
                "fault_count": report.fault_count,
                "faults": [fault.as_dict() for fault in report.faults],
                "doubt_count": report.doubt_count,
                "doubts": [doubt.as_dict() for doubt in report.doubts],
            }
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            sys.exit(code)
        single = report.fault_count == 1 and not report.faults[0].row
        if not single:
            for fault in [*report.faults, *report.doubts]:
                self.stdout.write(fault.line())
        last = report.faults[0].words if single else message
        raise CommandError(last or (fault_line(report) if report.fault_count else doubt_line(report)), returncode=code)


def owner(email: str) -> Membership:
    """The member who brings the list in. Raises CommandError where that person may not."""
    members = Membership.objects.select_related("company", "person__details", "user")
    member = members.filter(user__email__iexact=email.strip()).first()
    if member is None:
        raise CommandError(f"Nobody signs in as {email}.")
    if not member.user.is_active or member.has_lapsed() or member.person.left_on is not None:
        raise CommandError(f"The access of {email} has ended.")
    if member.role != Role.OWNER:
        raise CommandError(f"{email} is {member.get_role_display().lower()}; only an owner imports lists.")
    return member


def content_of(path: Path) -> bytes:
    """What the file holds, up to a little more than we take."""
    try:
        with path.open("rb") as file:
            return file.read(MAX_BYTES + 1)
    except OSError as fault:
        raise CommandError(f"Cannot read {path}: {fault.strerror}.") from fault


def as_said(plan: Plan, options: dict[str, Any]) -> Plan:
    """The plan with the columns and units named on the command line."""
    columns = {plain_heading(column.heading): column for column in plan.columns}
    for heading, name in pairs(options["column"], "--column"):
        if name and name not in BY_NAME:
            raise CommandError(f"{name} is no column of the register. Columns: {', '.join(BY_NAME)}.")
        found = columns.get(plain_heading(heading))
        if found is None:
            raise CommandError(f"The list has no column {heading}.")
        columns[plain_heading(heading)] = replace(found, target=name)
    for heading, unit in pairs(options["unit"], "--unit"):
        found = columns.get(plain_heading(heading))
        if found is None or found.column is None or not found.column.needs_unit:
            raise CommandError(f"The list has no column of figures {heading}.")
        symbol, question = (IN_CELL, "") if unit == IN_CELL else unit_named(found.column, unit)
        if not symbol:
            raise CommandError(question or f"{unit} is no unit of {found.column.heading.lower()}.")
        columns[plain_heading(heading)] = replace(found, unit=symbol)
    said = {column.index: column for column in columns.values()}
    return replace(plan, columns=tuple(said.get(column.index, column) for column in plan.columns))


def pairs(said: Iterable[str], option: str) -> list[tuple[str, str]]:
    found = [tuple(text.rpartition("=")[::2]) for text in said]
    for heading, _ in found:
        if not heading:
            raise CommandError(f"Write {option} as HEADING=VALUE.")
    return [(heading.strip(), value.strip()) for heading, value in found]
