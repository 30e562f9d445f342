"""The cast of the tests, and clients signed in as them."""

import datetime as dt

import pytest
from django.test import Client

from crewlog.models import Role
from tests.demo_made import made_once
from tests.factories.crewlog import CompanyFactory, MembershipFactory
from tests.remembered import remembered
from tests.width import FULL

TODAY = dt.date(2026, 11, 25)


# Files that take longest: a run on several processors begins with them, so that none is left alone with one at the end.
LONGEST = (
    "trials/test_copies.py",
    "postgresql/test_demo.py",
    "trials/test_sigkill.py",
    "postgresql/test_copies.py",
    "trials/test_writers.py",
    "browser/test_pages_accessible.py",
    "attacks/test_record.py",
    "backup/test_restore.py",
    "browser/test_pages_fit.py",
    "web/test_running_site.py",
    "postgresql/test_on_postgresql.py",
    "browser/test_drafts.py",
    "backup/test_backup.py",
    "properties/test_item_life.py",
)


USES_DATABASE = {"db", "transactional_db", "django_db_reset_sequences"}


def is_for_postgresql(item):
    """Whether a run on PostgreSQL repeats this test: it touches the database, and starts no browser or server."""
    if item.get_closest_marker("browser") or item.get_closest_marker("postgres"):
        return False
    return item.get_closest_marker("django_db") is not None or bool(USES_DATABASE & set(item.fixturenames))


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config, items):
    from django.db import connection

    if connection.vendor == "postgresql":
        config.hook.pytest_deselected(items=[item for item in items if not is_for_postgresql(item)])
        items[:] = [item for item in items if is_for_postgresql(item)]
    places = {name: place for place, name in enumerate(LONGEST)}
    items.sort(key=lambda item: places.get("/".join(item.path.parts[-2:]), len(LONGEST)))


def pytest_report_header(config):
    from django.db import connection

    return f"database: {connection.vendor}"


@pytest.fixture(scope="session", autouse=True)
def files_dir(tmp_path_factory):
    """Photographs and documents of the tests lie in a folder of their own."""
    from django.conf import settings

    settings.FILES_DIR = tmp_path_factory.mktemp("files")
    settings.VAR_DIR = tmp_path_factory.mktemp("var")


@pytest.fixture(scope="session", autouse=True)
def heads_dir(tmp_path_factory):
    """Marks of the tests' chains lie in a folder of their own."""
    from django.conf import settings

    settings.HEADS_DIR = tmp_path_factory.mktemp("heads")


@pytest.fixture(scope="session", autouse=True)
def kinds_of_the_tests():
    """Kinds of record that only tests write."""
    from crewlog.evidence import KINDS, RecordKind

    KINDS.add(RecordKind("gear.noted", key="item", model="gear.gearitem"))
    for name in ("crewlog.test", "test.handed-out", "test.note"):
        KINDS.add(RecordKind(name, about_no_row="a test's own"))


@pytest.fixture(scope="session", autouse=True)
def plans_worked_out_once():
    """By default equal plans are worked out once a process; in full each time, as the pages do."""
    from jobs.mechanics.plan import plan
    from jobs.plans import tolerances

    with pytest.MonkeyPatch.context() as patch:
        if not FULL:
            patch.setattr(tolerances, "solve_plan", remembered(plan))
        yield


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory):
    """The demo as its command leaves it: to be read, or copied."""
    return made_once(tmp_path_factory)


@pytest.fixture
def company(db):
    return CompanyFactory(name="Sallow Reach Tree Works")


def member(company, role, name):
    return MembershipFactory(company=company, role=role, person__name=name, person__company=company)


@pytest.fixture
def owner(company):
    return member(company, Role.OWNER, "Orla Quenby")


@pytest.fixture
def lead(company):
    return member(company, Role.CREW_LEAD, "Jonas Pellaw")


@pytest.fixture
def inspector(company):
    return member(company, Role.INSPECTOR, "Ines Varrow")


@pytest.fixture
def climber(company):
    return member(company, Role.CREW, "Cai Thrush")


@pytest.fixture
def auditor(company):
    return member(company, Role.AUDITOR, "Ade Lorrimer")


@pytest.fixture
def outsider(db):
    return MembershipFactory(company=CompanyFactory(name="Another Firm"), role=Role.OWNER)


@pytest.fixture
def signed_in():
    """A function that gives a client signed in as a member."""

    def sign_in(membership):
        client = Client()
        client.force_login(membership.user, backend="allauth.account.auth_backends.AuthenticationBackend")
        return client

    return sign_in
