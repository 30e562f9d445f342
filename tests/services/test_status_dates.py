"""Whatever a service writes, the days kept with items are those that the rule gives, in the same transaction."""

import datetime as dt
from dataclasses import asdict

import pytest
from django.db import transaction
from django.utils import timezone

from crewlog.models import Role
from gear.events.retire import retire_item
from gear.examinations.services import EmployerNotice, Verdict, correct_inspection, record_inspection
from gear.fact_changes.services import answer_change, change_fact, take_back
from gear.failures.services import take_back_failure, tell_employer
from gear.fitness.dates import NEVER, status_dates_of
from gear.fitness.facts import item_facts
from gear.lists.rows_in import import_list
from gear.lists.services import import_upload
from gear.models import GearItem
from gear.recalls.services import record_recall, resolve_recall
from gear.register.bulk import add_items, new_item
from gear.register.mistakes import end_mistake
from gear.register.services import add_item, change_item, count_uses
from gear.reports.services import issue_report
from gear.rounds.services import start_round
from gear.rounds.sign import record_failure, sign_round
from gear.schemes.limit_services import set_class_limit
from gear.sets.services import correct_change, put_in, swap_part, take_out
from tests.factories.gear import ItemFactory, examiner, good_examination, happened
from tests.gear.fact_changes.changing import carabiner, change
from tests.gear.rounds import answer, opened, row_of, sign
from tests.given import Given
from tests.services.gear_table import SERVICES
from tests.services.world import make_world

pytestmark = pytest.mark.django_db
BLOCK: Given = {"gear_class": "block", "description": "Block", "pulls_at_ground": True}
NO_FACT = {tell_employer, issue_report, start_round, import_upload}  # add no fact of fitness, or do it by add_items


def stale(company):
    """Tags of items whose kept days are not the rule's."""
    found = set()
    for item in GearItem.objects.for_company(company):
        dates = asdict(status_dates_of(item_facts(item)))
        if any(getattr(item, name) != day for name, day in dates.items()):
            found.add(item.tag)
    return found


@pytest.fixture
def world(company):
    return make_world(company)


@pytest.fixture
def owner(world):
    return examiner(world.members[Role.OWNER])


def fresh(item):
    return GearItem.objects.get(pk=item.pk)


def change_facts(owner, world):
    item = carabiner(world.company)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=40_000.0)
    yield
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    yield
    reader = examiner(world.members[Role.INSPECTOR])
    answer_change(actor=reader, change=made, agrees=False, words="still 40")
    yield
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    take_back(actor=owner, change=made, because="typed wrong")
    yield


def move_parts(owner, world):
    put = {"actor": owner, "assembly": world.tackle, "on": world.today, "because": "worn"}
    put_in(part=world.item, **put)
    yield
    made = put_in(part=world.rope, **put)
    yield
    another = ItemFactory(company=world.company, never_examined=True)
    swap_part(out=fresh(world.item), in_=another, **put)
    assert fresh(world.tackle).overdue_from <= world.today
    yield
    take_out(part=fresh(another), **put)
    yield
    correct_change(actor=owner, change=made, on=world.today - dt.timedelta(days=2), because="the day before")
    yield


def examine(owner, world):
    failed = Verdict("out_of_use", told=EmployerNotice(at=timezone.now(), how="by telephone"))
    good = good_examination(world.item, findings="bent")
    made = record_inspection(actor=owner, item=world.item, examination=good, verdict=failed)
    assert fresh(world.item).unfit_from <= world.today
    yield
    said = {"inspection": made, "examination": good_examination(world.item), "verdict": Verdict("fit")}
    correct_inspection(actor=owner, because="wrong item", **said)
    assert fresh(world.item).unfit_from > world.today
    yield


def end_items(owner, world):
    item = add_item(actor=owner, tag="N-1", **BLOCK)
    yield
    end_mistake(actor=owner, item=item, because="entered twice")
    assert fresh(item).overdue_from <= world.today
    yield
    retire_item(actor=owner, item=world.rope, because="worn", disposal="destroyed")
    assert (fresh(world.rope).overdue_from, fresh(world.rope).unfit_from) == (world.today, world.today)
    yield


