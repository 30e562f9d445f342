"""A tackle set stands in no position: what of its record speaks against its parts on a sheet, and what does not."""

import datetime as dt

import pytest

from crewlog.evidence import verify
from gear.alterations.services import make_new_end
from gear.events.services import record_event, take_out_of_use
from gear.fitness.facts import item_fitness
from gear.models import GearEvent, GearItem
from gear.sets.services import swap_part
from jobs.models import Sheet, SheetWithdrawal
from jobs.sheets.check import check_sheet
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.gear import ItemFactory, on_record
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import item_in


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


@pytest.fixture
def block(sheet):
    return item_in(sheet, "moving_block")


@pytest.fixture
def rope(sheet):
    return item_in(sheet, "tackle_rope")


@pytest.fixture
def spare(company):
    return ItemFactory(company=company, tag="R-77", rope=True)


@pytest.fixture
def tackle(company, block, spare):
    """A set of the sheet's moving block and a rope that hangs nowhere."""
    made = ItemFactory(company=company, tag="X-01", gear_class="tackle_set", parts_expected=2)
    on_record(GearItem.objects.filter(pk__in=[block.pk, spare.pk]), assembly=made)
    return made


def codes(item):
    item.refresh_from_db()
    return [reason.code for reason in item_fitness(item, item.company.today())]


def refused(sheet):
    check = check_sheet(Sheet.objects.with_stem().get(pk=sheet.pk))
    return {finding.item for finding in check.findings if finding.severity == "refusal" and finding.code == "unfit"}


def befall(owner, tackle, kind, days=0):
    on = tackle.company.today() - dt.timedelta(days=days)
    return record_event(
        actor=owner, item=tackle, kind=kind, happened_on=on, description="off the tailboard", load_n=9_000.0
    )


def test_a_swapped_part_asks_for_the_set_as_rigged_and_lets_its_clean_parts_hang_singly(
    owner, sheet, tackle, block, rope, spare, company
):
    swap_part(actor=owner, assembly=tackle, out=spare, in_=rope, on=company.today(), because="worn")
    assert codes(tackle) == ["examination-pending"]
    assert (codes(block), codes(rope), codes(spare)) == ([], [], [])
    assert refused(sheet) == set()
    issue_sheet(actor=owner, sheet=sheet, looked_at=EVERYTHING)
    assert list(Sheet.objects.standing()) == [sheet]


def test_a_new_end_of_the_part_that_was_swapped_in_is_its_own_and_refuses_it(
    owner, sheet, tackle, rope, spare, company
):
    today = company.today()
    make_new_end(actor=owner, item=rope, terminations=["sewn_eye"], on=today, description="for the swap")
    swap_part(actor=owner, assembly=tackle, out=spare, in_=rope, on=today, because="worn")
    assert refused(sheet) == {rope.tag}


@pytest.mark.parametrize(
    ("kind", "says"),
    [
        ("drop", ["quarantined", "examination-pending"]),
        ("shock_load", ["quarantined", "examination-pending"]),
        ("loss", ["quarantined", "examination-pending"]),
        ("contamination", ["examination-pending"]),
        ("marking_illegible", []),
        ("near_miss_not_loaded", []),
        ("marking_renewed", []),
    ],
)
def test_what_befalls_a_set_befalls_its_parts_and_its_marking_is_its_own(
    owner, sheet, tackle, block, rope, spare, kind, says
):
    befall(owner, tackle, kind)
    assert (codes(block), codes(spare)) == (says, says)
    assert codes(rope) == []  # in no set
    assert refused(sheet) == ({block.tag} if says else set())


def test_a_set_taken_out_of_use_withdraws_the_sheet_that_lists_its_part(owner, sheet, tackle, block, company):
    issue_sheet(actor=owner, sheet=sheet, looked_at=EVERYTHING)
    take_out_of_use(actor=owner, item=tackle, because="doubt about the reeving")
    (withdrawal,) = SheetWithdrawal.objects.all()
    assert (withdrawal.sheet, withdrawal.item) == (sheet, block)
    assert "As a part of X-01: doubt about the reeving" in withdrawal.reason
    assert list(Sheet.objects.standing()) == []
    assert verify(company).holds


def test_the_parts_event_is_of_the_same_day_and_carries_no_load_of_the_sets(owner, tackle, block):
    befall(owner, tackle, "shock_load", days=3)
    row, of_set = GearEvent.objects.get(item=block), GearEvent.objects.get(item=tackle)
    assert (row.happened_on, row.gear_loaded, row.load_n) == (of_set.happened_on, True, None)
    assert of_set.load_n == 9_000.0


@pytest.mark.parametrize(("days", "hit"), [(5, {"R-77"}), (2, {"R-77", "R-78"}), (1, {"R-78"})])
def test_it_is_the_parts_of_the_day_that_it_befell(owner, tackle, spare, company, days, hit):
    """Swapped two days ago: nobody knows the hour, so that day counts for both."""
    new = ItemFactory(company=company, tag="R-78", rope=True)
    on = company.today() - dt.timedelta(days=2)
    swap_part(actor=owner, assembly=tackle, out=spare, in_=new, on=on, because="worn")
    befall(owner, tackle, "drop", days=days)
    assert {tag for item, tag in ((spare, "R-77"), (new, "R-78")) if codes(item)} == hit


def test_a_retired_part_is_left_alone(owner, tackle, company):
    gone = ItemFactory(company=company, tag="B-90", retired=True)
    on_record(GearItem.objects.filter(pk=gone.pk), assembly=tackle)
    befall(owner, tackle, "drop")
    assert not GearEvent.objects.filter(item=gone).exists()
