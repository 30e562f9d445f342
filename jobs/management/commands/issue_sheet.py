"""Issue a sheet from the command line, or refuse it with every reason."""

import json
import sys
import tempfile
from argparse import ArgumentParser
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, TypedDict

from django.core.management.base import CommandError

from crewlog.commands import REFUSED, CrewlogCommand
from crewlog.errors import RuleBroken
from crewlog.models import Company, Membership
from crewlog.web.access import PLANNERS
from jobs.errors import SheetRefused
from jobs.models import IssuedSheet, Sheet
from jobs.sheets.emergency import NAMES
from jobs.sheets.services import issue_sheet

STANDARD_OUTPUT = "-"


class Command(CrewlogCommand):
    needs_database = True
    help = "Issues a sheet and writes its PDF. Exit 1: input error, 2: refused, with every reason."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("sheet", metavar="SHEET", help="number of the sheet, for instance 0412-7")
        parser.add_argument("--out", required=True, metavar="FILE", help="where the PDF goes; - for standard output")
        parser.add_argument("--as", required=True, dest="email", metavar="EMAIL", help="owner or crew lead who issues")
        parser.add_argument(
            "--looked-at",
            default="",
            metavar="CODES",
            help=f"what was looked at again just now, by comma; all of: {','.join(NAMES)}",
        )
        parser.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["json"] and options["out"] == STANDARD_OUTPUT:
            raise CommandError("--json and the PDF cannot share standard output; give a file to --out.")
        member = planner(options["email"])
        sheet = latest_revision(member.company, options["sheet"])
        issue: IssuedSheet | None = None
        looked_at = codes_in(options["looked_at"])
        try:
            with paper(options["out"]) as stream:
                issue = issue_sheet(actor=member, sheet=sheet, looked_at=looked_at)
                stream.write(issue.paper() or b"")
                stream.flush()
        except RuleBroken as error:
            self.refuse(sheet, error, as_json=options["json"])
        except OSError as error:
            done = f"Sheet {sheet.number} is issued; fetch its PDF from its page. " if issue else ""
            raise CommandError(f"{done}Cannot write {options['out']}: {error.strerror}.") from error
        else:
            self.tell(issue, options)

    def tell(self, issue: IssuedSheet, options: Mapping[str, object]) -> None:
        sheet = issue.sheet
        if options["json"]:
            facts = {
                "issued": True,
                "sheet": sheet.number,
                "revision": sheet.revision,
                "record": issue.record.hash,
                "snapshot_sha256": issue.snapshot_sha256,
                "file": options["out"],
            }
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            return
        stream = self.stderr if options["out"] == STANDARD_OUTPUT else self.stdout
        stream.write(f"Sheet {sheet.number}, revision {sheet.revision} is issued: {options['out']}", lambda text: text)

    def refuse(self, sheet: Sheet, error: RuleBroken, *, as_json: bool) -> None:
        reasons = list(reasons_of(error))
        if as_json:
            answer = {"issued": False, "sheet": sheet.number, "revision": sheet.revision, "reasons": reasons}
            self.stdout.write(json.dumps(answer, indent=1, ensure_ascii=False, allow_nan=False))
        else:
            self.stderr.write(f"Sheet {sheet.number}, revision {sheet.revision} is not issued. {error.message}")
            for reason in reasons:
                said = [
                    f"{reason['code']}  {reason['title']}",
                    reason["text"],
                    reason["cure"] and f"Cure: {reason['cure']}",
                ]
                self.stderr.write("\n  ".join(line for line in said if line))
        sys.exit(REFUSED)


def codes_in(given: str) -> list[str]:
    """What was looked at again. Raises CommandError for a code that is none."""
    codes = [code.strip() for code in given.split(",") if code.strip()]
    unknown = [code for code in codes if code not in NAMES]
    if unknown:
        raise CommandError(f"--looked-at does not know {', '.join(unknown)}. Codes: {', '.join(NAMES)}.")
    return codes


def planner(email: str) -> Membership:
    """The member who issues. Raises CommandError where that person may not."""
    members = Membership.objects.select_related("company", "person__details", "user")
    member = members.filter(user__email__iexact=email.strip()).first()
    if member is None:
        raise CommandError(f"Nobody signs in as {email}.")
    if not member.user.is_active or member.has_lapsed() or member.person.left_on is not None:
        raise CommandError(f"The access of {email} has ended.")
    if member.role not in PLANNERS:
        raise CommandError(f"{email} is {member.get_role_display().lower()}; an owner or a crew lead issues sheets.")
    return member


def latest_revision(company: Company, number: str) -> Sheet:
    """The newest revision of a sheet of the company."""
    found: list[Sheet] = list(
        Sheet.objects.for_company(company).with_stem().filter(number=number).order_by("-revision")
    )
    if not found:
        raise CommandError(f"{company} has no sheet {number}.")
    if len({sheet.stem_id for sheet in found}) > 1:
        sites = ", ".join(sorted({str(sheet.stem.job) for sheet in found}))
        raise CommandError(f"Several jobs have a sheet {number}: {sites}. Issue it from its page.")
    return found[0]


class ReasonJson(TypedDict):
    """One reason of a refusal, as `--json` prints it."""

    code: str
    title: str
    text: str
    cure: str
    item: str
    facts: Mapping[str, float | str]


def reasons_of(error: RuleBroken) -> Iterator[ReasonJson]:
    """Every reason of a refusal, most dangerous first."""
    if not isinstance(error, SheetRefused):
        yield ReasonJson(code=error.code, title=error.message, text="", cure="", item="", facts={})
        return
    for f in error.findings:
        yield ReasonJson(code=f.full_code, title=f.title, text=f.text, cure=f.cure, item=f.item, facts=dict(f.facts))


@contextmanager
def paper(out: str) -> Iterator[IO[bytes]]:
    """Where the PDF goes, open before the sheet is issued; a file appears under its name only when it is whole.

    Raises CommandError where it cannot be written.
    """
    if out == STANDARD_OUTPUT:
        yield sys.stdout.buffer
        return
    path = Path(out)
    if path.exists() and not path.is_file():
        raise CommandError(f"{out} is not a file.")
    try:
        stream = tempfile.NamedTemporaryFile(dir=path.parent, prefix=f".{path.name}.", delete=False)  # noqa: SIM115
    except OSError as error:
        raise CommandError(f"Cannot write {out}: {error.strerror}.") from error
    half_done = Path(stream.name)
    try:
        with stream:
            yield stream
        half_done.replace(path)
    finally:
        half_done.unlink(missing_ok=True)
