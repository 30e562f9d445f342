"""The end of an item."""

import pytest

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry
from gear.errors import AlreadyRetired
from gear.events import retire
from gear.events.retire import retire_item, write_retirement
from gear.fitness.facts import item_fitness
from gear.models import GearItem, Retirement
from gear.register import services as register
from gear.register.services import change_item
from tests.factories.gear import ItemFactory

pytestmark = pytest.mark.django_db


def end(actor, item, **changes):
    return retire_item(actor=actor, item=item, **({"because": "cut strand at 14 m", "disposal": "destroyed"} | changes))


def test_a_retired_item_keeps_its_reason_and_what_became_of_it(owner):
    item = ItemFactory(company=owner.company)
    row = end(owner, item)
    item.refresh_from_db()
    assert (item.retired_on, item.retired_because) == (item.company.today(), "cut strand at 14 m")
    assert row.disposal == "destroyed"
    assert [r.code for r in item_fitness(item, item.company.today())] == ["retired"]


@pytest.mark.parametrize("who", ["lead", "inspector", "climber", "auditor"])
def test_only_the_owner_retires(who, request):
    member = request.getfixturevalue(who)
    item = ItemFactory(company=member.company)
    with pytest.raises(RuleBroken) as caught:
        end(member, item)
    assert caught.value.code == "role-not-allowed"


def test_a_retirement_without_a_reason_is_refused(owner):
    item = ItemFactory(company=owner.company)
    with pytest.raises(RuleBroken) as caught:
        end(owner, item, because="  ")
    assert caught.value.code == "retirement-without-reason"
    assert not Retirement.objects.exists()


def test_the_second_of_two_retirements_loses(owner):
    item = ItemFactory(company=owner.company)
    end(owner, item)
    with pytest.raises(AlreadyRetired):
        end(owner, item)
    assert Retirement.objects.count() == 1


def test_a_stale_copy_of_the_item_cannot_win_either(owner):
    """The compare-and-set looks at the row, not at what a page was drawn from."""
    item = ItemFactory(company=owner.company)
    stale = GearItem.objects.get(pk=item.pk)
    end(owner, item)
    assert stale.retired_on is None
    with pytest.raises(AlreadyRetired):
        write_retirement(stale, entry=Entry(actor=None), on=item.company.today(), because="again", disposal="lost")


def test_nothing_is_changed_on_a_retired_item(owner):
    item = ItemFactory(company=owner.company, retired=True)
    with pytest.raises(AlreadyRetired):
        change_item(actor=owner, item=item, notes="still good")


def test_there_is_no_service_that_brings_an_item_back():
    names = {name for module in (register, retire) for name in dir(module)}
    assert not {name for name in names if "unretire" in name or "reinstate" in name or "revive" in name}


def test_retiring_a_part_leaves_its_set_unfit(owner):
    tackle = ItemFactory(company=owner.company, gear_class="tackle_set", parts_expected=2)
    part = ItemFactory(company=owner.company, assembly=tackle)
    ItemFactory(company=owner.company, assembly=tackle)
    end(owner, part)
    assert [r.code for r in item_fitness(tackle, owner.company.today())] == ["part-unfit"]
