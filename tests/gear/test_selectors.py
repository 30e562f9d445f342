"""What the store's pages read."""

import datetime as dt
import io
import re

import pytest
from django.core.management import call_command
from django.db import connection

from gear.alterations.services import divide_item
from gear.events.services import record_event
from gear.examinations.services import Verdict, correct_inspection, record_inspection
from gear.fitness.dates import NEVER
from gear.fitness.refresh import refresh_items
from gear.fitness.statuses import STATUSES
from gear.models import GearItem
from gear.register.address import item_by_tag
from gear.register.history_page import item_history
from gear.register.pages import due_items, places_of, register_items, register_rows, standing_on
from gear.register.search_index import found_keys
from gear.register.services import add_item, change_item
from gear.register.store_list import StoreCounts, StoreFilter, StoreList, store_counts
from gear.state_check.check import check_store
from tests.factories.crewlog import CompanyFactory
from tests.factories.gear import ItemFactory, examiner, good_examination

pytestmark = pytest.mark.django_db

STORIES = {
    "quarantined": ("unfit", "Dropped"),
    "pending": ("unfit", "Contaminated"),
    "never_examined": ("unfit", "Not examined yet"),
    "illegible": ("unfit", "Marking illegible"),
    "unrated": ("unfit", "No rating"),
    "overdue": ("overdue", "35"),
    "remark_overdue": ("overdue", "Remark 5"),
    "due_soon": ("due", "Due in 15"),
    "retired": ("retired", "Retired"),
}


def register(company, **narrow):
    today = company.today()
    return register_rows(register_items(company=company, on=today, narrow=StoreFilter(**narrow)), on=today)


@pytest.mark.parametrize(("story", "says"), STORIES.items())
def test_the_register_says_the_reason_rather_than_the_state(company, story, says):
    ItemFactory(company=company, **{story: True})
    (row,) = register(company)
    status, words = says
    assert row.status == status
    assert row.status_words.replace("\N{NO-BREAK SPACE}", " ").startswith(words)


def test_an_item_without_fault_is_in_service(company):
    ItemFactory(company=company)
    (row,) = register(company)
    assert (row.status, row.status_words, row.rating_kind, row.rating_n) == (
        "in_service",
        "In service",
        "WLL",
        12_000.0,
    )


def test_due_today_is_said_as_such(company):
    item = ItemFactory(company=company)
    rows = register_items(company=company, on=item.next_due_on)
    assert register_rows(rows, on=item.next_due_on)[0].status_words == "Due today"


def test_what_needs_someone_comes_first(company):
    for story in ("retired", "due_soon", "overdue", "quarantined"):
        ItemFactory(company=company, **{story: True})
    ItemFactory(company=company)
    assert [row.status for row in register(company)] == list(STATUSES)


def test_counts_agree_with_the_register(company):
    for story in ("retired", "due_soon", "overdue", "quarantined", "illegible"):
        ItemFactory(company=company, **{story: True})
    ItemFactory(company=company)
    counts = store_counts(company, company.today())
    assert counts == StoreCounts(unfit=2, overdue=1, due=1, in_service=1, retired=1)
    assert counts.everything == 6
    for status in STATUSES:
        assert len(register(company, status=status)) == getattr(counts, status)


def test_another_companys_gear_shows_nowhere(company):
    ItemFactory(tag="B-99", overdue=True)
    today = company.today()
    assert register(company) == []
    assert due_items(company, today) == []
    assert store_counts(company, today).everything == 0
    assert item_by_tag(company, "B-99") is None
    assert standing_on(company=company, on=today) == []


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("R-07", ["R-07"]),
        ("r-0", ["R-07", "R-08"]),
        ("-07", []),
        ("quillmere", ["R-07"]),
        ("line 45", ["R-07", "R-08"]),
        ("line quillmere", ["R-07"]),
        ("SN-12", ["R-08"]),
        ("van 1", ["R-07"]),
        ("%", []),
        ("nothing", []),
    ],
)
def test_search_takes_tags_from_the_start_and_words_from_anywhere(company, text, found):
    ItemFactory(company=company, rope=True, tag="R-07", maker="Quillmere Ropewalk", storage_place="Van 1")
    ItemFactory(company=company, rope=True, tag="R-08", serial="SN-1234")
    ItemFactory(company=company, tag="B-06", description="Block")
    assert sorted(row.tag for row in register(company, text=text)) == found


