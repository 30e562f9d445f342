"""State columns follow from the evidence, for one item or many."""

import pytest

from gear.fitness.inspection_rules import InspectionRules
from gear.fitness.refresh import differs, load_evidence, refresh_items, refresh_state, state_for
from gear.fitness.use_limits import UseLimits
from gear.models import GearItem
from tests.factories.gear import STORIES, ItemFactory, examined, happened

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("story", [s for s in STORIES if s != "evidence"])
def test_state_written_past_the_services_is_rebuilt_from_the_evidence(story):
    item = ItemFactory(**{story: True})
    told = {f.attname: getattr(item, f.attname) for f in GearItem._meta.concrete_fields}
    GearItem.objects.filter(pk=item.pk).update(
        next_due_on=None, quarantined_on=None, quarantined_because="", retired_on=None, retired_because="",
        examination_pending_since=None, examination_pending_because="", remark_due_on=None, remark="",
        pre_service_on=None, marking_illegible=False,
    )  # fmt: skip
    refresh_state(GearItem.objects.get(pk=item.pk))
    again = GearItem.objects.get(pk=item.pk)
    assert {f.attname: getattr(again, f.attname) for f in GearItem._meta.concrete_fields} == told


def test_a_state_that_is_not_what_the_evidence_gives_is_found():
    item = ItemFactory(quarantined=True)
    GearItem.objects.filter(pk=item.pk).update(quarantined_on=None, quarantined_because="")
    item.refresh_from_db()
    state = state_for(
        item, load_evidence([item])[item.pk], InspectionRules.of(item.company), UseLimits.of(item.company)
    )
    assert differs(item, state) == ["quarantined_on", "quarantined_because"]


def test_the_earliest_of_two_open_events_is_the_one_named():
    item = ItemFactory()
    happened(item, "drop", days=2, description="second")
    happened(item, "drop", days=5, description="first")
    refresh_state(item)
    assert item.quarantined_because == "Dropped: first"


def test_a_long_reason_is_cut_to_its_column():
    item = ItemFactory()
    happened(item, "drop", days=1, description="very " * 100)
    refresh_state(item)
    assert len(item.quarantined_because) == 200
    assert item.quarantined_because.endswith("…")


def test_the_last_examination_counts_whatever_its_verdict_but_not_one_that_did_not_happen():
    item = ItemFactory(evidence=False)
    examined(item, days=20, verdict="out_of_use", findings="cracked")
    examined(item, days=10, verdict="not_examined")
    refresh_state(item)
    assert (item.company.today() - item.last_examined_on).days == 20
    assert item.pre_service_on is None


@pytest.mark.parametrize("count", [3, 30])
def test_many_items_are_rebuilt_in_a_fixed_number_of_queries(company, count, django_assert_max_num_queries):
    items = [ItemFactory(company=company, quarantined=True) for _ in range(count)]
    with django_assert_max_num_queries(8):
        refresh_items(company, items)
