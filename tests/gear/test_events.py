"""What happens to gear, and what follows."""

import datetime as dt

import pytest

from crewlog.errors import RuleBroken
from crewlog.evidence import verify
from gear.catalogue.events import EVENT_KINDS
from gear.errors import AlreadyRetired
from gear.events.services import record_event, take_out_of_use
from gear.fitness import apply_evidence
from gear.fitness.facts import item_fitness
from gear.models import GearEvent
from gear.recalls.services import record_recall
from tests.factories.gear import ItemFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def heard(monkeypatch):
    """What the listeners were told: (tag, reason)."""
    told: list[object] = []
    monkeypatch.setattr(
        apply_evidence, "listeners", [lambda losses, entry: told.extend((loss.item.tag, loss.words) for loss in losses)]
    )
    return told


def report(actor, item, kind="drop", **changes):
    facts = {"happened_on": item.company.today(), "description": "from the cage, 4 m"} | changes
    return record_event(actor=actor, item=item, kind=kind, **facts)


def codes(item):
    item.refresh_from_db()
    return [reason.code for reason in item_fitness(item, item.company.today())]


@pytest.mark.parametrize("kind", [k for k in EVENT_KINDS if k.by_hand], ids=lambda k: k.code)
def test_an_event_does_to_the_item_what_its_kind_declares(climber, kind, heard):
    item = ItemFactory(company=climber.company)
    report(climber, item, kind.code)
    found = codes(item)
    assert ("quarantined" in found) == kind.quarantines
    assert ("examination-pending" in found) == kind.requires_examination
    assert bool(heard) == bool(found)


def test_a_near_miss_with_the_gear_not_loaded_never_takes_it_out(climber):
    item = ItemFactory(company=climber.company)
    row = report(climber, item, "near_miss_not_loaded", gear_loaded=True)
    assert row.gear_loaded is False
    assert codes(item) == []


def test_a_shock_load_was_loaded_whatever_the_reporter_left_open(climber):
    row = report(climber, ItemFactory(company=climber.company), "shock_load", gear_loaded=None)
    assert row.gear_loaded is True


def test_whether_a_dropped_item_was_loaded_may_stay_unknown(climber):
    assert report(climber, ItemFactory(company=climber.company)).gear_loaded is None


@pytest.mark.parametrize("kind", ["recall", "divided", "used", "taken_out_of_use", "exploded"])
def test_kinds_with_a_service_of_their_own_are_not_reported_by_hand(climber, kind):
    with pytest.raises(RuleBroken) as caught:
        report(climber, ItemFactory(company=climber.company), kind)
    assert caught.value.code == "event-kind-unknown"


def test_an_auditor_reports_nothing(auditor):
    with pytest.raises(RuleBroken) as caught:
        report(auditor, ItemFactory(company=auditor.company))
    assert caught.value.code == "role-not-allowed"


def test_an_event_without_words_is_refused(climber):
    item = ItemFactory(company=climber.company)
    with pytest.raises(RuleBroken, match="Say what happened"):
        report(climber, item, description="  ")
    assert not GearEvent.objects.exists()


def test_an_event_of_a_retired_item_is_refused(climber):
    with pytest.raises(AlreadyRetired):
        report(climber, ItemFactory(company=climber.company, retired=True))


def test_an_event_ahead_of_today_is_refused(climber):
    item = ItemFactory(company=climber.company)
    with pytest.raises(RuleBroken) as caught:
        report(climber, item, happened_on=item.company.today() + dt.timedelta(days=1))
    assert caught.value.code == "happened-in-future"


def test_the_crew_lead_takes_an_item_out_of_use_and_a_crew_member_does_not(lead, climber, heard):
    item = ItemFactory(company=lead.company)
    with pytest.raises(RuleBroken):
        take_out_of_use(actor=climber, item=item, because="stiff gate")
    take_out_of_use(actor=lead, item=item, because="stiff gate")
    assert codes(item) == ["quarantined", "examination-pending"]
    assert [tag for tag, _ in heard] == [item.tag]


def test_a_second_drop_is_recorded_and_told_only_once(climber, heard):
    item = ItemFactory(company=climber.company)
    report(climber, item)
    report(climber, item)
    assert GearEvent.objects.filter(item=item).count() == 2
    assert len(heard) == 1


def test_a_part_out_of_use_takes_its_set_with_it(climber, heard):
    tackle = ItemFactory(company=climber.company, tag="T-01", gear_class="tackle_set", parts_expected=2)
    part = ItemFactory(company=climber.company, tag="B-04", assembly=tackle)
    ItemFactory(company=climber.company, tag="B-05", assembly=tackle)
    assert codes(tackle) == []
    report(climber, part)
    assert codes(tackle) == ["part-unfit"]
    assert [tag for tag, _ in heard] == ["B-04", "T-01"]


def test_a_recall_tells_of_every_item_it_marks(owner, heard):
    for n in range(3):
        ItemFactory(company=owner.company, tag=f"S-{n}", maker="Quillmere Ropewalk")
    record_recall(actor=owner, maker="Quillmere Ropewalk", announced_on=owner.company.today(), source="notice 7")
    assert [tag for tag, _ in heard] == ["S-0", "S-1", "S-2"]


def test_an_event_entered_late_is_marked_and_the_chain_holds(climber):
    item = ItemFactory(company=climber.company)
    row = report(climber, item, happened_on=item.company.today() - dt.timedelta(days=10), from_paper=True)
    assert row.record.is_late
    assert row.record.from_paper
    assert verify(climber.company).holds


def test_an_event_entered_after_an_examination_asks_for_another_though_it_happened_before(climber):
    """The examiner cannot have known of it."""
    item = ItemFactory(company=climber.company)
    report(climber, item, happened_on=item.last_examined_on - dt.timedelta(days=3))
    assert codes(item) == ["quarantined", "examination-pending"]
