"""Gear wanted in two places at once."""

import datetime as dt

import pytest

from gear.models import GearItem
from jobs.models import Assignment, PullPlan
from jobs.plans.data import PlanData
from jobs.sheets.assign import assign_item, open_draft
from jobs.sheets.bookings import booking_findings
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet, withdraw_sheet
from tests.factories.crewlog import PersonFactory
from tests.factories.gear import ItemFactory
from tests.factories.jobs import SheetFactory, StemFactory, passing_sheet
from tests.factories.scenario import codes, edit_plan, fresh, item_in, refusal

MORNING = (dt.time(8), dt.time(12))
AFTERNOON = (dt.time(12), dt.time(16))
LATE_MORNING = (dt.time(11), dt.time(13))


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


def other_sheet(company, person, sheet, *, day=None, role="moving_block"):
    """A draft on another stem that wants the same block."""
    stem = StemFactory(measured=True, job__company=company, job__lead=person, job__site_name="Eelpool Reach")
    other = SheetFactory(stem=stem, day=day or sheet.day)
    Assignment.objects.create(sheet=other, role=role, item=item_in(sheet, role))
    return other


def set_hours(sheet, hours):
    sheet.starts_at, sheet.ends_at = hours
    sheet.save()


def is_booked(sheet):
    return "double-booked:moving_block" in codes(sheet)


def test_item_on_another_leads_sheet_of_the_day_is_double_booked(company, sheet):
    other = other_sheet(company, PersonFactory(company=company, name="Pia Dredge"), sheet)
    finding = refusal(sheet, "double-booked:moving_block")
    assert other.number in finding.text
    assert "Pia Dredge" in finding.text
    assert "Eelpool Reach" in finding.text
    assert "planned" in finding.text
    assert finding.item == "B-08"


def test_item_on_the_same_leads_sheet_is_double_booked_where_windows_overlap(company, sheet, lead):
    other = other_sheet(company, lead.person, sheet)
    set_hours(sheet, MORNING)
    set_hours(other, LATE_MORNING)
    assert is_booked(sheet)


@pytest.mark.parametrize("same_lead", [True, False])
def test_windows_that_do_not_overlap_share_an_item(company, sheet, lead, same_lead):
    person = lead.person if same_lead else PersonFactory(company=company)
    other = other_sheet(company, person, sheet)
    set_hours(sheet, MORNING)
    set_hours(other, AFTERNOON)  # one ends as the other starts
    assert not is_booked(sheet)


def test_sheet_without_a_window_takes_the_whole_day(company, sheet, lead):
    set_hours(other_sheet(company, lead.person, sheet), AFTERNOON)
    assert is_booked(sheet)


def test_item_is_free_on_another_day(company, sheet, lead):
    other_sheet(company, lead.person, sheet, day=sheet.day + dt.timedelta(days=1))
    assert not is_booked(sheet)


def test_two_positions_at_once_are_double_booked(sheet):
    Assignment.objects.filter(sheet=sheet, role="fixed_block").update(item=item_in(sheet, "moving_block"))
    assert "double-booked:moving_block" in codes(sheet)
    assert "It is already assigned as fixed block" in refusal(sheet, "double-booked:moving_block").text


def test_issued_sheet_holds_its_gear_until_it_is_withdrawn(company, sheet, lead):
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    other = other_sheet(company, lead.person, sheet)
    assert "(issued)" in refusal(other, "double-booked:moving_block").text
    withdraw_sheet(actor=lead, sheet=sheet, reason="Wind too strong all day.")
    assert not is_booked(other)


def test_superseded_sheet_frees_gear_that_its_successor_leaves(company, sheet, lead):
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    block = item_in(sheet, "moving_block")
    other = other_sheet(company, lead.person, sheet)
    spare = GearItem.objects.get(pk=block.pk)
    spare.pk, spare.tag = None, "B-90"
    spare.save(force_insert=True)
    Assignment.objects.filter(sheet=other).delete()  # so that the successor itself can be issued
    draft = open_draft(actor=lead, stem=fresh(sheet).stem)
    assign_item(actor=lead, sheet=draft, role="moving_block", item=spare)
    issue_sheet(actor=lead, sheet=draft, looked_at=EVERYTHING)
    Assignment.objects.create(sheet=other, role="moving_block", item=block)
    Assignment.objects.create(sheet=other, role="fixed_block", item=item_in(sheet, "fixed_block"))
    assert not {c for c in codes(other) if c == "double-booked:moving_block"}
    assert "double-booked:fixed_block" in codes(other)


