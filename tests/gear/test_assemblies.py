"""Tackle sets: what was in one on a day, and what a changed part asks for."""

import datetime as dt

import pytest
from django.db import IntegrityError, transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row, verify
from gear.events.services import record_event
from gear.fitness import apply_evidence
from gear.fitness.facts import item_fitness
from gear.fitness.set_parts import parts_on, stays_by_part
from gear.models import GearItem, PartChange
from gear.register.services import add_item, change_item
from gear.sets.part_history import Move, PartClashError, Stay, first_stay, stays_of
from gear.sets.services import correct_change, put_in, swap_part, take_out
from tests.factories.gear import ItemFactory, examined
from tests.given import Given

pytestmark = pytest.mark.django_db


@pytest.fixture
def tackle(company):
    """A set registered with its rope and block four hundred days ago, and a spare rope."""
    made = ItemFactory(company=company, tag="X-01", gear_class="tackle_set", parts_expected=2)
    ItemFactory(company=company, tag="R-01", rope=True, assembly=made)
    ItemFactory(company=company, tag="B-01", assembly=made)
    ItemFactory(company=company, tag="R-02", rope=True)
    return made


def item(tag):
    return GearItem.objects.get(tag=tag)


def ago(days):
    return item("X-01").company.today() - dt.timedelta(days=days)


def tags_on(tackle, days):
    return [part.tag for part in parts_on(tackle, ago(days))]


def codes(found):
    found.refresh_from_db()
    return [reason.code for reason in item_fitness(found, found.company.today())]


def swap(actor, tackle, days=10, out="R-01", in_="R-02", because="core showing at 3 m"):
    return swap_part(actor=actor, assembly=tackle, out=item(out), in_=item(in_), on=ago(days), because=because)


def test_a_part_registered_into_a_set_was_in_it_from_that_day(tackle):
    assert tags_on(tackle, 400) == ["B-01", "R-01"]
    assert tags_on(tackle, 401) == []


def test_after_a_swap_each_day_has_its_own_rope(lead, tackle):
    swap(lead, tackle)
    assert tags_on(tackle, 11) == ["B-01", "R-01"]
    assert tags_on(tackle, 10) == ["B-01", "R-02"]
    assert tags_on(tackle, 0) == ["B-01", "R-02"]
    assert (item("R-01").assembly, item("R-02").assembly) == (None, tackle)


def test_a_swap_makes_an_examination_of_the_set_pending_until_one_passes_it(lead, tackle):
    assert codes(tackle) == []
    swap(lead, tackle)
    assert codes(tackle) == ["examination-pending"]
    assert "R-02 in place of R-01" in tackle.examination_pending_because
    examined(tackle, days=0)
    change_item(actor=owner_of(tackle), item=tackle, storage_place="Van 3")
    assert codes(tackle) == []


def owner_of(tackle):
    from tests.factories.crewlog import MembershipFactory

    return MembershipFactory(company=tackle.company, role="owner", person__company=tackle.company)


def test_a_set_with_a_part_taken_out_is_unfit_until_one_is_put_in(lead, tackle):
    take_out(actor=lead, assembly=tackle, part=item("R-01"), on=ago(0), because="to be washed")
    assert codes(tackle) == ["examination-pending", "part-unfit"]
    put_in(actor=lead, assembly=tackle, part=item("R-01"), on=ago(0), because="washed and dry")
    assert codes(tackle) == ["examination-pending"]
    assert tags_on(tackle, 0) == ["B-01", "R-01"]


def test_a_part_cannot_be_in_two_sets(lead, company, tackle):
    other = ItemFactory(company=company, tag="X-02", gear_class="tackle_set", parts_expected=2)
    with pytest.raises(RuleBroken, match="R-01 was in X-01 then") as caught:
        put_in(actor=lead, assembly=other, part=item("R-01"), on=ago(0), because="wanted there")
    assert caught.value.code == "in-another-set"
    assert not PartChange.objects.exists()


