"""One server for the files here that make databases of their own on it, and the demo to copy onto it."""

import itertools

import pytest

from tests.backup.conftest import backup, own_databases, site  # noqa: F401 - fixtures
from tests.postgresql.server import make_database, postgresql_server


@pytest.fixture(scope="session")
def own_server():
    with postgresql_server() as address:
        yield address


@pytest.fixture(scope="session")
def numbers():
    return itertools.count(1)


@pytest.fixture
def empty_url(own_server, numbers):
    """Address of a new database."""
    return make_database(own_server, f"copy{next(numbers)}")
