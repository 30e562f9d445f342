"""A back-up holds database, files and key of one moment, or it does not get its name."""

import json
import shutil
import sqlite3
import stat
from importlib import import_module

import pytest

from crewlog.backup.databases import config_of
from crewlog.backup.errors import CopyInputError, CopyRefused
from crewlog.backup.manifest import read_manifest
from crewlog.backup.taking import Site, remove_older, take_backup, unfinished
from crewlog.demo import DEMO_MARK
from tests.backup.conftest import BEFORE, KEY, NOW, change, change_behind_the_guards, path_of
from tests.backup.raw import counters, everything
from tests.demo_made import manage

pytestmark = pytest.mark.usefixtures("own_databases")
OURS = ("crewlog", "gear", "jobs")


def kept_names(folder):
    return {path.name for path in folder.rglob("*") if path.is_file() and len(path.name) == 64}


def taken(site, tmp_path, **options):
    return take_backup(site=site, into=tmp_path / "backups", now=NOW, **options)


def refusal(site, tmp_path):
    with pytest.raises(CopyRefused) as refused:
        taken(site, tmp_path)
    assert list((tmp_path / "backups").iterdir()) == []
    return refused.value


def test_every_row_of_every_table_is_in_the_copy_as_sqlite_reads_it(site, backup):
    copy = backup.folder / "database.sqlite3"
    assert everything(copy) == everything(path_of(site))
    assert counters(copy) == counters(path_of(site))


def test_copy_is_one_file_without_a_log_beside_it(backup):
    assert sorted(path.name for path in backup.folder.iterdir()) == [
        "database.sqlite3", "files", "manifest.json", "secret-key",
    ]  # fmt: skip
    header = (backup.folder / "database.sqlite3").read_bytes()[18:20]
    assert header == b"\x01\x01"  # no write-ahead log


def test_every_file_that_a_row_names_is_in_the_copy(site, backup):
    assert kept_names(backup.folder) == kept_names(site.files)
    assert len(kept_names(backup.folder)) >= 2


def test_file_that_no_row_names_is_left_out(site, tmp_path):
    stray = site.files / "ab" / ("ab" + "0" * 62)
    stray.parent.mkdir(exist_ok=True)
    stray.write_bytes(b"nobody names me")
    assert stray.name not in kept_names(taken(site, tmp_path).folder)


def test_manifest_names_heads_rows_and_hash_of_each_file(backup):
    said = json.loads((backup.folder / "manifest.json").read_text())
    assert said["format"] == 1
    assert said["taken_at"] == NOW.isoformat()
    assert said["database"]["kind"] == "sqlite"
    assert said["database"]["migrations"].keys() >= {"crewlog", "gear", "jobs"}
    with sqlite3.connect(backup.folder / "database.sqlite3") as copy:
        for company in said["companies"]:
            last = copy.execute(
                "SELECT sequence, hash FROM crewlog_record WHERE company_id = ? ORDER BY sequence DESC",
                [company["company"]],
            ).fetchone()
            assert (company["records"], company["head"]) == last
        (records,) = copy.execute("SELECT count(*) FROM crewlog_record").fetchone()
    copy.close()
    assert len(said["companies"]) == 2
    assert said["tables"]["crewlog_record"]["rows"] == records
    assert {"database.sqlite3", "secret-key"} < said["files"].keys()
    assert read_manifest(backup.folder) == backup.manifest


def test_nobody_else_can_read_it(backup):
    assert stat.S_IMODE(backup.folder.stat().st_mode) == 0o700
    for path in backup.folder.rglob("*"):
        assert stat.S_IMODE(path.stat().st_mode) == (0o700 if path.is_dir() else 0o600), path


def test_key_is_in_it_unless_it_is_left_out(site, backup, tmp_path):
    assert (backup.folder / "secret-key").read_text() == KEY
    without = take_backup(site=Site(site.database, site.files, None), into=tmp_path / "other", now=NOW)
    assert not (without.folder / "secret-key").exists()


def test_rows_in_the_log_of_a_live_database_are_in_the_copy(site, tmp_path):
    live = sqlite3.connect(path_of(site))
    live.execute("PRAGMA journal_mode=WAL")
    live.execute("PRAGMA wal_autocheckpoint=0")
    live.execute("UPDATE crewlog_company SET address = 'Lock Cottage, Eelpool' WHERE id = 1")
    live.commit()
    assert path_of(site).with_name("crewlog.sqlite3-wal").stat().st_size > 0
    shutil.copy(path_of(site), tmp_path / "copied live.sqlite3")
    with sqlite3.connect(tmp_path / "copied live.sqlite3") as plain_copy:  # what copying the file alone would have
        assert plain_copy.execute("SELECT address FROM crewlog_company WHERE id = 1").fetchone() != (
            "Lock Cottage, Eelpool",
        )
    plain_copy.close()
    folder = taken(site, tmp_path).folder
    with sqlite3.connect(folder / "database.sqlite3") as copy:
        assert copy.execute("SELECT address FROM crewlog_company WHERE id = 1").fetchone() == ("Lock Cottage, Eelpool",)
    copy.close()
    live.close()


