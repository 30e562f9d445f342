# ruff: noqa: S608 - the statements are the attack
"""A company whose every table of evidence holds a row, made by the program itself."""

from contextlib import suppress
from dataclasses import dataclass

from django.core.management import call_command
from django.utils import timezone

from crewlog.evidence import Entry
from crewlog.evidence.documents import purge_document
from crewlog.evidence.guards.keys import guarded_tables
from crewlog.models import Company, IssuedDocument
from crewlog.people.services import Contact, add_person, end_membership, give_sign_in
from crewlog.retention.services import lift_hold, place_hold
from gear.fact_changes.services import take_back
from gear.failures.services import Telling, take_back_failure, tell_employer
from gear.models import ExaminationReport, FailureFound, GearItem
from gear.register.mistakes import end_mistake
from jobs.demo.build import build_demo
from jobs.demo.works import MAIN, fresh, lead_of
from jobs.errors import SheetRefused
from jobs.field.services import record_day, record_reading
from jobs.models import IssuedSheet, Sheet, SheetWithdrawal
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import acknowledge_withdrawal, issue_sheet
from tests.factories.gear import ItemFactory
from tests.gear.fact_changes.changing import change
from tests.gear.rounds import answer, opened, row_of


@dataclass(frozen=True)
class World:
    company: Company
    gone: str  # id of a person who has left


def build() -> World:
    """The demo's company, and what its story leaves out."""
    call_command("migrate", verbosity=0, interactive=False)
    cast = build_demo()
    owner, lead = cast.members["owner"], cast.members["lead"]
    hold = place_hold(
        actor=owner, about="item", subject=GearItem.objects.for_company(cast.company).first().tag, because="claim"
    )
    lift_hold(actor=owner, hold=hold, because="settled")
    withdrawal = SheetWithdrawal.objects.filter(record__company=cast.company).first()
    acknowledge_withdrawal(actor=lead, withdrawal=withdrawal)
    work_a_day(cast.company, lead)
    mistakes_and_corrections(cast)
    with suppress(SheetRefused):
        issue_sheet(actor=lead_of(cast, MAIN), sheet=fresh(cast.sheets[MAIN]), looked_at=EVERYTHING)
    report = ExaminationReport.objects.filter(record__company=cast.company).first()
    paper = IssuedDocument.objects.get(of=report.record)
    purge_document(document=paper, entry=Entry(actor=owner.person), because="its period has run out")
    person = add_person(actor=owner, contact=Contact(name="Perrin Lode"))
    give_sign_in(actor=owner, person=person, email="gone@crewlog.example", role="crew")
    end_membership(actor=owner, person=person, on=cast.company.today())
    empty = [table.name for table in guarded_tables() if not rows_in(table.name)]
    assert not empty, f"no evidence in {empty}"
    return World(company=cast.company, gone=str(person.pk))


def work_a_day(company: Company, lead) -> None:
    """A reading and the end of the day on a sheet in force."""
    withdrawn = SheetWithdrawal.objects.values("sheet")
    issue = IssuedSheet.objects.filter(record__company=company).exclude(sheet__in=withdrawn).latest("record_id")
    sheet = Sheet.objects.with_stem().get(pk=issue.sheet_id)
    hung = list(sheet.assignments.filter(rank=0, item__isnull=False).select_related("item"))
    gauge = GearItem.objects.for_company(company).filter(gear_class="load_cell").first()
    at = timezone.now()
    record_reading(
        actor=lead, sheet=sheet, kind="line", moment="full_pull", force_n=2_000.0, gauge=gauge, read_at=at
    )  # fmt: skip
    record_day(actor=lead, sheet=sheet, result="fell", used=hung)


def mistakes_and_corrections(cast) -> None:
    """A failure answered by mistake, one the employer was told of, an entry that was no item, a change taken back."""
    company, owner, inspector = cast.company, cast.members["owner"], cast.members["inspector"]
    rope, other, nothing = (
        ItemFactory(company=company, rope=True, tag=f"ATT-{number}", **changes)
        for number, changes in enumerate(({}, {}, {"first_used_on": None, "is_unused": True, "never_examined": True}))
    )
    draft = opened(inspector, rope, other)
    for value in ("fail", "good"):
        answer(inspector, draft, rope, answer_sheath=value)
    take_back_failure(actor=inspector, row=row_of(draft, rope), because="glove", looked_at_again=True)
    answer(inspector, draft, other, answer_sheath="fail", saw_sheath="cut")
    failure = FailureFound.objects.filter(item=other).latest("record_id")
    tell_employer(actor=inspector, failure=failure, telling=Telling(timezone.now(), "by telephone"))
    end_mistake(actor=owner, item=nothing, because="entered twice")
    made = change(owner, rope, "breaking_strength", breaking_strength_n=rope.breaking_strength_n * 2)
    take_back(actor=owner, change=made[0], because="read wrongly")


def rows_in(table: str) -> int:
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(f"SELECT COUNT(*) FROM {table}")
        return int(cursor.fetchone()[0])
