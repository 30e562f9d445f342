"""What was done on the day of a sheet, and what each item carried by it."""

import datetime as dt

import pytest
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence import verify
from gear.models import GearEvent, GearItem, LoadRecord
from jobs.field.services import record_day, record_reading
from jobs.models import Assignment, DayRecord, Reading, SheetWithdrawal
from jobs.sheets.assign import open_draft
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.gear import ItemFactory, happened
from tests.factories.jobs import passing_sheet
from tests.given import Given

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(company, lead):
    made = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=made, looked_at=EVERYTHING)
    return made


def hung(sheet, *, without=()):
    rows = sheet.assignments.filter(item__isnull=False, rank=0).select_related("item").exclude(role__in=without)
    return [row for row in rows if row.sheet_id == sheet.pk]


def read(actor, sheet, force_n=2_000.0, **changes):
    facts: Given = {
        "kind": "line",
        "moment": "full_pull",
        "gauge": GearItem.objects.get(tag="L-01"),
        "read_at": timezone.now() - dt.timedelta(seconds=5),
    } | changes
    return record_reading(actor=actor, sheet=sheet, force_n=force_n, **facts)


def done(actor, sheet, used=None, **changes):
    facts = {"result": "fell"} | changes
    return record_day(actor=actor, sheet=sheet, used=hung(sheet) if used is None else used, **facts)


def load_in(sheet, role):
    item = sheet.assignments.get(role=role, rank=0).item
    return LoadRecord.objects.standing().get(item=item)


def test_with_no_reading_every_used_item_is_not_measured_and_counts_a_use(lead, sheet):
    done(lead, sheet)
    rows = LoadRecord.objects.all()
    assert len(rows) == len(hung(sheet))
    assert {(row.source, row.peak_n, row.uses) for row in rows} == {("not_measured", None, 1)}
    assert {item.uses_made for item in GearItem.objects.filter(pk__in=[row.item_id for row in rows])} == {1}


def test_a_line_reading_is_the_main_lines_own_load_and_the_rest_is_worked_out(climber, lead, sheet):
    read(climber, sheet, 2_000.0)
    done(lead, sheet)
    line, cell, block = (load_in(sheet, role) for role in ("main_line", "tension_gauge", "moving_block"))
    assert (line.source, line.peak_n, line.gauge.tag) == ("measured", 2_000.0, "L-01")
    assert (cell.source, cell.peak_n) == ("measured", 2_000.0)
    assert (block.source, block.gauge) == ("derived", None)
    assert block.peak_n == pytest.approx(2_000.0)
    assert "worked out by the issued plan" in block.basis
    assert verify(lead.company).holds


def test_the_share_is_of_what_the_position_could_bear_when_the_sheet_was_issued(lead, sheet):
    read(lead, sheet, 2_000.0)
    done(lead, sheet)
    row = load_in(sheet, "main_line")
    path = {each["role"]: each for each in json_of(sheet)["load_path"]}
    assert row.limit_n == path["main_line"]["use"]["capacity_n"]
    assert row.share_ratio == pytest.approx(2_000.0 / row.limit_n)


def json_of(sheet):
    import json

    return json.loads(sheet.issue.snapshot)


def test_the_plans_own_figures_never_stand_in_for_a_reading(lead, sheet):
    planned = {each["role"]: each["load_n"] for each in json_of(sheet)["load_path"]}
    read(lead, sheet, 777.0)
    done(lead, sheet)
    for row in hung(sheet):
        assert load_in(sheet, row.role).peak_n != planned[row.role]


def test_a_pull_on_the_tail_is_worked_up_to_the_most_it_can_have_made(lead, sheet):
    read(lead, sheet, 300.0, kind="hand")
    day = done(lead, sheet)
    row = load_in(sheet, "main_line")
    assert row.source == "derived"
    assert row.peak_n == pytest.approx(day.tension_n)
    assert 300.0 * 2 < day.tension_n <= 300.0 * 5
    assert load_in(sheet, "tension_gauge").source == "derived"


def test_the_greatest_reading_counts(lead, sheet):
    for force_n in (1_500.0, 2_400.0, 900.0):
        read(lead, sheet, force_n)
    done(lead, sheet)
    assert load_in(sheet, "main_line").peak_n == 2_400.0


def test_what_stayed_in_the_van_has_no_record(lead, sheet):
    done(lead, sheet, hung(sheet, without=("hitch_cord",)))
    assert not LoadRecord.objects.filter(item=sheet.assignments.get(role="hitch_cord").item).exists()


