"""Entries made by mistake, recalls by class, and the length in a rope's name."""

import datetime as dt
import json

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row, verify
from crewlog.models import Record
from gear.alterations.services import divide_item, shorten_item
from gear.catalogue.naming import renamed
from gear.errors import AlreadyRetired
from gear.events.retire import retire_item
from gear.events.services import record_event
from gear.models import EnteredByMistake, GearItem, LoadRecord
from gear.recalls.services import record_recall
from gear.register.mistakes import end_mistake
from gear.register.pages import register_items, standing_on
from gear.register.services import add_item, count_uses
from gear.register.store_list import StoreFilter, StoreList, store_counts
from gear.sets.services import put_in
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.gear import ItemFactory, examined
from tests.factories.jobs import passing_sheet
from tests.gear.test_inspect import codes
from tests.pages import html_of

pytestmark = pytest.mark.django_db


def entry(owner, tag="B-77", **facts):
    facts = {"working_load_limit_n": 12_000.0, "pulls_at_ground": True, "is_unused": True} | facts
    return add_item(actor=owner, tag=tag, gear_class="block", description="Double block", **facts)


# --- entered by mistake -----------------------------------------------------------------------------------------------


def test_an_entry_by_mistake_ends_counts_nowhere_and_keeps_its_tag_taken(owner, company):
    item = entry(owner)
    end_mistake(actor=owner, item=item, because="entered twice: it is B-07")
    item.refresh_from_db()
    assert (item.is_mistake, item.retired_on, item.retired_because) == (
        True, company.today(), "entered twice: it is B-07",
    )  # fmt: skip
    today = company.today()
    assert store_counts(company, today).everything == 0
    assert list(register_items(company=company, on=today)) == standing_on(company=company, on=today) == []
    assert StoreList(company, today, StoreFilter(status="retired")).count() == 0
    assert not hasattr(item, "retirement")
    with pytest.raises(ValidationError, match="never used twice"):
        entry(owner)
    assert verify(company).holds


def test_its_page_says_entered_by_mistake_and_not_retired(owner, signed_in):
    item = entry(owner)
    browse = signed_in(owner)
    page = reverse("item_mistake", args=[item.tag])
    assert browse.post(page, {"because": ""}).status_code == 422
    assert browse.post(page, {"because": "wrong class"}).status_code == 302
    html = html_of(browse.get(item.get_absolute_url()))
    assert "Entered by mistake" in html
    assert "Retired" not in html


def test_one_looked_at_before_first_use_is_still_no_used_item(owner):
    item = entry(owner)
    examined(item, days=0)
    end_mistake(actor=owner, item=item, because="wrong class")
    assert EnteredByMistake.objects.get().item == item


def used_twice_examined(owner, item):
    examined(item, days=0)
    examined(item, days=0, kind="interim")


def used_loaded(owner, item):
    row = LoadRecord(item=item, day=item.company.today(), source="not_measured", reference="sheet K-1", uses=1)
    append_row(item.company, Entry(actor=None), row)


def used_counted(owner, item):
    count_uses(actor=owner, item=item, on=item.company.today(), description="job 0412")


def used_dropped(owner, item):
    record_event(actor=owner, item=item, kind="drop", happened_on=item.company.today(), description="x")


def used_in_a_set(owner, item):
    tackle = ItemFactory(company=item.company, gear_class="tackle_set", parts_expected=2)
    put_in(actor=owner, assembly=tackle, part=item, on=item.company.today(), because="made up")


@pytest.mark.parametrize(
    ("use", "said"),
    [
        (used_twice_examined, "interim inspection on"),
        (used_loaded, "sheet K-1"),
        (used_counted, "used on"),
        (used_dropped, "drop from height on"),
        (used_in_a_set, "it is a part of"),
    ],
)
def test_an_item_that_was_used_is_not_ended_as_a_mistake_and_it_is_said_why(owner, use, said):
    item = entry(owner)
    use(owner, item)
    with pytest.raises(RuleBroken, match=said) as caught:
        end_mistake(actor=owner, item=item, because="x")
    assert caught.value.code == "item-was-used"
    item.refresh_from_db()
    assert not item.is_mistake


def test_an_item_of_an_issued_sheet_is_not_ended_as_a_mistake(owner, lead, company):
    sheet = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    with pytest.raises(RuleBroken, match="Sheet") as caught:
        end_mistake(actor=owner, item=GearItem.objects.get(tag="B-08"), because="x")
    assert caught.value.code == "item-was-used"


def test_a_retired_item_was_no_mistake_and_a_mistake_is_not_retired(owner):
    gone = ItemFactory(company=owner.company, retired=True)
    with pytest.raises(AlreadyRetired):
        end_mistake(actor=owner, item=gone, because="x")
    item = entry(owner)
    end_mistake(actor=owner, item=item, because="x")
    with pytest.raises(AlreadyRetired):
        retire_item(actor=owner, item=item, because="x", disposal="lost")


def test_only_the_owner_ends_an_entry_and_says_why(owner, inspector):
    item = entry(owner)
    with pytest.raises(RuleBroken) as caught:
        end_mistake(actor=inspector, item=item, because="x")
    assert caught.value.code == "role-not-allowed"
    with pytest.raises(RuleBroken) as caught:
        end_mistake(actor=owner, item=item, because=" ")
    assert caught.value.code == "mistake-without-reason"


