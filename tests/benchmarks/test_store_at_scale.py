"""The store's lists at a thousand items and at many more: ratios of one run, never seconds.

By default the larger store has five thousand items; `CREWLOG_BENCHMARKS=full` takes a hundred thousand items and a
million inspections.
"""

import time
from typing import Any

import pytest
from django.contrib.admin import AdminSite, ModelAdmin
from django.db import connection, transaction
from django.test import Client, RequestFactory, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import include, path

from crewlog.models import Role
from gear.models import GearItem
from gear.register.pages import standing_on
from gear.register.views import store
from tests.benchmarks.big_store import IS_FULL, fill_store
from tests.conftest import member
from tests.factories.crewlog import CompanyFactory

pytestmark = pytest.mark.django_db
SMALL, LARGE = 1_000, 100_000 if IS_FULL else 5_000
INSPECTIONS_EACH = 10 if IS_FULL else 1
ROUNDS = 15
PAGES = {
    "register": "/store/",
    "register, page 3": "/store/?page=3",
    "search by tag": "/store/?q=k-00001",
    "search by a serial": "/store/?q=00007919",
    "search by a rare maker": "/store/?q=oddling",
    "search by words of every item": "/store/?q=double+block",
    "due list": "/store/due/?days=30",
}
MOST_TIMES_THE_SMALL_ONE = 1.5
MOST_TIMES_THE_ADMIN = 0.5 if IS_FULL else 1.0  # in a small store the framework's own counting costs it little


@pytest.fixture(scope="module")
def stores(django_db_setup, django_db_blocker):
    """An owner's client of a small and of a large store in one database; taken away afterwards."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield [client_of_store(items) for items in (SMALL, LARGE)]
        transaction.set_rollback(True)


def client_of_store(items):
    company = CompanyFactory(name=f"Store of {items}")
    owner = member(company, Role.OWNER, f"Owner of {items}")
    fill_store(company, items=items, inspections_each=INSPECTIONS_EACH)
    client: Any = Client()
    client.force_login(owner.user, backend="allauth.account.auth_backends.AuthenticationBackend")
    client.company, client.member = company, owner
    return client


def fastest(*works):
    """The least CPU time of each of some pieces of work [s], taken in turns so that all meet the same machine."""
    best = [float("inf")] * len(works)
    for _ in range(ROUNDS):
        for n, work in enumerate(works):
            start = time.process_time()
            work()
            best[n] = min(best[n], time.process_time() - start)
    return best


@pytest.mark.parametrize("page", PAGES)
def test_a_page_costs_no_more_in_a_large_store(stores, page, capsys):
    address = PAGES[page]
    counted = []
    for client in stores:
        with CaptureQueriesContext(connection) as queries:
            assert client.get(address).status_code == 200
        counted.append(len(queries))
    small, large = fastest(*(lambda client=client: client.get(address) for client in stores))
    with capsys.disabled():
        print(
            f"\n{page}: {counted[0]} and {counted[1]} queries, {small * 1000:.1f} ms at {SMALL} items, "
            f"{large * 1000:.1f} ms at {LARGE}, ratio {large / small:.2f}"
        )
    assert counted[1] <= counted[0] + 1  # a broad search says that it is one, and leaves its counts out
    assert large / small <= MOST_TIMES_THE_SMALL_ONE


class Everyone:
    """Whom the stock list of the framework's admin takes for a superuser."""

    pk = 1
    is_active = is_staff = is_superuser = is_authenticated = True

    def has_perm(self, *_):
        return True

    has_module_perms = has_usable_password = has_perm

    def get_username(self):
        return "everyone"


class StockList(ModelAdmin):
    list_display = ("tag", "description", "working_load_limit_n", "next_due_on", "quarantined_because", "storage_place")
    list_filter = ("gear_class",)
    search_fields = ("tag", "serial", "description", "maker")
    list_per_page = 50


site = AdminSite()
site.register(GearItem, StockList)
urlpatterns = [path("admin/", site.urls), path("", include("crewlog.urls"))]


def test_the_register_costs_less_than_the_frameworks_stock_list(stores, settings, capsys):
    """Both without the middleware: the view and its template."""
    _, client = stores
    request: Any = RequestFactory().get("/admin/gear/gearitem/")
    request.user = Everyone()
    asked: Any = RequestFactory().get("/store/")
    asked.user, asked.member, asked.htmx, asked.theme = client.member.user, client.member, False, "device"

    def register():
        shown: Any = store(asked)
        assert b"K-0" in shown.content

    def stock_list():
        response: Any = site.get_model_admin(GearItem).changelist_view(request)
        response.render()
        assert b"K-0" in response.content

    # One change of settings around all rounds: each change forgets the compiled templates of both.
    with override_settings(INSTALLED_APPS=[*settings.INSTALLED_APPS, "django.contrib.admin"], ROOT_URLCONF=__name__):
        ours, stock = fastest(register, stock_list)
    ratio = ours / stock
    with capsys.disabled():
        print(f"\nregister {ours * 1000:.1f} ms, stock list {stock * 1000:.1f} ms, ratio {ratio:.2f}")
    assert ratio <= MOST_TIMES_THE_ADMIN


def test_fitness_of_every_item_costs_in_line_with_their_number(stores, capsys):
    days = [client.company.today() for client in stores]
    works = [lambda c=c, d=d: standing_on(company=c.company, on=d) for c, d in zip(stores, days, strict=True)]
    start = time.process_time()
    assert len(works[1]()) == LARGE + 5
    once = time.process_time() - start
    small, large = (min(took(work) for _ in range(3)) for work in works)
    with capsys.disabled():
        print(f"\nfitness of {LARGE} items: {once:.2f} s the first time; {large / small:.1f} times that of {SMALL}")
    assert large / small <= MOST_TIMES_THE_SMALL_ONE * LARGE / SMALL


def took(work):
    start = time.process_time()
    work()
    return time.process_time() - start
