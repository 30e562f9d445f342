"""What verifying finds of records that were changed, removed or put in."""

import datetime as dt

import pytest

from crewlog.evidence import Entry, append, chain_head, verify
from crewlog.evidence.chain import last_link, next_link, record_hash
from crewlog.models import Hold
from tests.evidence.tampering import behind_the_guards

pytestmark = pytest.mark.django_db


def appended(company, kind="test.note", **columns):
    """A record that follows and is hashed as it should be, put in from outside."""
    record = next_link(last_link(company), company, kind, Entry(actor=None), body={})
    for name, value in columns.items():
        setattr(record, name, value)
    record.hash = record_hash(record)
    record.save(force_insert=True)
    return record


def test_an_untouched_chain_holds(chain):
    verdict = verify(chain, trial=True)
    assert verdict.holds
    assert (verdict.count, verdict.head) == (4, chain_head(chain))


@pytest.mark.parametrize(
    ("sql", "says"),
    [
        ("UPDATE crewlog_record SET body = '{}' WHERE sequence = 2", "record 2 (test.note) was changed"),
        ("DELETE FROM crewlog_record WHERE sequence = 2", "record 2 is missing"),
        ("UPDATE crewlog_record SET happened_at = entered_at, names = '[]' WHERE sequence = 3", "record 3"),
    ],
)
def test_verifying_finds_what_was_tampered_with(chain, sql, says):
    behind_the_guards((sql,))
    assert says in verify(chain).fault


def test_verifying_finds_reordered_records(chain):
    behind_the_guards(
        ("UPDATE crewlog_record SET sequence = 99 WHERE sequence = 2",),
        ("UPDATE crewlog_record SET sequence = 2 WHERE sequence = 3",),
        ("UPDATE crewlog_record SET sequence = 3 WHERE sequence = 99",),
    )
    assert "record 2" in verify(chain).fault


def test_every_fault_is_listed_where_it_is_asked_for(chain):
    behind_the_guards(
        ("UPDATE crewlog_record SET body = '{}' WHERE sequence = 2",),
        ("UPDATE crewlog_record SET names = 'x' WHERE sequence = 4",),
    )
    assert verify(chain).faults == ("record 2 (test.note) was changed after it was entered",)
    faults = verify(chain, every=True).faults
    assert "record 4 (test.note) was changed after it was entered" in faults
    assert "record 4 (test.note): its list of names cannot be read" in faults
    assert len(faults) == 3


def test_a_head_that_was_kept_must_still_stand(chain):
    kept = chain_head(chain)
    assert verify(chain, since=kept).holds
    behind_the_guards(("DELETE FROM crewlog_record WHERE sequence = 4",))
    assert "not in the chain" in verify(chain, since=kept).fault


def test_a_kind_that_crewlog_does_not_write_is_a_fault(chain):
    appended(chain, kind="gear.all-is-well")
    assert verify(chain).fault == "record 5 (gear.all-is-well) is of a kind that Crewlog does not write"


def test_a_time_of_entry_that_goes_back_is_a_fault(chain):
    at = last_link(chain).entered_at - dt.timedelta(days=1)
    appended(chain, entered_at=at, happened_at=at)
    assert verify(chain).fault == "record 5 (test.note) says that it was entered before the one it follows"


@pytest.mark.parametrize(("minutes", "holds"), [(5, True), (6, False)])
def test_a_record_entered_before_it_happened_is_a_fault(chain, minutes, holds):
    at = last_link(chain).entered_at + dt.timedelta(days=1)
    appended(chain, entered_at=at, happened_at=at + dt.timedelta(minutes=minutes))
    assert verify(chain).holds is holds


def test_a_row_on_a_record_of_another_kind_is_a_fault(owner):
    record = append(owner.company, "test.note", Entry(actor=None), body={})
    Hold(record=record, about="job", subject="1", because="claim", placed_by=owner.person).save(force_insert=True)
    assert "stands on it, which needs a record of kind crewlog.hold-placed" in verify(owner.company).fault


def test_reading_a_chain_takes_as_many_queries_however_long_it_is(chain, django_assert_max_num_queries):
    with django_assert_max_num_queries(130) as few:
        verify(chain)
    for n in range(40):
        append(chain, "test.note", Entry(actor=None), body={"n": n})
    with django_assert_max_num_queries(len(few)):
        assert verify(chain).count == 44