def test_the_database_refuses_a_mistake_in_service_and_one_without_a_reason(owner):
    item = entry(owner)
    with pytest.raises(IntegrityError, match="gear_item_mistake_is_ended"), transaction.atomic():
        GearItem.objects.filter(pk=item.pk).update(is_mistake=True)
    row = EnteredByMistake(item=item, ended_on=owner.company.today(), reason="")
    row.clean_fields = lambda exclude=None: None
    with pytest.raises(IntegrityError, match="gear_enteredbymistake_has_reason"), transaction.atomic():
        append_row(owner.company, Entry(actor=None), row)


# --- recalls by class -------------------------------------------------------------------------------------------------


def test_a_recall_of_ropes_leaves_the_makers_connectors_alone_also_those_registered_later(owner):
    maker = "Quillmere Ropewalk"
    rope = ItemFactory(company=owner.company, rope=True, maker=maker)
    block = ItemFactory(company=owner.company, maker=maker)
    today = owner.company.today()
    record_recall(actor=owner, maker=maker, announced_on=today, source="notice 7", gear_classes=("rope",))
    assert codes(rope) == ["recall-unresolved"]
    assert codes(block) == []
    assert "recall-unresolved" not in codes(entry(owner, maker=maker))


def test_a_recall_without_classes_catches_every_class(owner):
    block = ItemFactory(company=owner.company, maker="Quillmere Ropewalk")
    record_recall(actor=owner, maker="Quillmere Ropewalk", announced_on=owner.company.today(), source="notice 7")
    assert codes(block) == ["recall-unresolved"]


def test_the_form_of_a_recall_asks_for_the_classes(owner, signed_in):
    typed = {"maker": "Quillmere", "announced_on": owner.company.today().isoformat(), "source": "notice 7"}
    response = signed_in(owner).post(reverse("recall_new"), typed)
    assert response.status_code == 422
    assert "Tick the classes the notice is about" in html_of(response)


# --- the length in a rope's name --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "before", "after", "then"),
    [
        ("Bull rope 60 m", 60.0, 42.0, "Bull rope 42 m"),
        ("Line, 14 mm, 45 m", 45.0, 41.5, "Line, 14 mm, 41.5 m"),
        ("Line 45m", 45.0, 41.27, "Line 41.2m"),
        ("Line 150 ft", 45.72, 30.48, "Line 100 ft"),
        ("Line 12 mm", 12.0, 8.0, "Line 12 mm"),
        ("Line 45 m", 50.0, 41.0, "Line 45 m"),
        ("Line 45", 45.0, 41.0, "Line 45"),
        ("Bull rope 60 m", None, 42.0, "Bull rope 60 m"),
        ("R-60 m", 60.0, 42.0, "R-42 m"),
        ("Rope 60,5 m", 60.5, 40.0, "Rope 40,0 m"),
        ("Rope 60,5 m", 60.5, 40.25, "Rope 40,25 m"),
        ("Rope 1,250 m", 1250.0, 40.0, "Rope 1,250 m"),
    ],
)
def test_the_length_in_a_name_follows_the_rope_and_is_never_rounded_up(name, before, after, then):
    assert renamed(name, before, after) == then


def test_cutting_a_rope_renames_it_in_the_same_record(owner):
    rope = ItemFactory(company=owner.company, rope=True, description="Bull rope 60 m", length_m=60.0)
    shorten_item(actor=owner, item=rope, length_after_m=42.0, on=owner.company.today(), description="end cut")
    rope.refresh_from_db()
    assert rope.description == "Bull rope 42 m"
    changes = json.loads(Record.objects.get(kind="gear.item-changed").body)["changes"]
    assert changes == {"length_m": [60.0, 42.0], "description": ["Bull rope 60 m", "Bull rope 42 m"]}
    assert rope.search_words.filter(word="42").exists()


def test_pieces_are_named_by_their_own_length(owner):
    rope = ItemFactory(company=owner.company, rope=True, description="Bull rope 60 m", length_m=60.0)
    (piece,) = divide_item(
        actor=owner, item=rope, pieces={"R-90": 12.0}, on=owner.company.today() - dt.timedelta(days=0), description="x"
    )
    rope.refresh_from_db()
    assert (piece.description, rope.description) == ("Bull rope 12 m", "Bull rope 48 m")


def test_the_new_name_is_shown_before_it_is_saved(owner, signed_in):
    rope = ItemFactory(company=owner.company, rope=True, description="Bull rope 60 m", length_m=60.0)
    page = reverse("item_alter", args=[rope.tag])
    typed = {"kind": "shortened", "altered_on": owner.company.today().isoformat(), "description": "end cut"}
    typed["length_after_m"] = "42"
    browse = signed_in(owner)
    first = browse.post(page, typed)
    html = html_of(first)
    assert first.status_code == 200
    assert "<b>Bull rope 42 m</b>" in html
    rope.refresh_from_db()
    assert rope.length_m == 60.0
    token = html.partition('name="seen" value="')[2].partition('"')[0]
    assert browse.post(page, typed | {"seen": token}).status_code == 302
    rope.refresh_from_db()
    assert (rope.length_m, rope.description) == (42.0, "Bull rope 42 m")