def test_the_register_is_narrowed_by_class_place_and_due_date(company):
    ItemFactory(company=company, tag="B-06", storage_place="Cage")
    ItemFactory(company=company, tag="R-07", rope=True, storage_place="Van 1", due_soon=True)
    assert [r.tag for r in register(company, gear_class="rope")] == ["R-07"]
    assert [r.tag for r in register(company, place="Cage")] == ["B-06"]
    assert [r.tag for r in register(company, due_within_days=30)] == ["R-07"]
    assert places_of(company) == ["Cage", "Van 1"]


def test_due_items_come_earliest_first_and_say_what_falls_due(company):
    ItemFactory(company=company, tag="A", due_soon=True)
    ItemFactory(company=company, tag="B", overdue=True)
    ItemFactory(company=company, tag="C", remark_overdue=True)
    ItemFactory(company=company, tag="D")
    ItemFactory(company=company, tag="E", retired=True)
    soon = company.today() + dt.timedelta(days=10)
    ItemFactory(
        company=company, tag="F", life_from_maker=True, life_years_from_manufacture=1,
        manufactured_on=soon.replace(year=soon.year - 1), first_used_on=None,
    )  # fmt: skip
    rows = due_items(company, company.today())
    assert [row.tag for row in rows] == ["B", "C", "F", "A"]
    assert [row.what for row in rows] == ["Inspection", "Remark", "Life", "Inspection"]
    assert [row.mark for row in rows] == ["over", "over", "due", "due"]
    assert [row.tag for row in due_items(company, company.today(), limit=2)] == ["B", "C"]


@pytest.mark.parametrize("typed", ["B-06", " b-06 ", "https://crewlog.example/gear/B-06/"])
def test_a_tag_is_found_however_it_was_typed_or_scanned(company, typed):
    item = ItemFactory(company=company, tag="B-06")
    assert item_by_tag(company, typed) == item


def test_an_empty_tag_finds_nothing(company):
    ItemFactory(company=company)
    assert item_by_tag(company, "  ") is None


def test_history_shows_every_record_newest_first_with_who_and_how(owner, inspector):
    examiner(inspector)
    item = add_item(
        actor=owner, tag="B-06", gear_class="block", description="Block", working_load_limit_n=12_000.0,
        pulls_at_ground=True,
    )  # fmt: skip
    today = item.company.today()
    long_ago = today - dt.timedelta(days=10)
    record_event(
        actor=owner, item=item, kind="drop", happened_on=long_ago, description="from the cage", from_paper=True
    )
    record_inspection(actor=inspector, item=item, examination=good_examination(item), verdict=Verdict("fit"))
    exam, registered, drop = item_history(item)
    assert (exam.title, exam.who) == ("Thorough examination: fit", "Ines Varrow")
    assert exam.lines == ("7 of 7 points good.",)
    assert (registered.title, registered.who) == ("Registered", "Orla Quenby")
    assert (drop.title, drop.is_late, drop.from_paper, drop.is_grave) == ("Drop from height", True, True, True)


def test_a_corrected_inspection_and_its_correction_name_each_other(inspector):
    examiner(inspector)
    item = ItemFactory(company=inspector.company, evidence=False)
    wrong = record_inspection(actor=inspector, item=item, examination=good_examination(item), verdict=Verdict("fit"))
    right = correct_inspection(
        actor=inspector, inspection=wrong, because="wrong tag", examination=good_examination(item),
        verdict=Verdict("fit"),
    )  # fmt: skip
    later, earlier, _ = item_history(item)
    assert later.corrects == earlier.sequence == wrong.record.sequence
    assert earlier.corrected_by == right.record.sequence
    assert "Corrected because: wrong tag." in later.lines


