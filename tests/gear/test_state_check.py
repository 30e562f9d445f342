"""The store held against its records: whatever is changed past the services is named."""

import datetime as dt

import pytest
from django.db import connection

from crewlog.evidence import Entry, append, verify
from gear.alterations.services import divide_item, make_new_end, shorten_item
from gear.events.retire import retire_item
from gear.events.services import record_event
from gear.examinations.examination import Answer
from gear.examinations.services import Verdict
from gear.fact_changes.services import answer_change, set_check
from gear.fitness.refresh import refresh_state
from gear.models import GearItem, SchemeRule
from gear.register.mistakes import end_mistake
from gear.register.services import add_item, change_item, start_use
from gear.schemes.limit_services import set_class_limit
from gear.schemes.services import OwnRule, add_own_rule, change_interval, switch_scheme
from gear.sets.services import put_in, take_out
from gear.state_check.check import check_store
from tests.factories.gear import ItemFactory, examiner, good_examination
from tests.gear.fact_changes.changing import carabiner, change
from tests.gear.test_inspect import TOLD, sign

pytestmark = pytest.mark.django_db


def faults(company):
    return list(check_store(company))


def write(sql, *values):
    with connection.cursor() as cursor:
        cursor.execute(sql, values)


def tamper(item, **columns):
    """Change columns of an item as somebody with the database in hand would."""
    said = ", ".join(f"{name} = %s" for name in columns)
    write(f"UPDATE gear_gearitem SET {said} WHERE id = %s", *columns.values(), item.pk)  # noqa: S608


def only(found):
    assert len(found) == 1, found
    return found[0]


