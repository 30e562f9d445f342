"""A chain of four records."""

import pytest

from crewlog.evidence import Entry, append
from tests.evidence.tampering import take_guards_away
from tests.factories.crewlog import PersonFactory


@pytest.fixture
def chain(company):
    person = PersonFactory(company=company, name="Mab Ostler")
    for n in range(4):
        append(company, "test.note", Entry(actor=person), body={"n": n}, people=[person])
    return company


@pytest.fixture
def unguarded(db):
    take_guards_away("crewlog_record")