def test_own_earlier_revision_is_no_rival(sheet, lead):
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    draft = open_draft(actor=lead, stem=fresh(sheet).stem)
    assert codes(draft) == set()


def test_sheets_of_one_number_on_two_stems_are_rivals(company, sheet, lead):
    other = other_sheet(company, lead.person, sheet)
    other.number = sheet.number
    other.save()
    assert is_booked(sheet)


def test_alternate_elsewhere_holds_no_gear(company, sheet, lead):
    other = other_sheet(company, lead.person, sheet)
    Assignment.objects.filter(sheet=other).update(rank=1)
    assert not is_booked(sheet)


def test_alternate_that_hangs_elsewhere_cannot_swap_in(sheet):
    Assignment.objects.create(sheet=sheet, role="moving_block", rank=1, item=item_in(sheet, "fixed_block"))
    assert codes(sheet) == {"double-booked:moving_block"}


def test_gear_left_in_a_position_the_plan_no_longer_has_is_not_counted(sheet):
    Assignment.objects.create(sheet=sheet, role="side_line", item=item_in(sheet, "main_line"))
    assert codes(sheet) == set()
    edit_plan(
        sheet,
        side_line=True,
        side_attach_height_m=8.0,
        side_anchor_distance_m=20.0,
        side_anchor_azimuth_deg=0.0,
        side_anchor_slope_deg=0.0,
        side_anchor_height_m=0.5,
    )
    assert "double-booked:side_line" in codes(sheet)


# the rule alone, on sheets that nobody checked


def findings_of(sheet, *assignments):
    plan_data = PlanData(job=sheet.stem.job, stem=sheet.stem, plan=PullPlan(), assignments=assignments, sheet=sheet)
    found = list(booking_findings(plan_data))
    assert all(f.is_refusal and (f.code, f.area, f.danger) == ("double-booked", "gear", 3) for f in found)
    return [(f.subject, f.item) for f in found]


@pytest.fixture
def bare(company, lead):
    return SheetFactory(stem=StemFactory(job__company=company, job__lead=lead.person))


def wanted(sheet, role, item, rank=0):
    return Assignment.objects.create(sheet=sheet, role=role, item=item, rank=rank)


def test_item_is_booked_by_the_other_sheet_of_its_day_alone(company, lead, bare):
    block, spare = ItemFactory(company=company, tag="B-1"), ItemFactory(company=company, tag="B-2")
    mine = wanted(bare, "moving_block", block), wanted(bare, "fixed_block", spare)
    rival = SheetFactory(stem=StemFactory(job__company=company, job__lead=lead.person), day=bare.day)
    assert findings_of(bare, *mine) == []
    wanted(rival, "moving_block", ItemFactory(company=company, tag="B-3"))
    waits = wanted(rival, "cleat", block, rank=1)
    assert findings_of(bare, *mine) == []
    waits.rank = 0
    waits.save()
    assert findings_of(bare, *mine) == [("moving_block", "B-1")]
    rival.day += dt.timedelta(days=1)
    rival.save()
    assert findings_of(bare, *mine) == []


def test_own_other_sheets_of_a_stem_and_a_bundle_without_a_sheet_book_nothing(company, bare):
    block = ItemFactory(company=company, tag="B-1")
    mine = wanted(bare, "moving_block", block)
    twin = SheetFactory(stem=bare.stem, day=bare.day, revision=2)
    wanted(twin, "moving_block", block)
    assert findings_of(bare, mine) == []
    plan_data = PlanData(job=bare.stem.job, stem=bare.stem, plan=PullPlan(), assignments=(mine, mine))
    assert list(booking_findings(plan_data)) == []


def test_item_in_two_positions_is_refused_at_the_later_ones(company, bare):
    block, spare = ItemFactory(company=company, tag="B-1"), ItemFactory(company=company, tag="B-2")
    first, second, third = (wanted(bare, role, block) for role in ("moving_block", "fixed_block", "cleat"))
    nothing = Assignment(sheet=bare, role="anchor")
    assert findings_of(bare, nothing, first, second, third) == [("fixed_block", "B-1"), ("cleat", "B-1")]
    swap = wanted(bare, "bollard", block, rank=1)
    assert findings_of(bare, swap, first) == [("bollard", "B-1")]
    two = wanted(bare, "redirect_block_1", spare, rank=1), wanted(bare, "redirect_block_2", spare, rank=1)
    assert findings_of(bare, *two) == []  # one alternate may wait for two positions