def test_a_piece_carries_the_history_of_what_it_was_cut_from(owner):
    rope = ItemFactory(company=owner.company, rope=True, tag="R-07")
    day = rope.company.today()
    (piece,) = divide_item(actor=owner, item=rope, pieces={"R-21": 10.0}, on=day, description="sling")
    inherited = [row for row in item_history(piece) if row.of_tag == "R-07"]
    assert "Thorough examination: fit" in [row.title for row in inherited]
    assert not [row for row in item_history(rope) if row.of_tag]


def test_history_names_only_this_item_though_numbers_begin_alike(owner):
    """Item 1 and item 11 stand beside one another in the bodies of records."""
    items = [
        add_item(
            actor=owner,
            tag=f"B-{n}",
            gear_class="block",
            description='", "item":1, "',
            pulls_at_ground=True,
            notes=f'"item":{n},',
        )
        for n in range(12)
    ]
    for item in items:
        assert [row.title for row in item_history(item)] == ["Registered"]


@pytest.mark.parametrize("count", [20, 200])
def test_the_register_costs_the_same_queries_however_many_items(company, count, django_assert_num_queries):
    made = ItemFactory(company=company)
    clones = [clone(made, f"K-{n:03d}") for n in range(count - 1)]
    GearItem.objects.bulk_create(clones)
    today = company.today()
    with django_assert_num_queries(1):
        assert len(register(company)) == count
    with django_assert_num_queries(6):
        assert store_counts(company, today).everything == count
    with django_assert_num_queries(7):
        assert len(StoreList(company, today)[0:50]) == min(count, 50)
    with django_assert_num_queries(1):
        due_items(company, today, within_days=1000)
    with django_assert_num_queries(3):
        assert len(standing_on(company=company, on=today)) == count


def clone(item, tag):
    columns = {f.attname: getattr(item, f.attname) for f in GearItem._meta.concrete_fields if not f.primary_key}
    return GearItem(**(columns | {"tag": tag}))


def test_a_broad_search_ends_early_and_a_rare_word_is_read_first(company, django_assert_num_queries):
    for n in range(12):
        rare = "Oddling" if n == 7 else "Northwold"
        ItemFactory(company=company, tag=f"K-{n:03d}", description="Double block", maker=rare)
    every = GearItem.objects.for_company(company)
    with django_assert_num_queries(3):
        assert len(found_keys(company, every, "double block", 5)) == 5
    for text in ("double oddling", "oddling double", "oddling blo k-007"):
        found = found_keys(company, every, text, 5)
        assert [item.tag for item in every.filter(pk__in=found)] == ["K-007"], text
    assert found_keys(company, every, "northwold oddling", 5) == []
    assert found_keys(company, every.of_class("rope"), "double", 5) == []
    assert len(found_keys(company, every, " ", 5)) == 5
    assert found_keys(CompanyFactory(), every, "double", 5) == []


def test_a_search_finds_starts_of_words_and_ends_of_numbers(company):
    ItemFactory(company=company, tag="R-07", description="Bull rope, 16 mm", maker="Northwold", serial="AX 120-4417")
    ItemFactory(company=company, tag="B-01", storage_place="Van 1")
    for text in ("r-07", "R", "07", "bull 16", "north", "ax120-4417", "417", "4417 rope"):
        assert [row.tag for row in register(company, text=text)] == ["R-07"], text
    for text in ("ull", "r-07 van", "orthwold", "%", "_", "12%"):
        assert register(company, text=text) == [], text
    assert [row.tag for row in register(company, text="VAN 1")] == ["B-01"]


def test_a_changed_item_is_found_by_its_new_words_only(owner):
    item = add_item(actor=owner, tag="R-07", gear_class="rope", description="Bull rope", pulls_at_ground=True)
    change_item(actor=owner, item=item, description="Guy line")
    assert register(owner.company, text="bull") == []
    assert [row.tag for row in register(owner.company, text="guy")] == ["R-07"]


