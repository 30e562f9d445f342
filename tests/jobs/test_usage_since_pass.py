"""Where an item that failed had been at work since it last passed."""

import datetime as dt

import pytest
from django.urls import reverse

from gear.events.services import take_out_of_use
from gear.fitness.usage_since_pass import suppliers, usage_since_pass
from jobs.field.services import record_day
from jobs.models import SheetWithdrawal
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from jobs.sheets.usage import sheets_with
from tests.factories.gear import examined
from tests.factories.jobs import passing_sheet
from tests.pages import html_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(company, lead):
    made = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=made, looked_at=EVERYTHING)
    return made


def block_of(sheet):
    return sheet.assignments.get(role="moving_block").item


def back(item):
    return usage_since_pass(item, until=item.company.today())


def test_the_sheets_since_the_last_pass_are_named_with_what_is_known(lead, sheet):
    item = block_of(sheet)
    assert [work.words for work in back(item).work] == ["what was done is not on record"]
    used = list(sheet.assignments.filter(item=item))
    record_day(actor=lead, sheet=sheet, used=used, result="fell")
    assert [work.words for work in back(item).work] == ["used, not measured"]
    record_day(actor=lead, sheet=sheet, used=[], result="stopped")
    assert [work.words for work in back(item).work] == ["not used"]


def test_what_lies_before_the_last_pass_or_after_the_day_is_left_out(sheet):
    item, today = block_of(sheet), sheet.day
    assert [work.url for work in sheets_with(item, today, today)] == [reverse("sheet", args=[sheet.pk])]
    assert sheets_with(item, today + dt.timedelta(days=1), today) == []
    assert sheets_with(item, None, today - dt.timedelta(days=1)) == []
    assert len(sheets_with(item, None, today)) == 1


def test_an_item_that_never_passed_is_looked_back_at_from_the_beginning(sheet):
    item = block_of(sheet)
    passed = back(item).since
    examined(item, days=2, verdict="out_of_use")
    assert back(item).since == passed


def test_the_withdrawal_looks_back_from_the_pass_before_it(signed_in, lead, sheet):
    item = block_of(sheet)
    take_out_of_use(actor=lead, item=item, because="side plate bent")
    withdrawal = SheetWithdrawal.objects.get()
    examined(item, days=0)
    assert usage_since_pass(item, until=sheet.day, before=withdrawal.record).since < sheet.day
    html = html_of(signed_in(lead).get(reverse("sheet", args=[sheet.pk])))
    assert "at work since it last passed" in html


def test_the_items_page_looks_back_only_when_it_failed(signed_in, lead, sheet):
    item = block_of(sheet)
    page = reverse("item", args=[item.tag])
    assert "Used since it last passed" not in html_of(signed_in(lead).get(page))
    take_out_of_use(actor=lead, item=item, because="side plate bent")
    html = html_of(signed_in(lead).get(page))
    assert "Used since it last passed" in html
    assert f"Sheet {sheet.number}, revision 1" in html


def test_jobs_supplies_the_look_back_once():
    assert list(suppliers).count(sheets_with) == 1
