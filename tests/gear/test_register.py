"""Registering items, changing facts, altering, dividing, and makers' recalls."""

import datetime as dt
import json

import pytest
from django.core.exceptions import FieldDoesNotExist, ValidationError

from crewlog.errors import RuleBroken
from crewlog.evidence import verify
from crewlog.models import Record
from gear.fact_changes.services import answer_change
from gear.facts import item_fitness
from gear.models import GearItem
from gear.services.alter import divide_item, make_new_end, shorten_item
from gear.services.recalls import open_recalls, record_recall, resolve_recall
from gear.services.register import add_item, change_item, count_uses, start_use
from gear.services.schemes import change_interval, switch_scheme
from tests.factories.gear import ItemFactory, examined, examiner
from tests.gear.fact_changes.changing import change

pytestmark = pytest.mark.django_db


def add(owner, **facts):
    plain = {
        "tag": "R-07",
        "gear_class": "rope",
        "description": "Line, 14 mm, 45 m",
        "breaking_strength_n": 45_000.0,
        "length_m": 45.0,
        "terminations": ["sewn_eye"],
        "manufactured_on": dt.date(2024, 3, 1),
        "pulls_at_ground": True,
    }
    return add_item(actor=owner, **(plain | facts))


def codes(item):
    item.refresh_from_db()
    return [reason.code for reason in item_fitness(item, item.company.today())]


def test_a_new_item_is_not_fit_until_it_is_examined(owner):
    item = add(owner)
    assert codes(item) == ["never-inspected"]
    assert item.design_factor == 5.0
    assert item.life_ends_on == dt.date(2034, 3, 1)


def test_registering_is_on_the_chain_with_all_that_was_said(owner):
    item = add(owner, colour_tracer="blue")
    record = Record.objects.for_company(owner.company).get(kind="gear.item-registered")
    body = json.loads(record.body)
    assert (body["tag"], body["facts"]["colour_tracer"], body["item"]) == ("R-07", "blue", item.pk)
    assert record.entered_by == owner.person
    assert verify(owner.company).holds


@pytest.mark.parametrize("who", ["lead", "inspector", "climber", "auditor"])
def test_only_the_owner_registers(who, request):
    member = request.getfixturevalue(who)
    with pytest.raises(RuleBroken) as caught:
        add(member)
    assert caught.value.code == "role-not-allowed"
    assert not GearItem.objects.exists()


def test_a_taken_tag_is_refused_in_any_case_even_of_a_retired_item(owner):
    ItemFactory(company=owner.company, tag="R-07", retired=True)
    with pytest.raises(ValidationError, match="never used twice"):
        add(owner, tag="r-07")


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ({"material": "polypropylene"}, "material-refused"),
        ({"material": "steel"}, "material-unknown"),
        ({"construction": "cam"}, "construction-unknown"),
    ],
)
def test_what_its_class_refuses_is_not_registered(owner, facts, code):
    with pytest.raises(RuleBroken) as caught:
        add(owner, **facts)
    assert caught.value.code == code
    assert not GearItem.objects.exists()


def test_a_looser_design_factor_is_refused_and_a_stricter_one_kept(owner):
    with pytest.raises(ValidationError, match="never looser"):
        add(owner, design_factor=4.0)
    assert add(owner, design_factor=8.0).design_factor == 8.0


def test_state_cannot_be_set_by_hand(owner):
    with pytest.raises(FieldDoesNotExist):
        add(owner, quarantined_on=None)
    with pytest.raises(FieldDoesNotExist):
        change_item(actor=owner, item=add(owner), tag="R-08")


def test_another_companys_set_cannot_take_a_part(owner):
    theirs = ItemFactory(gear_class="tackle_set", parts_expected=2)
    with pytest.raises(RuleBroken) as caught:
        add(owner, assembly=theirs)
    assert caught.value.code == "other-company"