def test_an_alternate_that_was_swapped_in_is_judged_by_its_rating(lead, company):
    made = passing_sheet(company, lead=lead.person)
    spare = ItemFactory(
        company=company, tag="C-77", gear_class="connector", gate="screw", working_load_limit_n=22_000.0
    )
    instead = Assignment.objects.create(sheet=made, role="hitch_connector", item=spare, rank=1)
    issue_sheet(actor=lead, sheet=made, looked_at=EVERYTHING)
    read(lead, made, 2_200.0)
    done(lead, made, [*hung(made, without=("hitch_connector",)), instead])
    row = LoadRecord.objects.get(item=spare)
    assert row.limit_n == 22_000.0
    assert "its rating, before knots and bends" in row.basis


def test_a_new_item_has_its_first_day_of_use(lead, sheet):
    item = sheet.assignments.get(role="fixed_block").item
    GearItem.objects.filter(pk=item.pk).update(is_unused=True, first_used_on=None)
    done(lead, sheet)
    item.refresh_from_db()
    assert (item.is_unused, item.first_used_on) == (False, sheet.day)


def test_a_reading_above_its_limit_takes_the_item_out_and_the_sheet_with_it(lead, sheet):
    limit_n = {each["role"]: each for each in json_of(sheet)["load_path"]}["main_line"]["use"]["capacity_n"]
    read(lead, sheet, 1.01 * limit_n)
    done(lead, sheet)
    item = sheet.assignments.get(role="main_line").item
    item.refresh_from_db()
    assert item.quarantined_on == sheet.day
    assert GearEvent.objects.get(item=item).kind == "overload"
    assert SheetWithdrawal.objects.filter(sheet=sheet).count() == 1


def test_a_day_recorded_again_corrects_every_load_of_the_first(lead, sheet):
    wrong = read(lead, sheet, 2_900.0)
    first = done(lead, sheet)
    read(lead, sheet, 1_900.0, corrects=wrong)
    second = done(lead, sheet, hung(sheet, without=("hitch_cord",)), result="hung_up")
    assert second.record.corrects == first.record
    assert load_in(sheet, "main_line").peak_n == 1_900.0
    assert load_in(sheet, "hitch_cord").source == "not_used"
    cord = sheet.assignments.get(role="hitch_cord").item
    cord.refresh_from_db()
    assert cord.uses_made == 0
    assert [row.pk for row in DayRecord.objects.standing()] == [second.pk]


def test_a_cell_that_was_not_fit_still_tells_and_says_so(lead, sheet):
    cell = GearItem.objects.get(tag="L-01")
    happened(cell, "drop", days=1)
    GearItem.objects.filter(pk=cell.pk).update(quarantined_on=sheet.day, quarantined_because="Dropped")
    row = read(lead, sheet, gauge=GearItem.objects.get(pk=cell.pk))
    assert "Out of use since" in row.gauge_unfit
    done(lead, sheet)
    assert "which was not fit" in load_in(sheet, "main_line").basis


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"read_at": timezone.now() + dt.timedelta(minutes=20)}, "happened-in-future"),
        ({"read_at": timezone.now() - dt.timedelta(days=2)}, "not-that-day"),
        ({"gauge": "B-0"}, "no-load-cell"),
    ],
)
def test_a_reading_that_cannot_be_is_refused(lead, company, sheet, changes, code):
    if "gauge" in changes:
        changes = {"gauge": ItemFactory(company=company)}
    with pytest.raises(RuleBroken) as caught:
        read(lead, sheet, **changes)
    assert caught.value.code == code
    assert not Reading.objects.exists()


def test_a_reading_is_corrected_once(lead, sheet):
    wrong = read(lead, sheet, 2_900.0)
    read(lead, sheet, 1_900.0, corrects=wrong)
    with pytest.raises(RuleBroken) as caught:
        read(lead, sheet, 1_800.0, corrects=wrong)
    assert caught.value.code == "corrected-already"


def test_nothing_is_recorded_of_a_draft_or_by_another_company(lead, outsider, sheet):
    draft = open_draft(actor=lead, stem=sheet.stem)
    for attempt, code in (
        (lambda: done(lead, draft), "not-issued"),
        (lambda: read(lead, draft), "not-issued"),
        (lambda: done(outsider, sheet), "other-company"),
        (lambda: done(lead, sheet, hung(draft)), "not-on-sheet"),
    ):
        with pytest.raises(RuleBroken) as caught:
            attempt()
        assert caught.value.code == code


def test_a_crew_member_reads_and_the_lead_records(climber, auditor, sheet):
    read(climber, sheet)
    for who, attempt in ((climber, done), (auditor, read)):
        with pytest.raises(RuleBroken) as caught:
            attempt(who, sheet)
        assert caught.value.code == "role-not-allowed"
