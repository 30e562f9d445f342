"""A back-up is proved before anything is put in place; then all of it stands there, or nothing changed."""

import datetime as dt
import hashlib
import json
import sqlite3
import stat

import pytest

from crewlog.backup.databases import config_of, make_tables, opened, sqlite_file, standing_in
from crewlog.backup.errors import CopyInputError, CopyRefused
from crewlog.backup.manifest import read_manifest
from crewlog.backup.marks import noted_heads
from crewlog.backup.putting_back import Wish, check_backup, restore, restore_key
from crewlog.backup.taking import Site, take_backup
from crewlog.evidence.marks import Mark, marks_file, write_mark
from crewlog.models import Company
from tests.backup.conftest import KEY, NOW, change, change_behind_the_guards, elsewhere, path_of
from tests.backup.raw import counters, everything
from tests.demo_made import manage

pytestmark = pytest.mark.usefixtures("own_databases")
STAMP = "20261130t070000z"


def put_back(backup, site, **wish):
    return restore(folder=backup.folder, site=site, wish=Wish(**wish), stamp=STAMP)


def refused(backup, site, **wish):
    with pytest.raises(CopyRefused) as caught:
        put_back(backup, site, **wish)
    return caught.value


def enter_one_more(path):
    """A record after the back-up, as the product enters it."""
    with opened(sqlite_file(path), "later") as later, standing_in(later):
        from crewlog.evidence import Entry, append

        append(Company.objects.get(pk=1), "crewlog.test", Entry(actor=None), body={"said": "after the back-up"})


def test_restored_rows_are_those_of_the_site_and_so_are_its_files(site, backup, tmp_path):
    target = elsewhere(tmp_path)
    placed, _ = put_back(backup, target)
    assert everything(path_of(target)) == everything(path_of(site))
    assert counters(path_of(target)) == counters(path_of(site))
    assert placed.heads == backup.manifest.heads
    files = {path.name: path.read_bytes() for path in target.files.rglob("*") if path.is_file()}
    assert files
    assert all(hashlib.sha256(content).hexdigest() == name for name, content in files.items())
    assert all((site.files / name[:2] / name).read_bytes() == content for name, content in files.items())


def test_restored_evidence_is_guarded(backup, tmp_path):
    target = elsewhere(tmp_path)
    put_back(backup, target)
    database = sqlite3.connect(path_of(target))
    for statement in ("UPDATE crewlog_record SET body = ''", "DELETE FROM gear_inspection"):
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            database.execute(statement)
    database.close()


def test_database_that_is_not_empty_is_left_as_it_is(site, backup):
    before = path_of(site).read_bytes()
    assert refused(backup, site).code == "not-empty"
    assert path_of(site).read_bytes() == before
    assert [path.name for path in path_of(site).parent.iterdir() if path.is_file()] == ["crewlog.sqlite3"]


def test_tables_that_migrate_made_count_as_empty(backup, tmp_path):
    target = elsewhere(tmp_path)
    path_of(target).parent.mkdir()
    with opened(sqlite_file(path_of(target)), "fresh") as fresh:
        make_tables(fresh)
    put_back(backup, target)
    assert everything(path_of(target)) == everything(backup.folder / "database.sqlite3")


def test_replaced_database_is_kept_aside(site, backup):
    before = everything(path_of(site))
    change(path_of(site), "UPDATE crewlog_company SET name = 'Changed since' WHERE id = 1")
    changed = everything(path_of(site))
    placed, _ = put_back(backup, site, replace=True)
    assert everything(path_of(site)) == before
    assert placed.aside == f"{path_of(site)}.before-{STAMP}"
    assert everything(placed.aside) == changed


def test_database_in_use_is_not_replaced(site, backup):
    reader = sqlite3.connect(path_of(site))
    reader.execute("PRAGMA journal_mode=WAL")
    reader.execute("BEGIN")
    reader.execute("SELECT count(*) FROM crewlog_record").fetchone()
    assert refused(backup, site, replace=True).code == "in-use"
    reader.close()
    assert not list(path_of(site).parent.glob("*before*"))


def test_what_is_older_than_a_head_that_is_shown_is_refused(site, backup, tmp_path):
    enter_one_more(path_of(site))
    later = take_backup(site=site, into=tmp_path / "later", now=NOW)
    head = later.manifest.heads[0].hash
    target = elsewhere(tmp_path)
    caught = refused(backup, target, since=head)
    assert caught.code == "older"
    assert head in caught.message
    assert not path_of(target).exists()
    put_back(later, target, since=backup.manifest.heads[0].hash)
    assert path_of(target).exists()


def test_what_is_older_than_the_database_here_is_refused_unless_the_loss_is_accepted(site, backup):
    enter_one_more(path_of(site))
    caught = refused(backup, site, replace=True)
    assert caught.code == "older"
    assert "would be lost" in caught.message
    put_back(backup, site, replace=True, accept_loss=True)
    assert everything(path_of(site)) == everything(backup.folder / "database.sqlite3")