def test_a_change_is_recorded_with_before_and_after(owner):
    item = add(owner, storage_place="Van 1")
    change_item(actor=owner, item=item, storage_place="Van 2", notes="new bag")
    record = Record.objects.for_company(owner.company).get(kind="gear.item-changed")
    assert json.loads(record.body)["changes"] == {"storage_place": ["Van 1", "Van 2"], "notes": ["", "new bag"]}


def test_a_change_of_nothing_writes_nothing(owner):
    item = add(owner, storage_place="Van 1")
    change_item(actor=owner, item=item, storage_place="Van 1")
    assert not Record.objects.filter(kind="gear.item-changed").exists()


def test_another_owner_cannot_change_it(owner, outsider):
    item = add(owner)
    with pytest.raises(RuleBroken) as caught:
        change_item(actor=outsider, item=item, notes="ours now")
    assert caught.value.code == "other-company"


def test_a_use_with_a_shorter_interval_brings_the_due_date_forward(owner):
    item = ItemFactory(company=owner.company)
    before = item.next_due_on
    uses = {"pulls_at_ground": True, "lifts_or_lowers": True, "supports_person": False, "measures_load": False}
    change(owner, item, "uses", shown=False, **uses)
    item.refresh_from_db()
    assert item.next_due_on < before
    assert "LOLER" in item.next_due_basis


@pytest.mark.parametrize("fact", [{"length_m": 40.0}, {"breaking_strength_n": 90_000.0}, {"maker_interval_months": 3}])
def test_a_figure_is_not_changed_in_place(owner, fact):
    item = ItemFactory(company=owner.company, rope=True)
    with pytest.raises(RuleBroken) as caught:
        change_item(actor=owner, item=item, **fact)
    assert caught.value.code == "fact-is-an-event"
    assert not Record.objects.filter(kind="gear.item-changed").exists()


def test_a_rope_shortened_needs_an_examination_and_gets_no_longer(owner):
    item = ItemFactory(company=owner.company, rope=True)
    today = item.company.today()
    with pytest.raises(RuleBroken, match="shorter"):
        shorten_item(actor=owner, item=item, length_after_m=45.0, on=today, description="end cut")
    shorten_item(actor=owner, item=item, length_after_m=41.5, on=today, description="end cut")
    assert codes(item) == ["examination-pending"]
    assert item.length_m == 41.5


def test_a_new_end_is_noted_with_who_spliced_it(owner, inspector):
    item = ItemFactory(company=owner.company, rope=True)
    make_new_end(
        actor=owner, item=item, terminations=["spliced_eye"], on=item.company.today(), description="eye spliced",
        spliced_by=inspector.person,
    )  # fmt: skip
    assert codes(item) == ["examination-pending"]
    assert (item.terminations, item.spliced_by) == (["spliced_eye"], inspector.person)


def test_a_divided_rope_leaves_pieces_with_tags_and_a_parent(owner):
    item = ItemFactory(company=owner.company, rope=True, tag="R-07")
    day = item.company.today()
    pieces = divide_item(actor=owner, item=item, pieces={"R-21": 12.0, "R-22": 8.0}, on=day, description="two slings")
    assert [(p.tag, p.length_m, p.parent, p.breaking_strength_n) for p in pieces] == [
        ("R-21", 12.0, item, 45_000.0),
        ("R-22", 8.0, item, 45_000.0),
    ]
    assert codes(pieces[0]) == ["examination-pending", "never-inspected"]
    assert codes(item) == ["examination-pending"]
    assert item.length_m == 25.0
    assert verify(owner.company).holds


def test_pieces_longer_than_the_rope_are_refused_and_nothing_is_changed(owner):
    item = ItemFactory(company=owner.company, rope=True)
    with pytest.raises(RuleBroken):
        divide_item(actor=owner, item=item, pieces={"R-21": 45.0}, on=item.company.today(), description="x")
    assert not GearItem.objects.filter(tag="R-21").exists()


RECALL = {"maker": "Quillmere Ropewalk", "batches": ("QR-24-118",), "source": "notice 7"}


def announce(actor, **changes):
    return record_recall(actor=actor, announced_on=actor.company.today(), **(RECALL | changes))