def test_a_part_cannot_be_put_in_on_a_day_it_was_still_elsewhere(lead, company, tackle):
    other = ItemFactory(company=company, tag="X-02", gear_class="tackle_set", parts_expected=2)
    take_out(actor=lead, assembly=tackle, part=item("R-01"), on=ago(5), because="wanted elsewhere")
    with pytest.raises(RuleBroken) as caught:
        put_in(actor=lead, assembly=other, part=item("R-01"), on=ago(6), because="wanted there")
    assert caught.value.code == "in-another-set"
    put_in(actor=lead, assembly=other, part=item("R-01"), on=ago(5), because="wanted there")
    assert tags_on(other, 5) == ["R-01"]


def test_a_part_that_is_not_in_the_set_cannot_leave_it(lead, tackle):
    with pytest.raises(RuleBroken, match="R-02 was not in X-01 then: it was in no set") as caught:
        take_out(actor=lead, assembly=tackle, part=item("R-02"), on=ago(0), because="worn")
    assert caught.value.code == "not-in-set"


def test_a_full_set_takes_no_further_part(lead, tackle):
    with pytest.raises(RuleBroken) as caught:
        put_in(actor=lead, assembly=tackle, part=item("R-02"), on=ago(0), because="a second rope")
    assert caught.value.code == "set-full"


def test_a_retired_part_leaves_the_set_and_does_not_come_back(lead, company, tackle):
    gone = ItemFactory(company=company, tag="R-03", rope=True, retired=True)
    with pytest.raises(RuleBroken, match="retired"):
        swap(lead, tackle, in_=gone.tag)
    ItemFactory(company=company, tag="X-03", gear_class="tackle_set", parts_expected=2)
    held = ItemFactory(company=company, tag="R-04", rope=True, retired=True, assembly=item("X-03"))
    take_out(actor=lead, assembly=item("X-03"), part=held, on=ago(0), because="retired")
    assert parts_on(item("X-03"), ago(0)) == []


def test_a_crew_member_changes_no_set(climber, tackle):
    with pytest.raises(RuleBroken) as caught:
        swap(climber, tackle)
    assert caught.value.code == "role-not-allowed"


def test_only_a_tackle_set_has_parts_and_none_is_a_part_itself(lead, company, tackle):
    with pytest.raises(RuleBroken, match="Only a tackle set"):
        put_in(actor=lead, assembly=item("B-01"), part=item("R-02"), on=ago(0), because="tried")
    ItemFactory(company=company, tag="X-02", gear_class="tackle_set", parts_expected=2)
    with pytest.raises(RuleBroken, match="cannot be a part of another"):
        put_in(actor=lead, assembly=tackle, part=item("X-02"), on=ago(0), because="tried")


def test_a_wrong_day_is_corrected_by_a_later_record(lead, tackle):
    gone, come = swap(lead, tackle, days=10)
    correct_change(actor=lead, change=gone, on=ago(20), because="it was the job before")
    assert tags_on(tackle, 15) == ["B-01"]
    with pytest.raises(RuleBroken) as caught:
        correct_change(actor=lead, change=gone, on=ago(21), because="again")
    assert caught.value.code == "corrected-already"
    correct_change(actor=lead, change=come, on=ago(20), because="it was the job before")
    assert tags_on(tackle, 15) == ["B-01", "R-02"]
    assert PartChange.objects.count() == 4
    assert verify(tackle.company).holds


def test_a_wrong_part_is_corrected_and_both_stand_where_they_are(lead, company, tackle):
    _, come = swap(lead, tackle)
    ItemFactory(company=company, tag="R-03", rope=True)
    correct_change(actor=lead, change=come, on=come.day, because="tag misread", part=item("R-03"))
    assert (item("R-02").assembly, item("R-03").assembly) == (None, tackle)
    assert tags_on(tackle, 0) == ["B-01", "R-03"]
    assert stays_by_part([item("R-02")])[item("R-02").pk] == []


