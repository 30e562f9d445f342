"""The high-water mark outside the database: what it holds, and what it shows of a chain that lost records."""

import datetime as dt

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append, append_all, chain_head, verify
from crewlog.evidence.losses import note_restore
from crewlog.evidence.marks import Mark, forget_marks, marks_file, note_end, read_marks, write_mark
from crewlog.models import Record
from tests.evidence.tampering import behind_the_guards

pytestmark = pytest.mark.django_db
NOON = dt.datetime(2026, 11, 30, 12, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def heads(settings, tmp_path):
    settings.HEADS_DIR = tmp_path / "heads"
    connection.__dict__.pop("crewlog_noted", None)
    yield settings.HEADS_DIR
    connection.__dict__.pop("crewlog_noted", None)


def marks(company):
    return list(read_marks(marks_file(company.pk)))


@pytest.fixture
def marked(chain):
    note_end(chain.pk)
    return chain


def test_a_commit_notes_the_end_once_for_all_its_records(company, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True) as callbacks:
        for n in range(3):
            append(company, "test.note", Entry(actor=None), body={"n": n})
        append_all(company, "test.note", Entry(actor=None), bodies=[{}, {}])
    assert len(callbacks) == 4
    assert [(mark.sequence, mark.hash) for mark in marks(company)] == [(5, chain_head(company))]
    assert verify(company).notes == ()


def undone(company):
    with transaction.atomic():
        append(company, "test.note", Entry(actor=None), body={})
        transaction.set_rollback(True)


def test_what_was_rolled_back_is_not_noted(company, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True) as callbacks:
        undone(company)
    assert callbacks == []
    assert marks(company) == []


def test_a_folder_that_cannot_be_written_costs_no_record(company, heads, caplog, django_capture_on_commit_callbacks):
    heads.write_text("a file where the folder should be")
    with django_capture_on_commit_callbacks(execute=True):
        append(company, "test.note", Entry(actor=None), body={})
    assert Record.objects.filter(company=company).count() == 1
    assert "mark_on_commit" in caplog.text


def test_only_the_owner_of_the_files_reads_them(marked):
    path = marks_file(marked.pk)
    assert (path.stat().st_mode & 0o777, path.parent.stat().st_mode & 0o777) == (0o600, 0o700)


def test_a_line_that_was_not_finished_is_left_out_and_closed_by_the_next(marked):
    path = marks_file(marked.pk)
    path.write_bytes(path.read_bytes() + b"5 abc")
    assert [mark.sequence for mark in marks(marked)] == [4]
    write_mark(path, Mark(6, "f" * 64, NOON))
    assert [mark.sequence for mark in marks(marked)] == [4, 6]


def test_a_removed_last_record_is_found_without_any_head_at_hand(marked):
    behind_the_guards(("DELETE FROM crewlog_record WHERE sequence = 4",))
    assert "the chain ends at record 3, but record 4 was there on" in verify(marked).fault


def test_the_mark_never_goes_down_when_a_lower_end_is_noted_later(marked):
    behind_the_guards(("DELETE FROM crewlog_record WHERE sequence >= 3",))
    note_end(marked.pk)
    assert [mark.sequence for mark in marks(marked)] == [4, 2]
    assert "the chain ends at record 2, but record 4 was there" in verify(marked).fault


def test_a_chain_that_was_rewritten_as_a_whole_is_found_by_its_marks(marked):
    behind_the_guards(("DELETE FROM crewlog_record WHERE sequence = 4",))
    append(marked, "test.note", Entry(actor=None), body={"n": "another"})
    assert "record 4 is not the one that was noted on" in verify(marked).fault


def test_a_company_without_marks_is_whole_with_a_note(chain):
    verdict = verify(chain)
    assert verdict.holds
    assert "no mark of it is kept outside the database" in verdict.notes[0]


def test_a_restore_that_is_noted_is_said_at_every_check_and_excuses_nothing_later(marked):
    behind_the_guards(("DELETE FROM crewlog_record WHERE sequence >= 3",))
    restore = note_restore(company=marked, because="the disk failed")
    assert (restore.first, restore.last) == (4, 4)
    verdict = verify(marked)
    assert verdict.holds
    assert "lost when an older copy was restored" in verdict.notes[0]
    assert "the disk failed" in verdict.notes[0]
    append(marked, "test.note", Entry(actor=None), body={})
    note_end(marked.pk)
    behind_the_guards(("DELETE FROM crewlog_record WHERE sequence = 4",))
    assert "record 4 was there on" in verify(marked).fault


def test_a_restore_is_not_noted_while_nothing_is_lost(marked):
    with pytest.raises(RuleBroken) as refused:
        note_restore(company=marked, because="to be sure")
    assert refused.value.code == "nothing-lost"
    with pytest.raises(CommandError, match="none is lost") as caught:
        call_command("note_restore", company=marked.pk, because="to be sure")
    assert caught.value.returncode == 2


def test_a_restore_needs_a_reason_and_a_company(marked):
    with pytest.raises(RuleBroken) as refused:
        note_restore(company=marked, because=" ")
    assert refused.value.code == "without-reason"
    with pytest.raises(CommandError, match="There is no company 0"):
        call_command("note_restore", company=0, because="x")


def test_forgetting_marks_is_for_one_database_alone(marked, heads):
    (heads / "another-1.heads").write_text("")
    forget_marks()
    assert [path.name for path in heads.glob("*.heads")] == ["another-1.heads"]