def recall(owner, world):
    item = ItemFactory(company=world.company, maker="Ferrow")
    made = record_recall(actor=owner, maker="Ferrow", announced_on=world.today, source="letter")
    assert fresh(item).unfit_from <= world.today
    yield
    resolve_recall(actor=owner, item=fresh(item), recall=made, because="not of that batch")
    assert fresh(item).unfit_from > world.today
    yield


def sign_rounds(owner, world):
    another = ItemFactory(company=world.company)
    draft = opened(owner, world.rope, another)
    answer(owner, draft, world.rope, answer_sheath="fail", saw_sheath="cut at 3 m")
    yield
    answer(owner, draft, world.rope, answer_sheath="good")
    take_back_failure(actor=owner, row=row_of(draft, world.rope), because="wrong tile", looked_at_again=True)
    yield
    answer(owner, draft, world.rope, answer_sheath="fail", saw_sheath="cut at 3 m")
    record_failure(actor=owner, row=row_of(draft, world.rope))
    yield
    answer(owner, draft, another)
    sign(owner, draft)
    yield


def add_many(owner, world):
    part = new_item(world.company, tag="N-2", assembly=world.tackle, **BLOCK)
    add_items(actor=owner, items=[part, new_item(world.company, tag="N-3", **BLOCK)])
    yield


def use_up(owner, world):
    set_class_limit(actor=owner, gear_class="rope", most_uses=2, peak_share_ratio=None)
    yield
    happened(world.rope, "used", days=1, uses=1, gear_loaded=True)
    count_uses(actor=owner, item=world.rope, on=world.today, description="0412")
    assert fresh(world.rope).unfit_from <= world.today
    yield
    set_class_limit(actor=owner, gear_class="rope", most_uses=9, peak_share_ratio=None)
    assert fresh(world.rope).unfit_from > world.today
    yield
    change_item(actor=owner, item=fresh(world.rope), borrowed_from="Heron Trust", due_back_on=world.today)
    assert fresh(world.rope).overdue_from == world.today + dt.timedelta(days=1)
    yield


STORIES = {
    change_facts: {change_fact, answer_change, take_back},
    move_parts: {put_in, swap_part, take_out, correct_change},
    examine: {record_inspection, correct_inspection},
    end_items: {add_item, end_mistake, retire_item},
    recall: {record_recall, resolve_recall},
    sign_rounds: {take_back_failure, record_failure, sign_round},
    add_many: {add_items, import_list},  # a list is brought in by add_items
    use_up: {set_class_limit, count_uses, change_item},
}


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.__name__)
def test_the_days_kept_are_the_rules_after_each_step_of_a_story(owner, world, story):
    steps = 0
    for _ in story(owner, world):
        steps += 1
        assert stale(world.company) == set(), f"after step {steps}"
    assert steps


def test_the_days_kept_are_the_rules_after_every_service_that_takes_the_tables_row(owner, world):
    """Those whose row is made for refusals alone have a story above."""
    walked = set(NO_FACT).union(*STORIES.values())
    for service in SERVICES:
        actor = owner if Role.OWNER in service.may else world.members[service.may[0]]
        try:
            with transaction.atomic():
                service.do(actor=actor, **service.given(world))
                assert stale(world.company) == set(), service.name
                raise Done
        except Done:
            walked.add(service.do)
        except Exception:  # noqa: S112 - refused, or a row that is none: it has its story
            continue
    assert walked >= {service.do for service in SERVICES}


class Done(Exception):  # noqa: N818 - it went through; leaving by this undoes it
    pass


def test_what_a_set_and_a_class_need_is_found_where_it_is_not_kept(world):
    """The walk itself: days set past the services are seen."""
    GearItem.objects.filter(pk=world.item.pk).update(overdue_from=NEVER)
    assert stale(world.company) == {world.item.tag}
