"""What could hang in a position, and filling a draft from the store."""

import pytest

from jobs.models import Assignment
from jobs.sheets.candidates import best_filling, candidates, choices_for, classes_for, positions_to_fill
from jobs.sheets.services import fill_from_store
from tests.factories.gear import ItemFactory
from tests.factories.jobs import SheetFactory, StemFactory, passing_sheet
from tests.factories.scenario import checked, codes, edit_item, edit_plan, item_in

SHEAVE = {"sheave_count": 2, "sheave_diameter_mm": 90.0, "rope_diameter_min_mm": 8.0, "rope_diameter_max_mm": 18.0}


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


def empty(sheet, *roles):
    Assignment.objects.filter(sheet=sheet, role__in=roles).delete()


def block(company, tag, limit_n, **traits):
    return ItemFactory(company=company, tag=tag, working_load_limit_n=limit_n, **SHEAVE, **traits)


def by_tag(sheet, role):
    return {choice.item.tag: choice for choice in choices_for(checked(sheet), role)}


def hung(sheet, role):
    return item_in(sheet, role).tag


def test_every_item_of_the_class_is_offered_with_what_speaks_against_it(sheet, company):
    empty(sheet, "moving_block")
    block(company, "W-1", 1_000.0)
    block(company, "Q-1", 12_000.0, quarantined=True)
    offered = by_tag(sheet, "moving_block")
    assert set(offered) == {"B-06", "B-08", "W-1", "Q-1"}
    assert offered["B-08"].suits
    assert [f.code for f in offered["W-1"].refusals] == ["under-rated"]
    assert [f.code for f in offered["Q-1"].refusals] == ["unfit"]
    assert [f.code for f in offered["B-06"].refusals] == ["double-booked"]
    assert all(f.text and f.cure for choice in offered.values() for f in choice.refusals)


def test_retired_items_are_not_offered(sheet, company):
    block(company, "G-1", 12_000.0, retired=True)
    assert "G-1" not in by_tag(sheet, "moving_block")


def test_suitable_items_come_first_and_the_least_over_rated_leads(sheet, company):
    block(company, "T-1", 4_000.0)
    block(company, "W-1", 1_000.0)
    order = [choice.item.tag for choice in choices_for(checked(sheet), "moving_block")]
    assert order[:2] == ["T-1", "B-08"]
    assert order.index("W-1") > order.index("B-08")


def test_choice_carries_the_use_it_would_have(sheet):
    row = checked(sheet).by_role["moving_block"]
    assert by_tag(sheet, "moving_block")["B-08"].use == row.use


def test_item_on_another_sheet_at_that_time_is_offered_as_taken(sheet, company, lead):
    spare = block(company, "T-1", 4_000.0)
    other = passing_other(sheet, spare)
    (refusal,) = by_tag(sheet, "moving_block")["T-1"].refusals
    assert refusal.code == "double-booked"
    assert other.number in refusal.text


def passing_other(sheet, item):
    other = SheetFactory(stem=StemFactory(job=sheet.stem.job, label="99"), day=sheet.day)
    Assignment.objects.create(sheet=other, role="moving_block", item=item)
    return other


def test_item_has_to_be_rated_in_every_corner(sheet, company):
    empty(sheet, "moving_block")
    nominal_n = checked(sheet).by_role["moving_block"].load_n
    block(company, "T-1", nominal_n * 1.001)
    assert by_tag(sheet, "moving_block")["T-1"].suits
    edit_plan(sheet, gust_tolerance_m_s=2.0)
    assert not by_tag(sheet, "moving_block")["T-1"].suits


def test_store_fills_empty_positions_and_the_sheet_passes(sheet, lead):
    roles = ("moving_block", "fixed_block", "cleat", "main_line", "tackle_rope", "hitch_cord", "stem_connector")
    empty(sheet, *roles)
    assert set(fill_from_store(actor=lead, sheet=sheet)) == set(roles)
    assert codes(sheet) == set()


