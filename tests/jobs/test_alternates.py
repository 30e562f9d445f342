"""Alternates are held to every rule of their position; the check asks the database no more for many than for few."""

import pytest

from gear.models import GearItem
from jobs.models import Assignment, Redirect
from jobs.sheets.check import check_sheet
from tests.factories.jobs import AnchorFactory, passing_sheet
from tests.factories.scenario import REDIRECT, checked, codes, fresh, item_in


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


def alternate(sheet, role, **changes):
    row = hang_rank_one(sheet, role, **changes)
    assert row.rank == 1
    return row.item


def hang_rank_one(sheet, role, **changes):
    held = Assignment.objects.get(sheet=sheet, role=role, rank=0)
    held_use = {n: getattr(held, n) for n in ("configuration", "basket_half_angle_deg", "choke_angle_deg", "loaded")}
    item = GearItem.objects.get(pk=held.item_id)
    item.pk, item.tag = None, "X-01"
    for name, value in changes.items():
        setattr(item, name, value)
    item.save(force_insert=True)
    return Assignment.objects.create(sheet=sheet, role=role, rank=1, item=item, **held_use)


def test_alternate_as_good_as_the_item_passes(sheet):
    for role in ("moving_block",):
        alternate(sheet, role)
    assert codes(sheet) == set()
    assert [a.item.tag for a in checked(sheet).by_role["moving_block"].alternates] == ["X-01"]


@pytest.mark.parametrize(
    ("role", "changes", "code"),
    [
        ("moving_block", {"working_load_limit_n": 2_000.0}, "under-rated:moving_block"),
        ("moving_block", {"rope_diameter_max_mm": 11.0}, "wrong-diameter:moving_block"),
        ("moving_block", {"sheave_diameter_mm": 30.0}, "sheave-too-small:moving_block"),
        ("stem_connector", {"gate": "plain"}, "connector-gate:stem_connector"),
        ("main_line", {"length_m": 20.0}, "too-short:main_line"),
        ("main_line", {"breaking_strength_n": 9_000.0}, "under-rated:main_line"),
        ("main_line", {"reference_elongation_ratio": None, "reference_load_ratio": None}, "unknown:rope_stretch"),
        ("tackle_rope", {"diameter_mm": 19.0}, "wrong-diameter:tackle_rope"),
    ],
)
def test_alternate_is_held_to_every_rule_of_its_position(sheet, role, changes, code):
    alternate(sheet, role, **changes)
    found = [f for f in checked(sheet).refusals if f.full_code == code]
    assert found
    assert {f.item for f in checked(sheet).refusals} == {"X-01"}


def test_queries_do_not_grow_with_positions(sheet, django_assert_num_queries, django_assert_max_num_queries):
    few = fresh(sheet)
    with django_assert_max_num_queries(20) as asked:
        check_sheet(few)
    count = len(asked.captured_queries)
    Redirect.objects.create(plan=sheet.stem.plan, **REDIRECT, kind="sheave", friction_ratio=0.92)
    anchor = AnchorFactory(job=sheet.stem.job)
    alternate(sheet, "moving_block")
    item = item_in(sheet, "moving_block")
    for role in ("redirect_block_1", "redirect_connector_1", "redirect_sling_1"):
        Assignment.objects.create(sheet=sheet, role=role, item=item)
    Assignment.objects.create(sheet=sheet, role="redirect_anchor_1", anchor=anchor)
    many = fresh(sheet)
    with django_assert_num_queries(count):
        check_sheet(many)
