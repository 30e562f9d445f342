"""The chain of records: what it refuses, and what verifying finds."""

import datetime as dt
import io
import json

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from crewlog.evidence.guards import evidence_tables, lay_triggers, missing_triggers, removal_statements
from crewlog.errors import RuleBroken
from crewlog.evidence import FIRST, Entry, append, canonical, chain_head, says_the_same, verify
from crewlog.models import Record
from gear.services.register import count_uses
from tests.factories.crewlog import CompanyFactory, PersonFactory
from tests.factories.gear import ItemFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def chain(company):
    person = PersonFactory(company=company, name="Mab Ostler")
    for n in range(4):
        append(company, "test.note", Entry(actor=person), body={"n": n}, people=[person])
    return company


@pytest.fixture
def unguarded():
    """The triggers taken away, as someone with the database's own password could."""
    with connection.cursor() as cursor:
        for statement in removal_statements(connection.vendor, "crewlog_record"):
            cursor.execute(statement)


def tamper(sql, *params):
    with connection.cursor() as cursor:
        cursor.execute(sql, params)


def test_each_record_carries_the_hash_of_the_one_before(chain):
    rows = list(Record.objects.for_company(chain))
    assert rows[0].previous_hash == FIRST
    assert [r.previous_hash for r in rows[1:]] == [r.hash for r in rows[:-1]]
    assert chain_head(chain) == rows[-1].hash


def test_an_untouched_chain_holds(chain):
    verdict = verify(chain)
    assert verdict.holds
    assert verdict.count == 4


@pytest.mark.parametrize(
    "sql",
    ["UPDATE crewlog_record SET body = '{}' WHERE sequence = 2", "DELETE FROM crewlog_record WHERE sequence = 2"],
)
def test_the_database_itself_refuses_to_change_a_record(chain, sql):
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        tamper(sql)
    assert verify(chain).holds


@pytest.mark.parametrize(
    ("sql", "says"),
    [
        ("UPDATE crewlog_record SET body = '{}' WHERE sequence = 2", "record 2 (test.note) was changed"),
        ("DELETE FROM crewlog_record WHERE sequence = 2", "record 2 is missing"),
        ("UPDATE crewlog_record SET happened_at = entered_at, names = '[]' WHERE sequence = 3", "record 3"),
    ],
)
def test_verifying_finds_what_was_tampered_with(chain, unguarded, sql, says):
    tamper(sql)
    lay_triggers()
    verdict = verify(chain)
    assert not verdict.holds
    assert says in verdict.fault


def test_verifying_finds_reordered_records(chain, unguarded):
    tamper("UPDATE crewlog_record SET sequence = 99 WHERE sequence = 2")
    tamper("UPDATE crewlog_record SET sequence = 2 WHERE sequence = 3")
    tamper("UPDATE crewlog_record SET sequence = 3 WHERE sequence = 99")
    lay_triggers()
    assert "record 2" in verify(chain).fault


def test_a_removed_last_record_is_found_by_a_head_kept_elsewhere(chain, unguarded):
    kept = chain_head(chain)
    tamper("DELETE FROM crewlog_record WHERE sequence = 4")
    lay_triggers()
    assert verify(chain).holds
    assert "not in the chain" in verify(chain, since=kept).fault


def test_lost_triggers_are_a_fault_of_their_own(chain, unguarded):
    assert missing_triggers(connection) == ["crewlog_record"]
    assert "append-only trigger" in verify(chain).fault


def test_every_table_of_evidence_is_guarded(db):
    assert "crewlog_record" in evidence_tables()
    assert missing_triggers(connection) == []


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


def test_removing_a_persons_details_leaves_the_chain_whole(chain):
    person = PersonFactory(company=chain, name="Gone Soon")
    record = append(chain, "test.note", Entry(actor=person), body={})
    assert str(person.pk) in record.names
    assert "Gone Soon" not in record.names
    person.details.delete()
    assert "no record says that they were removed" in verify(chain).fault
    append(chain, "crewlog.person-removed", Entry(actor=None), body={"person": person.pk, "because": "asked", "papers": []})
    assert verify(chain).holds


def test_a_number_that_is_not_finite_never_enters_the_chain():
    with pytest.raises(ValueError, match="not JSON compliant"):
        canonical({"tension_n": float("nan")})


@pytest.mark.parametrize(("younger", "same"), [(None, True), (5000.0, False)])
def test_a_column_younger_than_its_record_must_hold_its_default(owner, younger, same):
    row = count_uses(actor=owner, item=ItemFactory(company=owner.company), on=owner.company.today(), description="job")
    body = json.loads(row.record.body)
    del body["load_n"]
    row.record.body, row.load_n = canonical(body), younger
    assert says_the_same(row) is same


def test_the_command_says_whole_and_prints_the_head(chain):
    out = io.StringIO()
    call_command("verify_records", stdout=out)
    assert "chain whole" in out.getvalue()
    assert chain_head(chain) in out.getvalue()


def test_the_command_exits_2_on_a_broken_chain(chain, unguarded):
    tamper("UPDATE crewlog_record SET body = '{}' WHERE sequence = 2")
    lay_triggers()
    with pytest.raises(CommandError) as caught:
        call_command("verify_records", stdout=io.StringIO())
    assert caught.value.returncode == 2


def test_the_command_accepts_a_kept_head_and_refuses_an_unknown_one(chain):
    call_command("verify_records", since=chain_head(chain), stdout=io.StringIO())
    with pytest.raises(CommandError, match="stands in no chain"):
        call_command("verify_records", since="f" * 64, stdout=io.StringIO())
