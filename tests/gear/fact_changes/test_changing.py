"""Changing a fact of an item: what counts at once, what waits, who answers it."""

import datetime as dt
import json

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row, verify
from crewlog.models import Record, Role
from gear.errors import AlreadyRetired, NotCompetent
from gear.examinations.services import Answer, Verdict, record_inspection
from gear.fact_changes.services import answer_change, change_fact, set_check, take_back
from gear.models import FactChange, FactChangeAnswer, GearEvent
from gear.recalls.services import record_recall
from gear.register.services import change_item
from tests.conftest import member
from tests.factories.crewlog import CompetenceFactory
from tests.factories.gear import ItemFactory, examiner, good_examination
from tests.gear.fact_changes.changing import carabiner, change, grounds

pytestmark = pytest.mark.django_db


def limit_kn(item):
    item.refresh_from_db()
    return item.working_limit_n / 1000.0


def test_one_typed_digit_no_longer_makes_a_50_kn_carabiner_carry_18_kn(owner, company):
    item = carabiner(company)
    assert limit_kn(item) == 10.0
    with pytest.raises(RuleBroken) as caught:
        change_item(actor=owner, item=item, breaking_strength_n=90_000.0)
    assert caught.value.code == "fact-is-an-event"
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    assert limit_kn(item) == 10.0
    assert made.waits
    assert made.changes == {"breaking_strength_n": [50_000.0, 90_000.0]}


def test_it_carries_18_kn_once_a_competent_person_has_read_90_kn_on_it(owner, inspector, company):
    item = carabiner(company)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    answer_change(actor=examiner(inspector), change=made, agrees=True)
    assert limit_kn(item) == 18.0
    assert verify(company).holds


def test_a_lower_strength_counts_at_once_and_needs_no_photograph(owner, company):
    item = carabiner(company)
    (made,) = change(owner, item, "breaking_strength", shown=False, breaking_strength_n=40_000.0)
    assert limit_kn(item) == 8.0
    assert not made.waits
    body = json.loads(Record.objects.get(kind="gear.fact-change").body)
    assert body["changes"] == {"breaking_strength_n": [50_000.0, 40_000.0]}
    assert (body["reason"], body["source"]) == ("read", "marking")


def test_upwards_without_photograph_or_paper_is_refused(owner, company):
    item = carabiner(company)
    with pytest.raises(RuleBroken) as caught:
        change(owner, item, "breaking_strength", shown=False, breaking_strength_n=90_000.0)
    assert (caught.value.code, caught.value.field) == ("change-not-shown", "shown")
    assert not FactChange.objects.exists()


@pytest.mark.parametrize("missing", ["reason", "source", "words"])
def test_a_change_says_why_and_where_the_new_one_stands(owner, company, missing):
    from gear.fact_changes.services import change_fact

    with pytest.raises(RuleBroken) as caught:
        change_fact(
            actor=owner,
            item=carabiner(company),
            subject="breaking_strength",
            values={"breaking_strength_n": 40_000.0},
            grounds=grounds(**{missing: " "}),
        )
    assert (caught.value.code, caught.value.field) == ("change-without-reason", missing)


def test_a_change_of_nothing_is_refused(owner, company):
    with pytest.raises(RuleBroken) as caught:
        change(owner, carabiner(company), "breaking_strength", breaking_strength_n=50_000.0)
    assert caught.value.code == "change-of-nothing"


def test_an_examiner_does_not_confirm_their_own_change(inspector, company):
    (made,) = change(examiner(inspector), carabiner(company), "breaking_strength", breaking_strength_n=90_000.0)
    with pytest.raises(RuleBroken) as caught:
        answer_change(actor=inspector, change=made, agrees=True)
    assert caught.value.code == "own-change"


def test_the_author_does_not_enter_anothers_agreement_from_paper(owner, inspector, company):
    examiner(inspector)
    (made,) = change(owner, carabiner(company), "breaking_strength", breaking_strength_n=90_000.0)
    with pytest.raises(RuleBroken) as caught:
        answer_change(actor=owner, change=made, agrees=True, by=inspector.person)
    assert caught.value.code == "own-change"


def test_the_database_refuses_a_confirmation_by_the_author(owner, company):
    (made,) = change(owner, carabiner(company), "breaking_strength", breaking_strength_n=90_000.0)
    row = FactChangeAnswer(item=made.item, change=made, answer="agrees", author=owner.person, by=owner.person)
    with pytest.raises(IntegrityError, match="gear_factchangeanswer_not_own"), transaction.atomic():
        append_row(company, Entry(actor=owner.person), row)


