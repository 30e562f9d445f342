"""A company's own limits of use: the stricter one holds, and what is used up is out of use at once."""

import datetime as dt

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from crewlog.errors import RuleBroken
from crewlog.evidence import verify
from crewlog.models import Record
from gear.catalogue.classes import BY_CODE
from gear.fitness import apply_evidence
from gear.fitness.facts import item_fitness
from gear.fitness.use_limits import UseLimits, strictest
from gear.loads.pages import load_chart, standing_loads
from gear.loads.services import Load, record_loads
from gear.models import ClassLimit, GearEvent, GearItem, LoadRecord
from gear.register.services import add_item, count_uses
from gear.schemes.limit_services import set_class_limit, used_up_by
from tests.factories.crewlog import CompanyFactory
from tests.factories.gear import ItemFactory
from tests.gear.fact_changes.changing import change

pytestmark = pytest.mark.django_db


def carried(owner, item, peak_n):
    load = Load(item=item, source="derived", peak_n=peak_n, limit_n=10_000.0, basis="from the reading of the gauge")
    record_loads(actor=owner, loads=[load], on=owner.company.today(), reference="Sheet K-1, revision 1")


def limit(owner, uses=None, share=None, gear_class="rope"):
    return set_class_limit(actor=owner, gear_class=gear_class, most_uses=uses, peak_share_ratio=share)


@pytest.mark.parametrize(
    ("own", "of_class", "holds"), [(None, None, None), (20, None, 20), (None, 30, 30), (20, 30, 20), (40, 30, 30)]
)
def test_the_stricter_number_of_uses_holds(own, of_class, holds):
    assert strictest("rope", of_class, None).uses_end_at(own) == holds


def test_a_share_is_never_looser_than_the_classs():
    assert strictest("rope", None, 0.8).peak_share_ratio == 0.8
    assert strictest("rope", None, 1.7).peak_share_ratio == BY_CODE["rope"].overload.share_ratio
    assert strictest("rope", None, None).peak_share_ratio == BY_CODE["rope"].overload.share_ratio


def add_rope(owner, tag, **facts):
    return add_item(
        actor=owner, tag=tag, gear_class="rope", description="Line", pulls_at_ground=True, breaking_strength_n=4e4,
        design_factor=5.0, **facts,
    )  # fmt: skip


def test_an_items_uses_end_with_the_stricter_limit_however_it_came_there(owner, company):
    before = add_rope(owner, "R-1", permitted_uses=40)
    assert before.uses_end_at == 40
    limit(owner, uses=30)
    after = add_rope(owner, "R-2")
    stricter = add_rope(owner, "R-3", permitted_uses=10)
    change(owner, after, "permitted_uses", shown=False, permitted_uses=5)
    ends = {item.tag: item.uses_end_at for item in GearItem.objects.for_company(company)}
    assert ends == {"R-1": 30, "R-2": 5, "R-3": 10}
    assert (after.uses_end_at, stricter.uses_end_at) == (5, 10)
    limit(owner)
    before.refresh_from_db()
    assert before.uses_end_at == 40


def test_an_item_is_used_up_at_the_limit_and_not_before_and_says_whose_limit_it_is(owner, company):
    limit(owner, uses=3)
    item = add_rope(owner, "R-1", permitted_uses=9)
    today = company.today()
    count_uses(actor=owner, item=item, on=today, description="Book", uses=2)
    assert "life-ends" not in {reason.code for reason in item_fitness(item, today)}
    count_uses(actor=owner, item=item, on=today, description="Book", uses=1)
    (reason,) = [reason for reason in item_fitness(item, today) if reason.code == "life-ends"]
    assert reason.words == "Used 3 times of 3 that the company allows its class."
    assert reason.figure == 3


def test_a_limit_shows_whom_it_uses_up_and_tells_the_listeners_when_it_is_set(owner, company, monkeypatch):
    told: list[object] = []
    monkeypatch.setattr(
        apply_evidence, "listeners", [lambda losses, entry: told.extend((loss.item.tag, loss.words) for loss in losses)]
    )
    worn, fresh = add_rope(owner, "R-1"), add_rope(owner, "R-2")
    count_uses(actor=owner, item=worn, on=company.today(), description="Book", uses=8)
    ItemFactory(company=CompanyFactory(), gear_class="rope")
    assert [item.tag for item in used_up_by(company=owner.company, gear_class="rope", most_uses=8)] == ["R-1"]
    assert used_up_by(company=owner.company, gear_class="rope", most_uses=9) == []
    assert used_up_by(company=owner.company, gear_class="sling", most_uses=1) == []
    limit(owner, uses=8)
    assert told == [("R-1", "Used 8 times of 8 that the company allows its class.")]
    assert used_up_by(company=owner.company, gear_class="rope", most_uses=8) == []
    for item, is_used_up in ((worn, True), (fresh, False)):
        item.refresh_from_db()
        assert ("life-ends" in {reason.code for reason in item_fitness(item, company.today())}) is is_used_up