def test_no_backup_is_written_over(site, backup, tmp_path):
    before = (backup.folder / "manifest.json").read_bytes()
    with pytest.raises(CopyInputError, match="exists already"):
        taken(site, tmp_path)
    assert (backup.folder / "manifest.json").read_bytes() == before


def test_missing_file_refuses_and_leaves_no_folder(site, tmp_path):
    name = min(kept_names(site.files))
    (site.files / name[:2] / name).unlink()
    refused = refusal(site, tmp_path)
    assert refused.code == "files-missing"
    assert name in refused.message


def test_changed_file_counts_as_missing_and_is_named_where_it_is_allowed(site, tmp_path):
    name = min(kept_names(site.files))
    (site.files / name[:2] / name).write_bytes(b"something else")
    assert refusal(site, tmp_path).code == "files-missing"
    made = taken(site, tmp_path, allow_missing=True)
    assert made.manifest.missing == [name]
    assert name not in kept_names(made.folder)


def test_rewritten_record_refuses(site, tmp_path):
    change_behind_the_guards(path_of(site), "UPDATE crewlog_record SET body = '{}' WHERE sequence = 7")
    assert refusal(site, tmp_path).code == "chain-broken"


def test_database_of_an_earlier_version_refuses(site, tmp_path):
    change(path_of(site), "DELETE FROM django_migrations WHERE app = 'jobs'")
    assert refusal(site, tmp_path).code == "behind"


def test_database_made_by_the_migrations_that_the_first_replaces_is_of_this_version(site, tmp_path):
    applied = "INSERT INTO django_migrations (app, name, applied) VALUES ('{}', '{}', '2030-01-01 00:00:00')"
    replaced = [each for app in OURS for each in import_module(f"{app}.migrations.0001_first").Migration.replaces]
    forgotten = "DELETE FROM django_migrations WHERE name = '0001_first'"
    change_behind_the_guards(path_of(site), forgotten, *(applied.format(*each) for each in replaced))
    assert taken(site, tmp_path).manifest.tables


def test_database_of_a_later_version_refuses(site, tmp_path):
    later = "INSERT INTO django_migrations (app, name, applied) VALUES ('gear', '9999_later', '2030-01-01 00:00:00')"
    change(path_of(site), later)
    assert refusal(site, tmp_path).code == "ahead"


def test_folder_that_cannot_be_made_is_said(site, tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(CopyInputError, match="Cannot make"):
        take_backup(site=site, into=tmp_path / "file" / "backups", now=NOW)


def test_mark_of_a_demo_goes_with_it(backup):
    with sqlite3.connect(backup.folder / "database.sqlite3") as copy:
        assert copy.execute("PRAGMA application_id").fetchone() == (DEMO_MARK,)
    copy.close()


def test_older_ones_go_and_the_last_stay(site, backup, tmp_path):
    into = tmp_path / "backups"
    first = take_backup(site=site, into=into, now=BEFORE).folder
    (into / "letters").mkdir()
    assert remove_older(into, keep=2) == []
    assert remove_older(into, keep=1) == [first]
    assert sorted(path.name for path in into.iterdir()) == [backup.folder.name, "letters"]


def test_interrupted_one_is_told_from_a_whole_one(backup, tmp_path):
    left = tmp_path / "backups" / "crewlog-20261129T000000Z.unfinished"
    shutil.copytree(backup.folder, left)
    assert unfinished(tmp_path / "backups") == [left]
    with pytest.raises(CopyInputError, match="interrupted"):
        read_manifest(left)


def test_command_takes_one_and_says_where(site, tmp_path):
    var = tmp_path / "var"
    settings = {
        "DATABASE_URL": f"sqlite:///{path_of(site)}", "CREWLOG_FILES": site.files, "CREWLOG_VAR": var,
        "CREWLOG_SECRET_KEY": KEY,
    }  # fmt: skip
    done = manage("backup", tmp_path / "backups", "--keep", "3", **settings)
    assert done.returncode == 0, done.stderr
    (folder,) = (tmp_path / "backups").iterdir()
    assert str(folder) in done.stdout
    assert (folder / "secret-key").read_text() == KEY
    said = json.loads((var / "stamps" / "backup.json").read_text())["facts"]
    assert said["folder"] == str(folder)
    assert [c["head"] for c in said["companies"]] == [head.hash for head in read_manifest(folder).heads]
    change_behind_the_guards(path_of(site), "UPDATE crewlog_record SET body = '{}' WHERE sequence = 7")
    refused = manage("backup", tmp_path / "backups", **settings)
    assert refused.returncode == 2
    assert refused.stderr.count("\n") == 1
    (tmp_path / "file").touch()
    wrong = manage("backup", tmp_path / "file", **settings)
    assert wrong.returncode == 1
    assert wrong.stderr.count("\n") == 1


def test_address_that_is_none_is_said():
    for url in ("nonsense", "mysql://u@h/d", "sqlite://:memory:"):
        with pytest.raises(CopyInputError):
            config_of(url)
