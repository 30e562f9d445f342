"""A sheet is withdrawn in the transaction that puts one of its items out of use."""

import datetime as dt

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row, verify
from gear.events.retire import retire_item
from gear.events.services import record_event, take_out_of_use
from gear.examinations.services import EmployerNotice, Verdict, record_inspection
from gear.fitness import apply_evidence
from gear.models import GearEvent, GearItem
from gear.recalls.services import record_recall
from jobs.models import Assignment, Sheet, SheetWithdrawal, WithdrawalSeen
from jobs.sheets.assign import open_draft
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import acknowledge_withdrawal, issue_sheet, withdraw_sheet, withdraw_sheets_of
from jobs.sheets.standing.selectors import unseen_withdrawals
from tests.factories.gear import examiner, good_examination, on_record
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import item_in


@pytest.fixture
def sheet(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    on_record(GearItem.objects.exclude(tag="B-08"), maker="Another maker")
    on_record(GearItem.objects.filter(tag="B-08"), maker="Ferrow", maker_model="Twin")
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    return sheet


@pytest.fixture
def block(sheet):
    return item_in(sheet, "moving_block")


def fail(owner, item):
    examiner(owner)
    told = EmployerNotice(dt.datetime(2026, 1, 2, 9, tzinfo=dt.UTC), "in writing")
    record_inspection(
        actor=owner,
        item=item,
        examination=good_examination(item, findings="cracked side plate"),
        verdict=Verdict("out_of_use", told=told),
    )


WAYS_OUT = {
    "quarantined": lambda owner, item: take_out_of_use(actor=owner, item=item, because="side plate bent"),
    "dropped": lambda owner, item: record_event(
        actor=owner, item=item, kind="drop", happened_on=item.company.today(), description="from the cage"
    ),
    "failed": fail,
    "retired": lambda owner, item: retire_item(actor=owner, item=item, because="worn out", disposal="destroyed"),
    "recalled": lambda owner, item: record_recall(
        actor=owner, maker="Ferrow", maker_model="Twin", announced_on=item.company.today(), source="letter"
    ),
}


@pytest.mark.parametrize("way", WAYS_OUT)
def test_item_that_goes_out_of_use_withdraws_its_standing_sheet(owner, sheet, block, way, company):
    assert list(Sheet.objects.standing()) == [sheet]
    WAYS_OUT[way](owner, block)
    (withdrawal,) = SheetWithdrawal.objects.filter(item=block)
    assert withdrawal.sheet == sheet
    assert withdrawal.reason.startswith("B-08: ")
    assert list(Sheet.objects.standing()) == []
    assert verify(company).holds


def test_near_miss_with_the_gear_not_loaded_withdraws_nothing(owner, sheet, block):
    kinds = [kind for kind, *_ in GearEvent._meta.get_field("kind").flatchoices if "near" in kind]
    record_event(
        actor=owner,
        item=block,
        kind=kinds[0] if kinds else "near_miss",
        happened_on=block.company.today(),
        description="slipped off the cage, caught",
    )
    assert not SheetWithdrawal.objects.exists()


def test_both_are_undone_together(owner, sheet, block, monkeypatch):
    def undo(losses, entry):
        assert SheetWithdrawal.objects.filter(item=losses[0].item).exists()
        raise RuntimeError("the mail gateway of a listener failed")

    monkeypatch.setattr(apply_evidence, "listeners", [*apply_evidence.listeners, undo])
    with pytest.raises(RuntimeError), transaction.atomic():
        take_out_of_use(actor=owner, item=block, because="side plate bent")
    block.refresh_from_db()
    assert block.quarantined_on is None
    assert not SheetWithdrawal.objects.exists()
    assert list(Sheet.objects.standing()) == [sheet]


def test_jobs_listen_to_gear():
    assert withdraw_sheets_of in apply_evidence.listeners


def test_past_sheet_is_left_as_it_was(owner, sheet, block):
    Sheet.objects.filter(pk=sheet.pk).update(day=block.company.today() - dt.timedelta(days=1))
    take_out_of_use(actor=owner, item=block, because="side plate bent")
    assert not SheetWithdrawal.objects.exists()


def test_sheet_of_a_later_day_is_withdrawn(owner, sheet, block):
    Sheet.objects.filter(pk=sheet.pk).update(day=block.company.today() + dt.timedelta(days=9))
    take_out_of_use(actor=owner, item=block, because="side plate bent")
    assert SheetWithdrawal.objects.get().sheet == sheet


def test_draft_is_not_withdrawn(owner, company, lead):
    draft = passing_sheet(company, lead=lead.person)
    take_out_of_use(actor=owner, item=item_in(draft, "moving_block"), because="side plate bent")
    assert not SheetWithdrawal.objects.exists()


def test_sheet_is_withdrawn_once(owner, sheet, block):
    take_out_of_use(actor=owner, item=block, because="side plate bent")
    take_out_of_use(actor=owner, item=item_in(sheet, "cleat"), because="teeth gone")
    assert SheetWithdrawal.objects.count() == 1


def test_alternate_that_goes_out_of_use_leaves_the_sheet_standing(owner, sheet, block):
    Assignment.objects.filter(sheet=sheet, item=block).update(rank=1)
    take_out_of_use(actor=owner, item=block, because="side plate bent")
    assert list(Sheet.objects.standing()) == [sheet]


def test_withdrawal_frees_the_gear(sheet, lead):
    withdraw_sheet(actor=lead, sheet=sheet, reason="Footbridge opened again.")
    assert list(Sheet.objects.standing()) == []


def refused(**given):
    with pytest.raises(RuleBroken) as caught:
        withdraw_sheet(reason="Wind got up", **given)
    return caught.value.code


def test_what_is_no_standing_sheet_of_the_company_is_not_withdrawn(lead, outsider, climber, sheet):
    draft = open_draft(actor=lead, stem=sheet.stem)
    assert refused(actor=lead, sheet=draft) == "not-issued"
    assert refused(actor=outsider, sheet=sheet) == "other-company"
    assert refused(actor=climber, sheet=sheet) == "role-not-allowed"
    withdraw_sheet(actor=lead, sheet=sheet, reason="Footbridge opened again.")
    assert refused(actor=lead, sheet=sheet) == "withdrawn-already"
    assert SheetWithdrawal.objects.count() == 1


def test_a_sheet_is_not_withdrawn_without_a_reason(lead, sheet):
    with pytest.raises(RuleBroken) as caught:
        withdraw_sheet(actor=lead, sheet=sheet, reason="  ")
    assert (caught.value.code, caught.value.field) == ("withdrawal-without-reason", "reason")


def test_gear_reported_by_one_who_does_not_plan_withdraws_the_sheet(climber, sheet, block):
    WAYS_OUT["dropped"](climber, block)
    withdrawal = SheetWithdrawal.objects.get(item=block)
    assert withdrawal.record.entered_by == climber.person


def test_the_database_itself_takes_one_withdrawal_a_sheet(lead, sheet, company):
    withdraw_sheet(actor=lead, sheet=sheet, reason="Wind got up")
    again = SheetWithdrawal(sheet=sheet, reason="Once more")
    with pytest.raises(IntegrityError), transaction.atomic():
        append_row(company, Entry(actor=lead.person), again)
    assert SheetWithdrawal.objects.count() == 1
    assert verify(company).holds


@pytest.mark.parametrize(
    "statement", ["DELETE FROM jobs_sheetwithdrawal", "UPDATE jobs_sheetwithdrawal SET reason = ''"]
)
def test_withdrawal_cannot_be_taken_back(owner, sheet, block, statement):
    take_out_of_use(actor=owner, item=block, because="side plate bent")
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    assert SheetWithdrawal.objects.count() == 1


def test_withdrawal_stays_on_each_persons_page_until_they_have_seen_it(owner, lead, sheet, block, company):
    take_out_of_use(actor=owner, item=block, because="side plate bent")
    (withdrawal,) = unseen_withdrawals(company, lead.person)
    acknowledge_withdrawal(actor=lead, withdrawal=withdrawal)
    assert list(unseen_withdrawals(company, lead.person)) == []
    assert list(unseen_withdrawals(company, owner.person)) == [withdrawal]
    assert verify(company).holds


def test_seen_once_is_enough(owner, lead, sheet, block):
    take_out_of_use(actor=owner, item=block, because="side plate bent")
    for _ in range(2):
        acknowledge_withdrawal(actor=lead, withdrawal=SheetWithdrawal.objects.get())
    assert WithdrawalSeen.objects.count() == 1


def test_another_company_sees_no_withdrawal(owner, outsider, sheet, block):
    take_out_of_use(actor=owner, item=block, because="side plate bent")
    assert list(unseen_withdrawals(outsider.company, outsider.person)) == []


def test_unseen_withdrawals_are_read_in_one_query(owner, lead, sheet, block, company, django_assert_num_queries):
    take_out_of_use(actor=owner, item=block, because="side plate bent")
    with django_assert_num_queries(1):
        for row in unseen_withdrawals(company, lead.person):
            assert row.sheet.stem.job.lead.details.name
            assert row.item.tag == "B-08"
            assert row.record.happened_at