def test_a_search_stays_within_the_company(company, outsider):
    ItemFactory(company=outsider.company, tag="R-07")
    assert register(company, text="r-07") == []


def test_a_broad_search_shows_a_thousand_by_tag_and_counts_no_further(company, monkeypatch):
    monkeypatch.setattr("gear.register.store_list.MOST_COUNTED", 3)
    for n in range(5):
        ItemFactory(company=company, tag=f"K-{5 - n}", overdue=n % 2 == 0)
    found = StoreList(company, company.today(), StoreFilter(text="block"))
    assert found.is_broad
    tags = [item.tag for item in found[0:3]]
    assert (found.count(), tags) == (3, sorted(tags))
    by_state = {
        state: StoreList(company, company.today(), StoreFilter(text="block", status=state)) for state in STATUSES
    }
    assert sorted(item.tag for listed in by_state.values() for item in listed[0 : listed.count()]) == tags
    assert by_state["in_service"].count() + by_state["overdue"].count() == 3


def test_a_set_turns_with_its_part_in_every_list(owner):
    tackle = ItemFactory(company=owner.company, gear_class="tackle_set", parts_expected=2, working_load_limit_n=None)
    part, other = (ItemFactory(company=owner.company, assembly=tackle) for _ in range(2))
    refresh_items(owner.company, [tackle])
    today = owner.company.today()
    assert store_counts(owner.company, today).in_service == 3
    record_event(actor=owner, item=part, kind="drop", happened_on=today, description="from the cage")
    assert store_counts(owner.company, today).unfit == 2
    lapsed = store_counts(owner.company, other.next_due_on + dt.timedelta(days=1))
    assert (lapsed.unfit, lapsed.overdue) == (2, 1)


def test_items_registered_before_turning_days_were_kept_get_them(company):
    item = ItemFactory(company=company, tag="R-07", overdue=True)
    kept = [item.falls_due_on, item.overdue_from, item.unfit_from]
    GearItem.objects.update(falls_due_on=NEVER, overdue_from=NEVER, unfit_from=NEVER)
    call_command("refresh_status_dates")
    item.refresh_from_db()
    assert [item.falls_due_on, item.overdue_from, item.unfit_from] == kept


@pytest.mark.skipif(connection.vendor != "sqlite", reason="reads SQLite's plan")
@pytest.mark.parametrize(
    ("rows", "index"),
    [
        (
            lambda rows, day: rows.in_service().of_class("block", "rope").fit_on(day).order_by(),
            "gear_item_live_by_class",
        ),
        (lambda rows, day: rows.in_service().unfit_on(day).order_by(), "gear_item_live_by_overdue"),
        (lambda rows, day: rows.needing("overdue", day), "gear_item_live_by_overdue"),
        (lambda rows, day: rows.needing("unfit", day), "gear_item_live_by_unfit"),
    ],
    ids=["fit-of-classes", "not-fit", "overdue", "unfit"],
)
def test_what_is_fit_on_a_day_is_read_along_an_index(company, rows, index):
    plan = rows(GearItem.objects.for_company(company), company.today()).explain()
    assert re.search(rf"USING (COVERING )?INDEX {index} \(company_id=\? AND .*_from[<>]\?\)", plan), plan


def test_days_that_are_not_the_rules_are_put_right_by_the_command_and_found_by_verification(company):
    item = ItemFactory(company=company, tag="R-07")
    kept = item.overdue_from
    assert kept < NEVER
    GearItem.objects.filter(pk=item.pk).update(overdue_from=NEVER)
    assert [fault for fault in check_store(company) if "overdue from" in fault]
    out = io.StringIO()
    for said in ("1 items had other days.", "Every item had its days."):
        out.truncate(0)
        call_command("refresh_status_dates", stdout=out)
        assert said in out.getvalue()
    item.refresh_from_db()
    assert item.overdue_from == kept
    assert not [fault for fault in check_store(company) if "overdue from" in fault]
