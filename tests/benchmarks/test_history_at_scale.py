"""Pages that read the records, in a company of few records and in one of many: the same work.

By default 500 and 5,000 records; `CREWLOG_BENCHMARKS=full` takes 2,000 and 20,000. Work is what SQLite's machine
executes, which no other load on the computer changes; times are printed. Lists of the store are in
`test_store_at_scale`.
"""

from contextlib import contextmanager
from functools import partial

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from crewlog.evidence import Entry, append_all
from crewlog.models import Record, Role
from gear.events.services import record_event
from gear.models import GearItem
from gear.register.services import change_item
from tests.benchmarks.big_store import IS_FULL, fill_store
from tests.benchmarks.test_store_at_scale import fastest
from tests.conftest import member
from tests.factories.crewlog import CompanyFactory
from tests.factories.gear import ItemFactory, examined
from tests.factories.jobs import passing_sheet

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="SQLite alone counts what it executes"),
]
FEW, MANY = (2_000, 20_000) if IS_FULL else (500, 5_000)
MOST_TIMES = {"today": 5.0}  # it counts what falls due in a store of ten times the items: index entries
STEP = 10  # of SQLite's machine, between two looks


@pytest.fixture(scope="module")
def firms(django_db_setup, django_db_blocker):
    """An owner's client and the pages of a company of few and of one of many records; taken away afterwards."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield [client_of_firm(records) for records in (FEW, MANY)]
        transaction.set_rollback(True)


def client_of_firm(records):
    """A client of its owner and the addresses of pages by name: of one item and one job, the same in each company,
    among items and records of others.
    """
    company = CompanyFactory(name=f"Firm of {records}")
    owner = member(company, Role.OWNER, f"Owner of {records}")
    fill_store(company, items=records // 20, inspections_each=8)
    others = list(GearItem.objects.for_company(company).values_list("pk", flat=True))
    item = ItemFactory(company=company, tag="A-001")
    examined(item)
    change_item(actor=owner, item=item, storage_place="Cage 4")
    record_event(actor=owner, item=item, kind="drop", happened_on=company.today(), description="Fell")
    sheet = passing_sheet(company)
    left = records - Record.objects.for_company(company).count()
    changes = {"notes": ["", "Cleaned"]}
    bodies = [{"item": others[n % len(others)], "changes": changes} for n in range(left)]
    append_all(company, "gear.item-changed", Entry(actor=owner.person), bodies=bodies)
    client = Client()
    client.force_login(owner.user, backend="allauth.account.auth_backends.AuthenticationBackend")
    lead = sheet.stem.job.lead_id
    pages = {
        "item": reverse("item", args=[item.tag]),
        "item, all of it": f"{reverse('item', args=[item.tag])}?all",
        "item, changed": reverse("item_edit", args=[item.tag]),
        "person": reverse("person", args=[lead]),
        "person, to be removed": reverse("person_remove", args=[lead]),
        "crew": reverse("crew"),
        "holds": reverse("holds"),
        "job": reverse("job", args=[sheet.stem.job_id]),
        "stem": reverse("stem", args=[sheet.stem_id]),
        "plan": reverse("plan", args=[sheet.stem_id]),
        "load path": reverse("assign", args=[sheet.stem_id]),
        "sheet": reverse("sheet", args=[sheet.pk]),
        "today": reverse("today"),
        "records": reverse("records"),
        "reports": reverse("reports"),
    }
    return client, pages


PAGES = (
    "item", "item, all of it", "item, changed", "person", "person, to be removed", "crew", "holds", "job", "stem",
    "plan", "load path", "sheet", "today", "records", "reports",
)  # fmt: skip


@contextmanager
def steps_counted():
    """How many times STEP instructions SQLite's machine executed meanwhile."""
    counted = [0]

    def look():
        counted[0] += 1
        return 0

    connection.connection.set_progress_handler(look, STEP)
    try:
        yield counted
    finally:
        connection.connection.set_progress_handler(None, STEP)


@pytest.mark.parametrize("page", PAGES)
def test_a_page_costs_no_more_where_the_company_has_many_records(firms, page, capsys):
    queries, steps = [], []
    for client, pages in firms:
        address = pages[page]
        assert client.get(address).status_code == 200
        with CaptureQueriesContext(connection) as captured:
            client.get(address)
        queries.append(len(captured))
        with steps_counted() as counted:
            client.get(address)
        steps.append(counted[0])
    works = [partial(client.get, pages[page]) for client, pages in firms]
    few, many = fastest(*works)
    with capsys.disabled():
        print(
            f"\n{page}: {queries[0]} and {queries[1]} queries, {steps[0] * STEP} and {steps[1] * STEP} steps, "
            f"{few * 1000:.1f} ms at {FEW} records, {many * 1000:.1f} ms at {MANY}, ratio {many / few:.2f}"
        )
    assert queries[0] == queries[1]
    assert steps[1] <= MOST_TIMES.get(page, 1.1) * steps[0]