def test_a_peak_above_the_companys_share_is_an_overload_from_then_on(owner, company):
    item = ItemFactory(company=company, gear_class="rope")
    carried(owner, item, peak_n=8_500)
    assert not GearEvent.objects.filter(item=item, kind="overload").exists()
    limit(owner, share=0.8)
    assert not GearEvent.objects.filter(item=item, kind="overload").exists()
    carried(owner, item, peak_n=8_000)
    assert not GearEvent.objects.filter(item=item, kind="overload").exists()
    carried(owner, item, peak_n=8_001)
    assert GearEvent.objects.filter(item=item, kind="overload").count() == 1


def derived(actor, item, peak_n, **changes):
    load = Load(item=item, source="derived", peak_n=peak_n, limit_n=10_000.0, basis="hand")
    on = actor.company.today() - dt.timedelta(days=2)
    (row,) = record_loads(actor=actor, loads=[load], on=on, reference="Sheet K-1", **changes)
    return row


@pytest.mark.parametrize(("first", "then"), [(None, 0.8), (0.8, None)])
def test_a_peak_stays_what_it_was_by_the_share_of_its_day(owner, company, first, then):
    item = ItemFactory(company=company, gear_class="rope")
    limit(owner, share=first)
    row = derived(owner, item, 9_000.0)
    limit(owner, share=then)
    kept = LoadRecord.objects.select_related("item").get(pk=row.pk)
    assert kept.is_overload is (first == 0.8)
    assert verify(company).holds


def test_a_correction_after_the_share_was_set_is_judged_by_it(owner, company):
    """What it corrects was no overload in its day, so the higher figure is the first that is one."""
    item = ItemFactory(company=company, gear_class="rope")
    before = derived(owner, item, 9_000.0)
    limit(owner, share=0.8)
    derived(owner, item, 9_500.0, earlier=LoadRecord.objects.filter(pk=before.pk))
    assert GearEvent.objects.filter(item=item, kind="overload").count() == 1
    item.refresh_from_db()
    assert item.quarantined_on is not None


def test_a_record_from_before_the_share_was_kept_is_judged_by_its_class():
    item = GearItem(gear_class="rope", overload_share_ratio=0.8)
    assert not LoadRecord(item=item, share_ratio=1.0).is_overload
    assert LoadRecord(item=item, share_ratio=1.001).is_overload


@pytest.mark.parametrize(("share", "drawn"), [(1.0, False), (0.8, True)])
def test_the_chart_draws_a_stricter_share_below_the_limit(owner, company, share, drawn):
    item = ItemFactory(company=company, gear_class="rope")
    derived(owner, item, 5_000.0)
    chart = load_chart(list(standing_loads(item)), share)
    assert (chart.own_y is not None and chart.own_y > chart.limit_y) is drawn


def test_only_the_owner_sets_a_limit_and_it_goes_on_record(owner, lead, company):
    with pytest.raises(RuleBroken):
        limit(lead, uses=5)
    assert not ClassLimit.objects.exists()
    limit(owner, uses=5)
    limit(owner, uses=7, share=0.9)
    assert ClassLimit.objects.get().most_uses == 7
    said = Record.objects.filter(company=company, kind="gear.class-limit-set").order_by("sequence")
    assert '"most_uses":[5,7]' in said.last().body.replace(" ", "")
    assert verify(company).holds
    assert UseLimits.of(CompanyFactory()).limits("rope").most_uses is None


@pytest.mark.parametrize("wrong", [{"uses": 0}, {"share": 0.0}, {"share": 1.2}])
def test_what_is_no_limit_is_refused_by_service_and_database(owner, company, wrong):
    with pytest.raises(ValidationError):
        limit(owner, **wrong)
    row = {"gear_class": "rope", "most_uses": wrong.get("uses"), "peak_share_ratio": wrong.get("share")}
    with pytest.raises(IntegrityError), transaction.atomic():
        ClassLimit.objects.create(company=company, **row)


def test_a_class_that_is_none_has_no_limits(owner, company):
    with pytest.raises(ValidationError):
        limit(owner, gear_class="kite")
    assert not ClassLimit.objects.exists()


def test_a_limit_costs_the_same_queries_however_many_items(owner, company):
    counted = []
    for more in (2, 10):
        for _ in range(more):
            ItemFactory(company=company, gear_class="rope")
        with CaptureQueriesContext(connection) as queries:
            limit(owner, uses=50 + more)
        counted.append(len(queries))
    # The columns of all items that changed are written together; one item by a plain update.
    assert counted[1] <= counted[0] + 1