@pytest.mark.parametrize(
    ("wrong", "constraint"),
    [
        ({"waits": True, "asks": "examination"}, "gear_factchange_upwards_is_shown"),
        ({"words": ""}, "gear_factchange_says_why"),
        ({"asks": "examination"}, "gear_factchange_waits_for_somebody"),
    ],
)
def test_the_database_refuses_a_change_that_cannot_be(owner, company, wrong, constraint):
    facts = {
        "item": carabiner(company), "subject": "breaking_strength", "changes": {"breaking_strength_n": [1.0, 2.0]},
        "waits": False, "author": owner.person, "reason": "read", "source": "marking", "words": "x",
    }  # fmt: skip
    row = FactChange(**(facts | wrong))
    row.clean_fields = lambda exclude=None: None
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        append_row(company, Entry(actor=owner.person), row)


def test_an_inspector_without_a_competence_for_the_class_does_not_confirm(owner, inspector, company):
    examiner(inspector, "rope")
    (made,) = change(owner, carabiner(company), "breaking_strength", breaking_strength_n=90_000.0)
    with pytest.raises(NotCompetent):
        answer_change(actor=inspector, change=made, agrees=True)


def test_an_examiner_is_judged_by_the_day_of_the_examination(owner, inspector, company):
    item, today = carabiner(company), company.today()
    before = Entry(actor=owner.person, happened_at=timezone.now() - dt.timedelta(days=5))
    (made,) = change_fact(
        actor=owner,
        item=item,
        subject="breaking_strength",
        values={"breaking_strength_n": 90_000.0},
        grounds=grounds(),
        entry=before,
    )
    lapsed = {"granted_on": today - dt.timedelta(days=9), "expires_on": today - dt.timedelta(days=1)}
    CompetenceFactory(person=inspector.person, skill="examine_gear", gear_class="", **lapsed)
    examination = good_examination(item, on=today - dt.timedelta(days=2), markings={made.pk: Answer("agrees")})
    record_inspection(actor=inspector, item=item, examination=examination, verdict=Verdict("fit"))
    assert limit_kn(item) == 18.0


def test_where_the_company_asks_for_a_second_person_the_lead_may_confirm(owner, lead, climber, company):
    set_check(actor=owner, check_by="second_person")
    item = carabiner(company)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    with pytest.raises(RuleBroken) as caught:
        answer_change(actor=climber, change=made, agrees=True)
    assert caught.value.code == "role-not-allowed"
    with pytest.raises(RuleBroken):
        answer_change(actor=owner, change=made, agrees=True)
    answer_change(actor=lead, change=made, agrees=True)
    assert limit_kn(item) == 18.0


def test_the_setting_is_the_owners_is_recorded_and_cannot_be_switched_off(owner, inspector):
    with pytest.raises(RuleBroken):
        set_check(actor=inspector, check_by="second_person")
    for off in ("", "none"):
        with pytest.raises(ValidationError):
            set_check(actor=owner, check_by=off)
    set_check(actor=owner, check_by="second_person")
    record = Record.objects.get(kind="gear.fact-check-set")
    assert json.loads(record.body) == {"check_by": ["examination", "second_person"]}


def test_a_marking_that_does_not_agree_leaves_the_old_figure(owner, inspector, company):
    item = carabiner(company)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    with pytest.raises(RuleBroken) as caught:
        answer_change(actor=examiner(inspector), change=made, agrees=False)
    assert caught.value.code == "answer-without-words"
    answer_change(actor=inspector, change=made, agrees=False, words="Reads 50 kN under the glass.")
    assert limit_kn(item) == 10.0
    with pytest.raises(RuleBroken) as caught:
        answer_change(actor=inspector, change=made, agrees=True)
    assert caught.value.code == "change-answered"


def test_a_change_is_taken_back_by_its_author_or_the_owner(owner, lead, company):
    item = carabiner(company)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    with pytest.raises(RuleBroken) as caught:
        take_back(actor=lead, change=made, because="no")
    assert caught.value.code == "not-the-author"
    take_back(actor=owner, change=made, because="It was another carabiner.")
    assert not FactChange.objects.waiting().exists()