def test_filling_takes_the_least_over_rated_that_suits(sheet, company, lead):
    empty(sheet, "moving_block")
    block(company, "W-1", 1_000.0)
    block(company, "T-1", 4_000.0)
    block(company, "T-2", 9_000.0)
    assert fill_from_store(actor=lead, sheet=sheet) == ["moving_block"]
    assert hung(sheet, "moving_block") == "T-1"


def test_filling_takes_the_best_set_and_no_item_twice(sheet, company, lead):
    """Both blocks would be the one tight item's; together the set with the least spare strength is chosen."""
    empty(sheet, "moving_block", "fixed_block")
    block(company, "T-1", 4_000.0)
    block(company, "T-2", 5_000.0)
    filled = best_filling(checked(sheet))
    assert {c.item.tag for c in filled.values()} == {"T-1", "T-2"}
    fill_from_store(actor=lead, sheet=sheet)
    assert {hung(sheet, "moving_block"), hung(sheet, "fixed_block")} == {"T-1", "T-2"}
    assert codes(sheet) == set()


def test_refused_item_is_replaced(sheet, company, lead):
    block(company, "T-1", 4_000.0)
    edit_item(sheet, "moving_block", working_load_limit_n=1_000.0)
    assert "moving_block" in fill_from_store(actor=lead, sheet=sheet)
    assert codes(sheet) == set()


def test_position_stays_empty_when_nothing_suits(sheet, company, lead):
    edit_item(sheet, "cleat", working_load_limit_n=10.0)
    assert fill_from_store(actor=lead, sheet=sheet) == []
    assert codes(sheet) == {"under-rated:cleat"}


def test_sling_whose_use_nobody_said_is_left_to_people(sheet, lead):
    empty(sheet, "stem_sling")
    assert "stem_sling" not in positions_to_fill(checked(sheet))
    assert fill_from_store(actor=lead, sheet=sheet) == []
    assert "position-empty:stem_sling" in codes(sheet)


def test_sling_whose_use_is_said_is_replaced_and_used_alike(sheet, company, lead):
    edit_item(sheet, "stem_sling", working_load_limit_n=100.0)
    ItemFactory(company=company, sling=True, tag="S-90", vertical_rating_n=30_000.0)
    assert "stem_sling" in fill_from_store(actor=lead, sheet=sheet)
    row = Assignment.objects.get(sheet=sheet, role="stem_sling")
    assert (row.item.tag, row.configuration, row.choke_angle_deg) == ("S-90", "choker", 130.0)


def test_nothing_is_chosen_while_the_loads_are_not_known(sheet, lead):
    empty(sheet, "moving_block")
    edit_plan(sheet, gust_m_s=None)
    assert best_filling(checked(sheet)) == {}
    assert fill_from_store(actor=lead, sheet=sheet) == []


def test_fit_items_are_found_however_many_unfit_come_before(sheet, company):
    for n in range(25):
        ItemFactory(company=company, tag=f"A-{n:02d}", quarantined=True)
    tags = [item.tag for item in candidates(checked(sheet), "moving_block")]
    assert tags[:2] == ["B-06", "B-08"]


def test_queries_stay_the_same_for_twenty_and_two_hundred_items(sheet, company, django_assert_num_queries):
    def stock(first, count):
        for n in range(first, first + count):
            ItemFactory(company=company, tag=f"Z-{n:03d}", evidence=False, pre_service_on=company.today(), **SHEAVE)

    stock(0, 20)
    check = checked(sheet)
    with django_assert_num_queries(3):
        assert len(choices_for(check, "moving_block")) >= 20
    stock(20, 180)
    with django_assert_num_queries(3):
        assert len(choices_for(check, "moving_block")) >= 20


def test_classes_of_a_position():
    assert set(classes_for("redirect_block_2")) == {"block", "pulley", "ring"}
    assert classes_for("anchor") == []
    assert classes_for("nowhere") == []