def test_a_store_that_was_only_changed_by_its_services_is_whole(owner, inspector, company):
    examiner(inspector)
    item = carabiner(company)
    (read,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    answer_change(actor=inspector, change=read, agrees=True)
    change(owner, item, "minor_axis", minor_axis_strength_n=9_000.0)
    change(owner, item, "minor_axis", minor_axis_strength_n=8_000.0)
    rope = ItemFactory(company=company, rope=True, description="Bull rope 45 m", tag="R-01")
    today = company.today()
    shorten_item(actor=owner, item=rope, length_after_m=40.0, on=today, description="end")
    divide_item(actor=owner, item=rope, pieces={"R-90": 5.0}, on=today, description="piece")
    make_new_end(actor=owner, item=rope, terminations=["bowline"], on=today, description="eye", spliced_by=owner.person)
    change_item(actor=owner, item=rope, storage_place="Van 9", due_back_on=today, borrowed_from="Neighbour")
    start_use(actor=owner, item=ItemFactory(company=company, unused=True), on=today)
    tackle = ItemFactory(company=company, gear_class="tackle_set", parts_expected=2)
    part, other = ItemFactory(company=company), ItemFactory(company=company)
    put_in(actor=owner, assembly=tackle, part=part, on=today, because="made up")
    put_in(actor=owner, assembly=tackle, part=other, on=today, because="made up")
    take_out(actor=owner, assembly=tackle, part=part, on=today, because="lent")
    add_item(
        actor=owner, tag="B-99", gear_class="block", description="Block", working_load_limit_n=9_000.0,
        pulls_at_ground=True, assembly=tackle, spliced_by=None,
    )  # fmt: skip
    record_event(actor=owner, item=other, kind="drop", happened_on=today, description="x")
    retire_item(actor=owner, item=ItemFactory(company=company), because="worn", disposal="destroyed")
    end_mistake(actor=owner, item=add_item(
        actor=owner, tag="B-98", gear_class="block", description="Block", pulls_at_ground=True
    ), because="twice")  # fmt: skip
    scheme = company.inspection_schemes.get(name__startswith="North America")
    switch_scheme(actor=owner, scheme=scheme, is_active=True)
    change_interval(actor=owner, rule=SchemeRule.objects.get(use="measure"), months=6)
    change_interval(actor=owner, rule=scheme.rules.get(use="pull_at_ground"), months=9)
    add_own_rule(actor=owner, rule=OwnRule("Ours", "pull_at_ground", 4, "contract", gear_classes=("rope",)))
    set_class_limit(actor=owner, gear_class="rope", most_uses=30, peak_share_ratio=0.8)
    set_check(actor=owner, check_by="second_person")
    assert faults(company) == []
    assert verify(company).holds


def test_a_retired_item_put_back_is_named(company):
    item = ItemFactory(company=company, tag="B-07", retired=True)
    tamper(item, retired_on=None, retired_because="")
    found = faults(company)
    assert f"B-07: retired on: by its records {company.today() - dt.timedelta(days=9)}, the store says nothing" in found
    assert not verify(company).holds


def test_a_due_date_moved_is_named(company):
    item = ItemFactory(company=company, tag="B-07")
    due = item.next_due_on
    tamper(item, next_due_on=due + dt.timedelta(days=300))
    found = only(faults(company))
    assert found == f"B-07: next due on: by its records {due}, the store says {due + dt.timedelta(days=300)}"
    assert found in verify(company).fault


def test_a_rating_raised_is_named_with_the_record_that_says_otherwise(owner, company):
    item = carabiner(company)
    change(owner, item, "breaking_strength", shown=False, breaking_strength_n=45_000.0)
    place = item.fact_changes.get().record.sequence
    tamper(item, breaking_strength_n=90_000.0)
    assert only(faults(company)) == (
        f"C-01: minimum breaking strength on record is 45.00 kN by record {place}, the store says 90.00 kN"
    )


def test_a_change_that_waits_does_not_count_by_being_written_into_the_store(owner, company):
    item = carabiner(company)
    change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    tamper(item, breaking_strength_n=90_000.0)
    assert "on record is 50.00 kN" in only(faults(company))


def test_a_quarantine_lifted_is_named(company):
    item = ItemFactory(company=company, tag="B-07", quarantined=True)
    tamper(item, quarantined_on=None, quarantined_because="")
    found = faults(company)
    assert any(words.startswith("B-07: out of use since: by its records") for words in found)


def test_a_tag_and_a_class_changed_are_named(company):
    item = ItemFactory(company=company, tag="B-07")
    tamper(item, tag="B-08")
    assert "tag on record is B-07" in only(faults(company))
    tamper(item, tag="B-07", gear_class="pulley")
    assert any("class on record is block" in words for words in faults(company))


def test_a_life_lengthened_is_named(company):
    item = ItemFactory(company=company, tag="R-07", rope=True)
    tamper(item, life_from_maker=True, life_years_from_manufacture=30)
    found = faults(company)
    assert any("the maker sets its life on record is No" in words for words in found)
    assert any("years from manufacture on record is None set" in words for words in found)
    tamper(item, life_from_maker=False, life_years_from_manufacture=None, life_ends_on=dt.date(2099, 1, 1))
    assert "life ends on" in only(faults(company))


def test_an_interval_lengthened_is_named(company):
    ItemFactory(company=company)
    write("UPDATE gear_schemerule SET months = 120, default_months = 120 WHERE use = 'pull_at_ground'")
    found = faults(company)
    assert any("12 months by its first entry, the store says 120" in words for words in found)
    assert any("12 months at the most, the store says 120" in words for words in found)


def test_a_shortened_interval_that_is_lengthened_again_past_the_service_is_named(owner, company):
    ItemFactory(company=company)
    rule = SchemeRule.objects.get(use="pull_at_ground", scheme__is_active=True)
    change_interval(actor=owner, rule=rule, months=6)
    assert faults(company) == []
    write("UPDATE gear_schemerule SET months = 12 WHERE id = %s", rule.pk)
    assert any("6 months by record" in words for words in faults(company))


def test_a_scheme_switched_off_a_rule_removed_and_one_slipped_in_are_named(owner, company):
    ItemFactory(company=company)
    add_own_rule(actor=owner, rule=OwnRule("Ours", "pull_at_ground", 4, "contract"))
    write("UPDATE gear_inspectionscheme SET is_active = %s WHERE name = 'Ours'", False)
    assert any(words.startswith("Ours: on by the defaults, the store says off") for words in faults(company))
    write("UPDATE gear_inspectionscheme SET is_active = %s WHERE name = 'Ours'", True)
    SchemeRule.objects.filter(scheme__name="Ours").update(basis="another")
    found = faults(company)
    assert any("no record added this rule" in words for words in found)
    assert any("the rule of 4 months is gone from the store" in words for words in found)


def test_a_limit_of_a_class_and_the_check_of_changes_are_named(owner, company):
    set_class_limit(actor=owner, gear_class="rope", most_uses=30, peak_share_ratio=0.8)
    set_check(actor=owner, check_by="second_person")
    assert faults(company) == []
    write("UPDATE gear_classlimit SET most_uses = 300")
    write("UPDATE gear_factsetting SET check_by = 'examination'")
    found = faults(company)
    assert any("limits of rope: 30 uses, 0.8 share by record" in words for words in found)
    assert any("what is asked for before a changed fact counts" in words for words in found)


def test_a_part_moved_to_another_set_is_named(owner, company):
    tackle = ItemFactory(company=company, tag="X-01", gear_class="tackle_set", parts_expected=2)
    part = ItemFactory(company=company, tag="B-07")
    put_in(actor=owner, assembly=tackle, part=part, on=company.today(), because="made up")
    tamper(part, assembly_id=None)
    assert "B-07: tackle set on record is X-01, the store says Not on record" in faults(company)


def test_an_item_slipped_in_and_one_gone_are_named(company):
    kept, slipped = ItemFactory(company=company, tag="B-07"), ItemFactory(company=company, tag="B-08")
    other = ItemFactory()
    tamper(slipped, company_id=other.company_id)
    assert faults(company) == [f"B-08: registered by record {place_of(company, slipped)}, and not in the store"]
    assert any(w.startswith("B-08: stands in the store, and no record") for w in faults(other.company))
    assert kept.tag == "B-07"


def place_of(company, item):
    return company.records.get(kind="gear.item-registered", body__contains=f'"item":{item.pk},').sequence


def test_the_days_an_item_turns_are_named(company):
    item = ItemFactory(company=company, tag="B-07")
    tamper(item, overdue_from=dt.date(2099, 1, 1))
    assert only(faults(company)).startswith("B-07: overdue from: by its records")


def test_a_record_of_before_that_lacks_a_fact_is_not_reported(company):
    item = ItemFactory.build(company=company, tag="B-70")
    item.save()
    body = {"item": item.pk, "tag": "B-70", "gear_class": "block", "facts": {"description": item.description}}
    append(company, "gear.item-registered", Entry(actor=None), body=body)
    refresh_state(item)
    assert faults(company) == []


def test_a_retired_item_is_not_reported_for_rules_that_changed_after_it(owner, company):
    ItemFactory(company=company, retired=True)
    change_interval(actor=owner, rule=SchemeRule.objects.get(use="pull_at_ground", scheme__is_active=True), months=3)
    set_class_limit(actor=owner, gear_class="block", most_uses=3, peak_share_ratio=None)
    assert faults(company) == []


def test_a_failure_and_its_cure_are_worked_out_again(inspector, company):
    ines, item = examiner(inspector), ItemFactory(company=company)
    answers = {**good_examination(item).answers, "cracks": Answer("fail", "cheek cracked")}
    sign(ines, item, Verdict("out_of_use", told=TOLD), answers=answers, kind="after_event")
    assert faults(company) == []


@pytest.mark.parametrize("count", [3, 30])
def test_the_queries_do_not_grow_with_the_items(company, count, django_assert_num_queries):
    for _ in range(count):
        ItemFactory(company=company)
    with django_assert_num_queries(18):
        assert faults(company) == []


def test_another_companys_store_is_not_looked_at(company):
    theirs = ItemFactory(tag="B-55")
    tamper(theirs, working_load_limit_n=99_000.0)
    assert faults(company) == []
    assert GearItem.objects.count() == 1