def test_registering_into_a_set_and_moving_by_the_owner_leave_evidence(owner, tackle):
    take_out(actor=owner, assembly=tackle, part=item("R-01"), on=ago(0), because="worn")
    facts: Given = {"gear_class": "rope", "description": "Tackle rope", "pulls_at_ground": True}
    made = add_item(actor=owner, tag="R-09", assembly=tackle, **facts)
    assert made.assembly == tackle
    assert tags_on(tackle, 0) == ["B-01", "R-09"]
    change_item(actor=owner, item=made, assembly=None)
    assert item("R-09").assembly is None
    assert list(made.set_changes.order_by("pk").values_list("change", flat=True)) == ["in", "out"]


def test_a_set_nobody_has_examined_yet_waits_for_its_first_examination_only(owner, company):
    ItemFactory(company=company, tag="X-01", gear_class="tackle_set", parts_expected=2, never_examined=True)
    ItemFactory(company=company, tag="R-02", rope=True)
    put_in(actor=owner, assembly=item("X-01"), part=item("R-02"), on=ago(3), because="made up")
    assert codes(item("X-01")) == ["never-inspected", "part-unfit"]
    assert not item("X-01").events.exists()


def test_a_swap_tells_whoever_relies_on_the_set(lead, tackle, monkeypatch):
    told: list[object] = []
    monkeypatch.setattr(
        apply_evidence, "listeners", [lambda losses, entry: told.extend(loss.item.tag for loss in losses)]
    )
    swap(lead, tackle)
    assert told == ["X-01"]


def test_a_swap_is_not_reported_as_an_event_that_names_no_part(climber, tackle):
    with pytest.raises(RuleBroken) as caught:
        record_event(actor=climber, item=tackle, kind="part_swapped", happened_on=ago(0), description="rope")
    assert caught.value.code == "swap-names-parts"


@pytest.mark.parametrize("columns", [{"change": "off"}, {"because": ""}, {"part": "itself"}])
def test_the_database_refuses_a_change_that_says_nothing(lead, tackle, columns):
    facts = {"assembly": tackle, "part": item("R-02"), "change": "in", "day": ago(0), "because": "spare"} | columns
    if columns.get("part"):
        facts["part"] = tackle
    row = PartChange(**facts)
    row.clean_fields = lambda exclude=None: None
    with pytest.raises(IntegrityError), transaction.atomic():
        append_row(tackle.company, Entry(actor=lead.person), row)


DAY = dt.date(2026, 5, 1)


def move(is_in, days, sequence=1, assembly=7):
    return Move(1, assembly, is_in, DAY + dt.timedelta(days=days), sequence)


@pytest.mark.parametrize(
    ("moves", "begun"),
    [
        ([move(True, 0), move(True, 1, 2)], None),
        ([move(True, 0), move(True, 1, 2, assembly=8)], None),
        ([move(False, 0)], None),
        ([move(True, 0), move(False, 1, 2, assembly=8)], None),
        ([move(True, 5)], Stay(1, 7, DAY)),
        ([move(False, -1)], Stay(1, 7, DAY)),
    ],
)
def test_changes_that_contradict_each_other_have_no_history(moves, begun):
    with pytest.raises(PartClashError):
        stays_of(moves, begun)


def test_out_and_in_again_on_one_day_follow_the_order_of_the_records():
    stays = stays_of([move(True, 3, 9), move(False, 3, 8)], Stay(1, 7, DAY))
    assert [stay.until for stay in stays] == [DAY + dt.timedelta(days=3), None]


def test_a_first_record_that_takes_it_out_says_where_it_was_before():
    asked: Given = {"part": 1, "present": None, "registered_on": DAY}
    assert first_stay(**asked, first=move(False, 9)) == Stay(1, 7, DAY)
    assert first_stay(**asked, first=move(True, 9)) is None
    assert first_stay(**asked, first=None) is None
