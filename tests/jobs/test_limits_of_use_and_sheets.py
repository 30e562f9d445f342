"""A company's limit of uses withdraws the sheets of what it uses up, and puts tackle sets out with their parts."""

import pytest

from crewlog.evidence import verify
from gear.models import GearItem
from gear.register.services import count_uses
from gear.schemes.limit_services import set_class_limit
from jobs.models import Sheet, SheetWithdrawal
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.gear import ItemFactory
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import item_in

USED = 8


@pytest.fixture
def sheet(company, owner, lead):
    made = passing_sheet(company, lead=lead.person)
    block = item_in(made, "moving_block")
    count_uses(actor=owner, item=block, on=company.today(), description="From the book", uses=USED)
    issue_sheet(actor=owner, sheet=made, looked_at=EVERYTHING)
    return made


def limit(owner, item, uses):
    set_class_limit(actor=owner, gear_class=item.gear_class, most_uses=uses, peak_share_ratio=None)


def test_a_limit_above_what_was_used_leaves_the_sheet_standing(owner, sheet):
    limit(owner, item_in(sheet, "moving_block"), USED + 1)
    assert list(Sheet.objects.standing()) == [sheet]


def test_a_limit_that_uses_up_an_item_withdraws_the_sheet_that_lists_it(owner, sheet, company):
    block = item_in(sheet, "moving_block")
    limit(owner, block, USED)
    (withdrawal,) = SheetWithdrawal.objects.all()
    assert (withdrawal.sheet, withdrawal.item) == (sheet, block)
    assert f"Used {USED} times of {USED} that the company allows its class." in withdrawal.reason
    assert list(Sheet.objects.standing()) == []
    assert verify(company).holds


def test_a_set_turns_with_the_part_that_a_limit_uses_up(owner, company):
    tackle = ItemFactory(company=company, tag="X-01", gear_class="tackle_set", parts_expected=2)
    block = ItemFactory(company=company, tag="B-01", gear_class="block")
    rope = ItemFactory(company=company, tag="R-88", rope=True)
    GearItem.objects.filter(pk__in=[block.pk, rope.pk]).update(assembly=tackle)
    block.refresh_from_db()
    count_uses(actor=owner, item=block, on=company.today(), description="From the book", uses=USED)
    tackle.refresh_from_db()
    assert tackle.unfit_from > company.today()
    limit(owner, block, USED)
    tackle.refresh_from_db()
    assert tackle.unfit_from <= company.today()
