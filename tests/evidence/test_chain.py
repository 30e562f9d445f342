"""The chain of records: what it holds and what it refuses to take."""

import datetime as dt
import json

import pytest
import time_machine
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.evidence import FIRST, Entry, append, append_all, canonical_json, chain_head, matches_record, verify
from crewlog.models import Record
from gear.register.services import count_uses
from tests.factories.crewlog import CompanyFactory, PersonFactory
from tests.factories.gear import ItemFactory

pytestmark = pytest.mark.django_db


def test_each_record_carries_the_hash_of_the_one_before(chain):
    rows = list(Record.objects.for_company(chain))
    assert rows[0].previous_hash == FIRST
    assert [r.previous_hash for r in rows[1:]] == [r.hash for r in rows[:-1]]
    assert chain_head(chain) == rows[-1].hash


def test_companies_have_chains_of_their_own(chain):
    other = CompanyFactory()
    first = append(other, "test.note", Entry(actor=None), body={})
    assert (first.sequence, first.previous_hash) == (1, FIRST)


def test_a_record_from_the_future_is_refused(company):
    ahead = timezone.now() + dt.timedelta(hours=1)
    with pytest.raises(RuleBroken, match="future"):
        append(company, "test.note", Entry(actor=None, happened_at=ahead), body={})


def test_a_record_entered_eight_days_after_the_fact_is_late(company):
    said = timezone.now() - dt.timedelta(days=8, minutes=1)
    assert append(company, "test.note", Entry(actor=None, happened_at=said), body={}).is_late
    assert not append(company, "test.note", Entry(actor=None), body={}).is_late


def test_a_clock_that_was_set_back_does_not_take_the_time_of_entry_back(chain):
    last = Record.objects.for_company(chain).last()
    with time_machine.travel(last.entered_at - dt.timedelta(days=3), tick=False):
        row = append(chain, "test.note", Entry(actor=None), body={})
        (other,) = append_all(chain, "test.note", Entry(actor=None), bodies=[{}])
    assert row.entered_at == other.entered_at == last.entered_at
    assert verify(chain).holds


def test_the_name_of_a_person_stays_out_of_their_records(chain):
    person = PersonFactory(company=chain, name="Gone Soon")
    record = append(chain, "test.note", Entry(actor=person), body={})
    assert str(person.pk) in record.names
    assert "Gone Soon" not in record.names


def test_a_number_that_is_not_finite_never_enters_the_chain():
    with pytest.raises(ValueError, match="not JSON compliant"):
        canonical_json({"tension_n": float("nan")})


@pytest.mark.parametrize(("younger", "same"), [(None, True), (5000.0, False)])
def test_a_column_younger_than_its_record_must_hold_its_default(owner, younger, same):
    row = count_uses(actor=owner, item=ItemFactory(company=owner.company), on=owner.company.today(), description="job")
    body = json.loads(row.record.body)
    del body["load_n"]
    row.record.body, row.load_n = canonical_json(body), younger
    assert matches_record(row) is same


@pytest.mark.parametrize("body", ["", "[]", "[1]", "{", "7"])
def test_a_row_whose_record_cannot_be_read_does_not_say_the_same(owner, body):
    row = count_uses(actor=owner, item=ItemFactory(company=owner.company), on=owner.company.today(), description="job")
    row.record.body = body
    assert not matches_record(row)