def test_a_later_change_of_the_same_fact_overtakes_the_one_that_waits(owner, inspector, company):
    item = carabiner(company)
    (first,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    change(owner, item, "breaking_strength", breaking_strength_n=40_000.0)
    assert limit_kn(item) == 8.0
    assert first.answer.answer == "overtaken"
    with pytest.raises(RuleBroken):
        answer_change(actor=examiner(inspector), change=first, agrees=True)
    assert limit_kn(item) == 8.0


def test_a_fact_that_moved_meanwhile_is_not_overwritten(owner, inspector, company):
    from gear.alterations.services import shorten_item

    rope = ItemFactory(company=company, rope=True)
    (made,) = change(owner, rope, "length", length_m=60.0)
    shorten_item(actor=owner, item=rope, length_after_m=40.0, on=company.today(), description="end cut")
    with pytest.raises(RuleBroken) as caught:
        answer_change(actor=examiner(inspector), change=made, agrees=True)
    assert caught.value.code == "fact-moved"
    rope.refresh_from_db()
    assert rope.length_m == 40.0


def test_of_two_facts_the_stricter_counts_at_once_and_the_other_waits(owner, company):
    block = ItemFactory(company=company, rope_diameter_min_mm=10.0, rope_diameter_max_mm=14.0)
    now, later = change(owner, block, "rope_range", rope_diameter_min_mm=11.0, rope_diameter_max_mm=16.0)
    block.refresh_from_db()
    assert (block.rope_diameter_min_mm, block.rope_diameter_max_mm) == (11.0, 14.0)
    assert (now.waits, later.waits) == (False, True)
    assert later.changes == {"rope_diameter_max_mm": [14.0, 16.0]}


def test_a_corrected_length_is_no_alteration(owner, company):
    rope = ItemFactory(company=company, rope=True)
    change(owner, rope, "length", length_m=40.0)
    rope.refresh_from_db()
    assert rope.length_m == 40.0
    assert not GearEvent.objects.filter(item=rope).exists()


def test_a_longer_life_waits_and_a_shorter_one_ends_it_at_once(owner, company):
    rope = ItemFactory(company=company, rope=True)
    ends = rope.life_ends_on
    facts = {"life_from_maker": True, "life_years_from_manufacture": 15, "life_years_from_first_use": None}
    change(owner, rope, "life", **facts)
    rope.refresh_from_db()
    assert rope.life_ends_on == ends
    change(owner, rope, "life", **(facts | {"life_years_from_manufacture": 1}))
    rope.refresh_from_db()
    assert rope.life_ends_on < company.today()


def test_a_longer_interval_waits_and_moves_the_due_date_when_it_counts(owner, inspector, company):
    block = ItemFactory(company=company, maker_interval_months=3)
    due = block.next_due_on
    (made,) = change(owner, block, "maker_interval", maker_interval_months=9)
    block.refresh_from_db()
    assert block.next_due_on == due
    answer_change(actor=examiner(inspector), change=made, agrees=True)
    block.refresh_from_db()
    assert block.next_due_on > due


def test_a_use_less_waits_and_a_use_more_counts_at_once(owner, company):
    block = ItemFactory(company=company, lifts_or_lowers=True)
    uses = {"pulls_at_ground": True, "lifts_or_lowers": True, "supports_person": False, "measures_load": False}
    change(owner, block, "uses", **(uses | {"supports_person": True}))
    block.refresh_from_db()
    assert block.supports_person
    change(owner, block, "uses", **(uses | {"supports_person": True, "lifts_or_lowers": False}))
    block.refresh_from_db()
    assert block.lifts_or_lowers


def test_a_batch_that_a_recall_names_holds_the_item_before_it_is_read(owner, company):
    item = ItemFactory(company=company, maker="Quillmere Ropewalk", batch="QR-24-120")
    record_recall(
        actor=owner, announced_on=company.today(), maker="Quillmere Ropewalk", batches=("QR-24-118",), source="notice 7"
    )
    change(owner, item, "identity", batch="QR-24-118")
    item.refresh_from_db()
    assert item.recall_unresolved
    assert item.batch == "QR-24-120"


def test_what_cannot_be_true_is_refused_with_nothing_written(owner, company):
    item = carabiner(company, working_load_limit_n=20_000.0)
    with pytest.raises(ValidationError, match="below the breaking strength"):
        change(owner, item, "breaking_strength", breaking_strength_n=15_000.0)
    assert not FactChange.objects.exists()


def test_only_owner_and_inspector_change_a_fact(lead, climber, company):
    item = carabiner(company)
    for who in (lead, climber):
        with pytest.raises(RuleBroken) as caught:
            change(who, item, "breaking_strength", breaking_strength_n=40_000.0)
        assert caught.value.code == "role-not-allowed"


def test_another_companys_item_cannot_be_changed_or_answered(owner, outsider, company):
    item = carabiner(company)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    for attempt in (
        lambda: change(outsider, item, "breaking_strength", breaking_strength_n=40_000.0),
        lambda: answer_change(actor=outsider, change=made, agrees=True),
    ):
        with pytest.raises(RuleBroken) as caught:
            attempt()
        assert caught.value.code == "other-company"


def test_a_retired_item_is_not_changed(owner, company):
    with pytest.raises(AlreadyRetired):
        change(owner, carabiner(company, retired=True), "breaking_strength", breaking_strength_n=40_000.0)


def test_an_owner_who_did_not_enter_it_may_confirm_where_competent(inspector, company):
    second = examiner(member(company, Role.OWNER, "Bet Harrow"))
    item = carabiner(company)
    (made,) = change(inspector, item, "breaking_strength", breaking_strength_n=90_000.0)
    answer_change(actor=second, change=made, agrees=True)
    assert limit_kn(item) == 18.0