def test_a_recall_catches_what_it_may_cover_and_nothing_else(owner):
    def make(**facts):
        return ItemFactory(company=owner.company, maker="Quillmere Ropewalk", **facts)

    hit, unknown, other_batch = make(batch="QR-24-118"), make(), make(batch="QR-24-120")
    other_maker = ItemFactory(company=owner.company, maker="Dunnock Forge")
    theirs = ItemFactory(maker="Quillmere Ropewalk", batch="QR-24-118")
    announce(owner)
    assert codes(hit) == codes(unknown) == ["recall-unresolved"]
    assert codes(other_batch) == codes(other_maker) == codes(theirs) == []


def test_a_recall_catches_an_item_registered_later(owner):
    announce(owner)
    item = add(owner, maker="Quillmere Ropewalk", batch="QR-24-118")
    assert "recall-unresolved" in codes(item)


def test_a_recall_catches_an_item_whose_batch_is_changed_later(owner):
    item = ItemFactory(company=owner.company, maker="Quillmere Ropewalk", batch="QR-24-120")
    announce(owner)
    change(owner, item, "identity", batch="QR-24-118")
    assert codes(item) == ["recall-unresolved"]


def test_a_recall_stands_until_it_is_resolved_for_the_item(owner, inspector):
    item = ItemFactory(company=owner.company, maker="Quillmere Ropewalk")
    recall = announce(owner)
    examined(item, days=0)
    (read,) = change(owner, item, "identity", batch="QR-24-120")
    answer_change(actor=examiner(inspector), change=read, agrees=True)
    assert codes(item) == ["recall-unresolved"]
    assert list(open_recalls(item)) == [recall]
    resolve_recall(actor=inspector, item=item, recall=recall, because="batch QR-24-120 read on the label")
    assert codes(item) == []
    with pytest.raises(RuleBroken) as caught:
        resolve_recall(actor=inspector, item=item, recall=recall, because="again")
    assert caught.value.code == "recall-not-open"


def test_two_recalls_are_settled_one_by_one(owner):
    item = ItemFactory(company=owner.company, maker="Quillmere Ropewalk")
    first, second = announce(owner), announce(owner, source="notice 8")
    resolve_recall(actor=owner, item=item, recall=first, because="swapped by the maker")
    assert codes(item) == ["recall-unresolved"]
    resolve_recall(actor=owner, item=item, recall=second, because="swapped by the maker")
    assert codes(item) == []


def test_uses_are_counted_up_to_what_the_maker_permits(owner):
    item = ItemFactory(company=owner.company, permitted_uses=2)
    day = item.company.today()
    count_uses(actor=owner, item=item, on=day, description="job 0412")
    assert codes(item) == []
    count_uses(actor=owner, item=item, on=day, description="job 0413")
    assert codes(item) == ["life-ends"]


def test_the_first_day_of_use_is_kept_once(owner):
    item = ItemFactory(company=owner.company, unused=True)
    day = item.company.today()
    start_use(actor=owner, item=item, on=day - dt.timedelta(days=2))
    start_use(actor=owner, item=item, on=day)
    item.refresh_from_db()
    assert (item.is_unused, item.first_used_on) == (False, day - dt.timedelta(days=2))


def test_switching_off_the_only_scheme_leaves_the_item_unfit(owner):
    item = ItemFactory(company=owner.company)
    scheme = owner.company.inspection_schemes.get(name__startswith="United Kingdom")
    switch_scheme(actor=owner, scheme=scheme, is_active=False)
    assert codes(item) == ["overdue"]


def test_a_shorter_interval_takes_effect_at_once_and_a_longer_one_is_refused(owner):
    item = ItemFactory(company=owner.company)
    scheme = owner.company.inspection_schemes.get(name__startswith="United Kingdom")
    rule = scheme.rules.get(use="pull_at_ground")
    before = item.next_due_on
    change_interval(actor=owner, rule=rule, months=3)
    item.refresh_from_db()
    assert item.next_due_on < before
    with pytest.raises(ValidationError, match="never longer"):
        change_interval(actor=owner, rule=rule, months=13)
