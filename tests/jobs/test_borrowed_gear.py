"""Borrowed gear that goes back before the last day refuses, and a day moved forward withdraws what was issued."""

import datetime as dt

import pytest

from gear.fitness.facts import item_fitness
from gear.models import GearItem
from gear.register.services import change_item
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import checked, codes, item_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


def lend(owner, sheet, back):
    item = item_in(sheet, "moving_block")
    return change_item(actor=owner, item=item, borrowed_from="Heron Trust", due_back_on=back)


def test_item_that_goes_back_before_the_last_day_is_refused_with_lender_and_day(owner, sheet):
    last = checked(sheet).day
    lend(owner, sheet, last - dt.timedelta(days=1))
    (finding,) = [f for f in checked(sheet).refusals if f.code == "unfit"]
    assert "Heron Trust" in finding.text
    assert "lender" in finding.cure


def test_item_that_goes_back_on_the_last_day_may_be_used_on_it(owner, sheet):
    lend(owner, sheet, checked(sheet).day)
    assert codes(sheet) == set()


def test_day_of_return_moved_before_the_sheets_day_withdraws_it(owner, lead, sheet):
    lend(owner, sheet, checked(sheet).day)
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    lend(owner, sheet, sheet.day - dt.timedelta(days=1))
    assert sheet.withdrawals.count() == 1
    assert "Heron Trust" in sheet.withdrawals.get().reason


def test_lists_of_the_store_say_the_same(owner, sheet, company):
    item = lend(owner, sheet, company.today() - dt.timedelta(days=1))
    row = GearItem.objects.unfit_on(company.today()).get(pk=item.pk)
    assert [reason.code for reason in item_fitness(row, company.today())] == ["due-back"]
    assert item.pk in GearItem.objects.for_company(company).needing("overdue", company.today()).values_list(
        "pk", flat=True
    )
