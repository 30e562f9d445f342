"""What a register of a thousand items costs: figures are reported, only the count of queries is held."""

import time

import pytest

from gear.models import GearItem, SchemeRule
from gear.selectors import register_items, register_rows, standing_on, store_counts
from gear.services.schemes import change_interval
from tests.factories.gear import ItemFactory
from tests.gear.test_selectors import clone

pytestmark = pytest.mark.django_db
ITEMS = 1_000
PAGE = 50


def timed(work):
    """Milliseconds of the second run; the first warms the caches."""
    work()
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1000


@pytest.fixture
def store(company):
    made = ItemFactory(company=company)
    GearItem.objects.bulk_create(clone(made, f"K-{n:04d}") for n in range(1, ITEMS))
    return company


def test_a_page_of_a_thousand_items(store, owner, django_assert_num_queries, record_property, capsys):
    today = store.today()
    rule = SchemeRule.objects.get(scheme__company=store, scheme__is_active=True, use="pull_at_ground")
    months = iter((6, 9))

    def first_page():
        return register_rows(register_items(company=store, on=today)[:PAGE], on=today)

    with django_assert_num_queries(1):
        assert len(first_page()) == PAGE
    with django_assert_num_queries(1):
        assert store_counts(store, today).everything == ITEMS
    with django_assert_num_queries(2):
        assert len(standing_on(company=store, on=today)) == ITEMS
    figures = {
        "register_page_ms": timed(first_page),
        "store_counts_ms": timed(lambda: store_counts(store, today)),
        "gear_status_ms": timed(lambda: standing_on(company=store, on=today)),
        "change_interval_for_all_ms": timed(lambda: change_interval(actor=owner, rule=rule, months=next(months))),
    }
    with capsys.disabled():
        print()
        for name, value in figures.items():
            record_property(name, round(value, 1))
            print(f"{ITEMS} items, {name}: {value:.1f}")
