"""One server for the files here that make databases of their own on it."""

import pytest

from tests.postgresql.server import postgresql_server


@pytest.fixture(scope="session")
def own_server():
    with postgresql_server() as address:
        yield address
