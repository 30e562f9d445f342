"""A due date that comes to lie before the day of a sheet withdraws that sheet; gear was last examined a month ago."""

import datetime as dt

import pytest
from django.db import connection
from django.db.models import Value
from django.db.models.functions import Concat
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from crewlog.evidence import verify
from gear.examinations.services import Verdict, record_inspection
from gear.fitness.affected_sheets import affected_sheets
from gear.fitness.inspection_rules import InspectionRules
from gear.models import GearItem, InspectionScheme, SchemeRule
from gear.schemes.services import change_interval, switch_scheme
from jobs.models import Assignment, Sheet, SheetWithdrawal
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.gear import ItemFactory, examiner, good_examination
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import item_in
from tests.pages import html_of

SOON, LATER = 10, 60


@pytest.fixture
def sheet(company, lead):
    made = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=made, looked_at=EVERYTHING)
    return made


@pytest.fixture
def rule(company, sheet):
    return SchemeRule.objects.get(scheme__company=company, use="pull_at_ground", scheme__is_active=True)


def move_to(sheet, days):
    Sheet.objects.filter(pk=sheet.pk).update(day=sheet.stem.job.company.today() + dt.timedelta(days=days))


def title(sheet):
    return f"Sheet {sheet.number}, revision {sheet.revision}, {sheet.stem.job.site_name}"


def lost(company, rule, months):
    return [
        each.sheet.title
        for each in affected_sheets(company, book=InspectionRules.of(company).with_months(rule, months))
    ]


@pytest.mark.parametrize(("days", "is_withdrawn"), [(SOON, False), (LATER, True)])
def test_a_shorter_interval_withdraws_a_sheet_of_a_day_past_the_new_date(
    owner, company, sheet, rule, days, is_withdrawn
):
    move_to(sheet, days)
    assert lost(company, rule, 2) == ([title(sheet)] if is_withdrawn else [])
    assert not SheetWithdrawal.objects.exists()
    change_interval(actor=owner, rule=rule, months=2)
    assert [row.sheet for row in SheetWithdrawal.objects.all()] == ([sheet] if is_withdrawn else [])
    assert list(Sheet.objects.standing()) == ([] if is_withdrawn else [sheet])
    (moved,) = verify(company, every=True).faults
    assert "has the day" in moved, "the test moved it by hand; all else holds"


def test_of_two_sheets_with_the_same_item_the_one_before_the_new_date_stands(owner, lead, company, sheet, rule):
    GearItem.objects.filter(company=company).update(tag=Concat(Value("A"), "tag"))
    later = passing_sheet(company, lead=lead.person, label="8")
    issue_sheet(actor=lead, sheet=later, looked_at=EVERYTHING)
    shared = item_in(sheet, "moving_block")
    Assignment.objects.filter(sheet=later, role="moving_block").update(item=shared)
    GearItem.objects.filter(company=company).exclude(pk=shared.pk).update(pulls_at_ground=False, measures_load=True)
    move_to(sheet, SOON)
    move_to(later, LATER)
    assert lost(company, rule, 2) == [title(later)]
    change_interval(actor=owner, rule=rule, months=2)
    assert [row.sheet for row in SheetWithdrawal.objects.all()] == [later]
    assert list(Sheet.objects.standing()) == [sheet]


def test_what_the_preview_says_is_what_the_withdrawal_says(owner, company, sheet, rule):
    move_to(sheet, LATER)
    (told,) = affected_sheets(company, book=InspectionRules.of(company).with_months(rule, 2))
    change_interval(actor=owner, rule=rule, months=2)
    withdrawal = SheetWithdrawal.objects.get()
    assert withdrawal.item == told.loss.item
    assert withdrawal.reason == f"{told.loss.item.tag}: {told.loss.words}"[:300]


def test_a_use_left_without_a_scheme_withdraws_the_sheet(owner, company, sheet, rule):
    scheme = InspectionScheme.objects.get(pk=rule.scheme_id)
    assert len(affected_sheets(company, book=InspectionRules.of(company).switched(scheme, is_active=False))) == 1
    switch_scheme(actor=owner, scheme=scheme, is_active=False)
    assert SheetWithdrawal.objects.get().sheet == sheet


def test_a_part_that_falls_due_withdraws_the_sheet_that_lists_its_set(owner, company, sheet, rule):
    """The set itself is of a use that keeps its interval."""
    move_to(sheet, LATER)
    block = item_in(sheet, "moving_block")
    GearItem.objects.filter(company=company).update(pulls_at_ground=False, measures_load=True)
    part = ItemFactory(company=company, tag="R-90", rope=True)
    GearItem.objects.filter(pk=part.pk).update(assembly=block)
    (told,) = affected_sheets(company, book=InspectionRules.of(company).with_months(rule, 2))
    assert told.loss.item == block
    assert told.loss.words.startswith("Part R-90: ")
    change_interval(actor=owner, rule=rule, months=2)
    assert SheetWithdrawal.objects.get().item == block


@pytest.mark.parametrize(("days", "is_withdrawn"), [(SOON, False), (LATER, True)])
def test_a_pass_with_an_earlier_date_withdraws_a_sheet_past_it(owner, company, sheet, days, is_withdrawn):
    move_to(sheet, days)
    block = item_in(sheet, "moving_block")
    examiner(owner)
    due = company.today() + dt.timedelta(days=30)
    record_inspection(
        actor=owner, item=block, examination=good_examination(block), verdict=Verdict("fit", next_due_on=due)
    )
    assert SheetWithdrawal.objects.exists() is is_withdrawn


def test_the_pages_name_the_sheets_before_anything_is_saved(signed_in, owner, sheet, rule):
    move_to(sheet, LATER)
    client = signed_in(owner)
    asked = {"rule": rule.pk, "months": 2}
    page = html_of(client.get(reverse("scheme_change"), asked))
    assert "Sheets withdrawn: 1" in page
    assert title(sheet) in page
    assert "No sheet is withdrawn" in html_of(client.get(reverse("scheme_change"), asked | {"months": 11}))
    block = item_in(sheet, "moving_block")
    GearItem.objects.filter(pk=block.pk).update(uses_made=7)
    asked = {"class": block.gear_class, "uses": "7", "share": "100"}
    assert "No sheet is withdrawn" in html_of(client.get(reverse("class_limit_change"), asked | {"uses": "8"}))
    assert not SheetWithdrawal.objects.exists()


def test_withdrawing_costs_no_query_for_what_is_not_lost(owner, company, sheet, rule):
    """Twenty more items that fall due with the change and hang nowhere: their rows are saved, none is asked after."""
    move_to(sheet, LATER)
    with CaptureQueriesContext(connection) as few:
        change_interval(actor=owner, rule=rule, months=11)
    for number in range(20):
        ItemFactory(company=company, tag=f"Q-{number:02d}", gear_class="block")
    with CaptureQueriesContext(connection) as many:
        change_interval(actor=owner, rule=rule, months=10)
    assert len(many) <= len(few) + 1