@pytest.mark.parametrize("what", ["database.sqlite3", "secret-key", "a file"])
@pytest.mark.parametrize("damage", ["changed", "gone"])
def test_damaged_backup_is_refused_and_nothing_is_made(backup, tmp_path, what, damage):
    kept = next(path for path in (backup.folder / "files").rglob("*") if path.is_file())
    path = kept if what == "a file" else backup.folder / what
    if damage == "gone":
        path.unlink()
    else:
        content = bytearray(path.read_bytes())
        content[len(content) // 2] ^= 1
        path.write_bytes(content)
    target = elsewhere(tmp_path)
    assert refused(backup, target).code == "backup-damaged"
    assert not path_of(target).parent.exists()


def rehash(folder):
    """What somebody does who changes a back-up and knows how its manifest is made."""
    path = folder / "manifest.json"
    said = json.loads(path.read_text())
    content = (folder / "database.sqlite3").read_bytes()
    said["files"]["database.sqlite3"] = {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
    path.write_text(json.dumps(said))


def test_rewritten_record_in_a_rehashed_backup_is_refused(backup, tmp_path):
    database = backup.folder / "database.sqlite3"
    change_behind_the_guards(database, "UPDATE crewlog_record SET body = '{}' WHERE sequence = 7")
    rehash(backup.folder)
    assert refused(backup, elsewhere(tmp_path)).code == "backup-damaged"  # its rows are not those listed


def test_rewritten_record_is_refused_though_the_rows_are_listed_anew(backup, tmp_path):
    database = backup.folder / "database.sqlite3"
    change_behind_the_guards(database, "UPDATE crewlog_record SET body = '{}' WHERE sequence = 7")
    rehash(backup.folder)
    from crewlog.backup.databases import sqlite_unchanging
    from crewlog.backup.rows import counted

    with opened(sqlite_unchanging(database), "listed") as copy:
        listed = {t.table: {"rows": t.rows, "sha256": t.digest} for t in counted(copy)}
    said = json.loads((backup.folder / "manifest.json").read_text())
    (backup.folder / "manifest.json").write_text(json.dumps({**said, "tables": listed}))
    assert refused(backup, elsewhere(tmp_path)).code == "chain-broken"


def test_manifest_that_leads_out_of_its_folder_is_none(backup, tmp_path):
    path = backup.folder / "manifest.json"
    said = json.loads(path.read_text())
    said["files"]["../../escaped"] = {"sha256": "0" * 64, "bytes": 1}
    path.write_text(json.dumps(said))
    with pytest.raises(CopyInputError, match="not a manifest"):
        put_back(backup, elsewhere(tmp_path))


def test_folder_of_backups_is_told_from_a_backup(backup):
    with pytest.raises(CopyInputError, match=r"the newest is .*20261130T065800Z"):
        read_manifest(backup.folder.parent)
    (backup.folder / "manifest.json").unlink()
    with pytest.raises(CopyInputError, match="is no back-up"):
        read_manifest(backup.folder)


def test_backup_of_an_earlier_version_is_brought_forward(tmp_path):
    earlier = tmp_path / "earlier.sqlite3"
    with opened(sqlite_file(earlier), "earlier") as made, standing_in(made):
        from django.core.management import call_command

        call_command("migrate", "gear", verbosity=0)  # nothing of jobs yet
        with made.cursor() as cursor:
            cursor.execute(
                "INSERT INTO crewlog_company (name, address, time_zone, unit_system, decimal_mark, emergency_number, "
                "wind_stop_m_s, second_step_owners, second_step_inspectors, shared_idle_min) "
                "VALUES ('Withy Cut', '', 'UTC', 'metric', 'point', '112', 11.0, 0, 0, 20)"
            )
    folder = tmp_path / "crewlog-20260101T000000Z"
    folder.mkdir()
    earlier.rename(folder / "database.sqlite3")
    said = {
        "format": 1, "taken_at": "2026-01-01T00:00:00+00:00", "tables": {}, "missing_files": [],
        "database": {"kind": "sqlite", "migrations": {}}, "files": {},
        "companies": [{"company": 1, "name": "Withy Cut", "records": 0, "head": "0" * 64}],
    }  # fmt: skip
    (folder / "manifest.json").write_text(json.dumps(said))
    rehash(folder)
    content = (folder / "database.sqlite3").read_bytes()
    target = elsewhere(tmp_path)
    _, proved = restore(folder=folder, site=target, wish=Wish(), stamp=STAMP)
    assert proved.migrated > 0
    assert (folder / "database.sqlite3").read_bytes() == content
    with sqlite3.connect(path_of(target)) as database:
        assert database.execute("SELECT name FROM crewlog_company").fetchall() == [("Withy Cut",)]
        assert database.execute("SELECT count(*) FROM jobs_reading").fetchone() == (0,)
    database.close()


def test_check_changes_nothing(backup, tmp_path):
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    assert check_backup(backup.folder).heads == backup.manifest.heads
    with pytest.raises(CopyRefused, match="not in it"):
        check_backup(backup.folder, since="f" * 64)
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


def test_key_is_put_back_and_the_one_that_was_there_is_kept(backup, tmp_path):
    here = tmp_path / "secret-key"
    assert restore_key(backup.folder, here, stamp=STAMP) is True
    assert here.read_text() == KEY
    assert restore_key(backup.folder, here, stamp=STAMP) is False
    here.write_text("another")
    assert restore_key(backup.folder, here, stamp=STAMP) is True
    assert (here.read_text(), (tmp_path / f"secret-key.before-{STAMP}").read_text()) == (KEY, "another")
    assert stat.S_IMODE(here.stat().st_mode) == 0o600


def test_command_restores_on_a_fresh_machine_with_the_key(site, backup, tmp_path):
    var = tmp_path / "fresh"
    done = manage("restore", backup.folder, CREWLOG_VAR=var)
    assert done.returncode == 0, done.stderr
    assert everything(var / "crewlog.sqlite3") == everything(path_of(site))
    assert (var / "secret-key").read_text() == KEY
    verified = manage("verify_records", CREWLOG_VAR=var)
    assert verified.returncode == 0, verified.stderr
    assert all(head.hash in verified.stdout for head in backup.manifest.heads)
    again = manage("restore", backup.folder, CREWLOG_VAR=var)
    assert (again.returncode, again.stderr.count("\n")) == (2, 1)
    nothing = manage("restore", tmp_path / "nowhere", CREWLOG_VAR=var)
    assert (nothing.returncode, nothing.stderr.count("\n")) == (1, 1)
    checked = manage("restore", backup.folder, "--check", CREWLOG_VAR=var)
    assert checked.returncode == 0
    assert "is whole" in checked.stdout


def test_log_of_a_file_that_is_gone_is_not_played_over_the_restored_one(site, backup):
    """What a crash leaves: a log beside a database that somebody then moves away."""
    path = path_of(site)
    database = sqlite3.connect(path)
    for statement in ("PRAGMA journal_mode=WAL", "UPDATE crewlog_company SET name = 'Of the old log'"):
        database.execute(statement)
    database.commit()
    log = path.with_name(f"{path.name}-wal").read_bytes()
    database.close()
    path.unlink()
    path.with_name(f"{path.name}-wal").write_bytes(log)
    put_back(backup, site)
    assert everything(path) == everything(backup.folder / "database.sqlite3")
    assert path.with_name(f"{path.name}.before-{STAMP}-wal").read_bytes() == log


def test_files_that_cannot_be_written_are_one_line_and_leave_no_part(backup, tmp_path):
    target = elsewhere(tmp_path)
    target.files.parent.mkdir()
    target.files.write_text("a file where the folder should be")
    with pytest.raises(CopyInputError, match="Cannot write to"):
        put_back(backup, target)
    assert not path_of(target).exists()


def test_refused_restore_has_brought_no_file(site, backup):
    kept = next(path for path in site.files.rglob("*") if path.is_file())
    kept.unlink()
    assert refused(backup, site).code == "not-empty"
    assert not kept.exists()


def test_loss_that_was_accepted_does_not_refuse_the_next_good_backup(tmp_path, settings):
    """Marks with higher numbers stay in the file; the one noted last is what counts."""
    settings.HEADS_DIR = tmp_path
    at = dt.datetime(2026, 11, 30, tzinfo=dt.UTC)
    for sequence, digit in ((1, "a"), (2, "b"), (3, "c"), (2, "d")):
        write_mark(marks_file(7), Mark(sequence, digit * 64, at))
    assert [head.hash for head in noted_heads()] == ["d" * 64]


def test_target_that_is_no_database_is_said(backup, tmp_path):
    letter = tmp_path / "letter"
    letter.write_text("not a database at all, but longer than a header of one has to be " * 20)
    target = Site(config_of(f"sqlite:///{letter}"), tmp_path / "files", None)
    with pytest.raises(CopyInputError, match="cannot be read"):
        put_back(backup, target)


def test_database_of_an_earlier_version_is_replaced_all_the_same(site, backup):
    """What is here lacks a column of this version: its heads are read, and it is kept aside."""
    change(path_of(site), "ALTER TABLE crewlog_company RENAME COLUMN emergency_number TO number_then")
    placed, _ = put_back(backup, site, replace=True)
    assert placed.aside
    assert everything(path_of(site)) == everything(backup.folder / "database.sqlite3")
