"""The database moved to another SQLite file: it ends, and every row is there."""

import datetime as dt

from crewlog.backup.databases import config_of
from crewlog.backup.moving import move_database
from tests.backup.conftest import path_of
from tests.backup.raw import everything
from tests.demo_made import manage

STAMP = dt.datetime(2026, 11, 30, 8, 0, tzinfo=dt.UTC).strftime("%Y%m%dT%H%M%SZ")


def test_sqlite_moves_to_another_sqlite_file_with_every_row(site, tmp_path):
    target = tmp_path / "moved" / "crewlog.sqlite3"
    target.parent.mkdir()
    move_database(source=site.database, target=config_of(f"sqlite:///{target}"), stamp=STAMP)
    assert everything(target) == everything(path_of(site))


def test_a_database_that_is_not_migrated_is_one_line_for_every_command(tmp_path):
    empty = tmp_path / "empty.sqlite3"
    empty.touch()
    settings = {"DATABASE_URL": f"sqlite:///{empty}", "CREWLOG_VAR": tmp_path / "var", "CREWLOG_LOCAL": "yes"}
    for words in (
        ("gear_status",),
        ("start_company", "--name", "A", "--owner-email", "a@example.org", "--owner-name", "B", "--link"),
        ("issue_sheet", "1", "--as", "a@example.org", "--out", tmp_path / "x.pdf"),
        ("send_digest",),
    ):
        done = manage(*words, **settings)
        assert (done.returncode, done.stderr.count("\n")) == (1, 1), done.stderr
        assert "There is no database" in done.stderr
    assert empty.stat().st_size == 0
