"""Health, readiness, what check_site finds, and the stamps it reads."""

import datetime as dt
import json
import os
from io import StringIO

import pytest
import time_machine
from django.contrib.sessions.models import Session
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection
from django.test import Client
from django.utils import timezone

from crewlog.site import checking, probes
from crewlog.site.database import HeldFile, identity_of
from crewlog.site.faults import MachineError
from crewlog.site.stamps import read_stamp, stamp_path, write_stamp
from crewlog.site.waiting import waiting_migrations
from tests.factories.gear import ItemFactory

REAL_SITE = {"SITE_ADDRESS": "https://crew.example", "ALLOWED_HOSTS": ["crew.example"], "LOCAL": False}


@pytest.fixture
def var(settings, tmp_path):
    settings.VAR_DIR, settings.FILES_DIR = tmp_path, tmp_path / "files"
    return tmp_path


def test_healthz_answers_without_a_database():
    answer = Client().get("/healthz", headers={"Host": "10.0.0.7:8000", "Cookie": "sessionid=something"})
    assert (answer.status_code, answer.content) == (200, b"ok\n")


@pytest.mark.django_db
def test_readyz_answers_over_plain_http_at_any_host_and_leaves_nothing(settings, var):
    settings.SECURE_SSL_REDIRECT = True
    answer = Client().get("/readyz", headers={"Host": "10.0.0.7"})
    assert answer.status_code == 200
    assert json.loads(answer.content) == {"ready": True}
    assert not Session.objects.exists()


@pytest.mark.django_db
def test_readyz_says_which_migrations_wait(monkeypatch, var):
    monkeypatch.setattr(probes, "waiting_migrations", lambda: ["gear.0099_next"])
    answer = Client().get("/readyz")
    assert answer.status_code == 503
    assert json.loads(answer.content)["code"] == "database-not-migrated"
    assert answer["Retry-After"]


@pytest.mark.django_db
def test_readyz_says_that_the_disk_is_full(monkeypatch, var):
    monkeypatch.setattr(probes, "LEAST_FREE_BYTES", 10**18)
    said = json.loads(Client().get("/readyz").content)
    assert said == {"ready": False, "code": "disk-full", "cause": "The server's disk is full."}


@pytest.mark.django_db
def test_every_migration_on_disk_counts_as_waiting_until_it_was_applied(monkeypatch):
    assert waiting_migrations() == []
    monkeypatch.setattr(
        "crewlog.site.waiting.MigrationRecorder.applied_migrations", lambda self: {("gear", "0001_first"): None}
    )
    assert any(name.startswith("crewlog.") for name in waiting_migrations())


def test_a_file_replaced_under_the_site_is_known_by_its_inode(monkeypatch, tmp_path):
    path, other = tmp_path / "a.sqlite3", tmp_path / "b.sqlite3"
    path.write_bytes(b"one")
    other.write_bytes(b"two")
    monkeypatch.setattr("crewlog.site.database.database_file", lambda: path)
    held = HeldFile()
    held.check()
    held.check()
    os.replace(other, path)
    with pytest.raises(MachineError, match="database-replaced"):
        held.check()
    path.unlink()
    with pytest.raises(MachineError, match="database-gone"):
        held.check()


def test_a_log_of_the_database_that_was_unlinked_is_noticed(monkeypatch, tmp_path):
    path, log = tmp_path / "a.sqlite3", tmp_path / "a.sqlite3-wal"
    path.write_bytes(b"one")
    monkeypatch.setattr("crewlog.site.database.database_file", lambda: path)
    held = HeldFile()
    with log.open("wb"):
        held.check_log()
        log.unlink()
        if os.path.isdir("/proc/self/fd"):
            with pytest.raises(MachineError, match="database-replaced"):
                held.check_log()


def test_a_stamp_is_read_as_it_was_written(var):
    write_stamp("backup", to="/somewhere")
    found = read_stamp("backup")
    assert found.facts == {"to": "/somewhere"}
    assert timezone.now() - found.at < dt.timedelta(minutes=1)
    assert read_stamp("verify") is None
    stamp_path("backup").write_text("{half")
    assert read_stamp("backup") is None
    assert [path.name for path in stamp_path("backup").parent.iterdir()] == ["backup.json"]


@pytest.mark.parametrize("name", ["", "../secret", "A", "a/b", "a" * 50])
def test_a_stamp_has_a_plain_name(name):
    with pytest.raises(ValueError, match="no name"):
        stamp_path(name)


def lines_by_name():
    return {line.name: line for line in checking.check_site()}


@pytest.fixture
def well(settings, var, monkeypatch):
    """A site where everything is as it should be."""
    for name, value in REAL_SITE.items():
        setattr(settings, name, value)
    settings.MAIL_IS_SET_UP, settings.PROXIES = True, 1
    monkeypatch.setattr(checking, "FEW_FREE", 1)
    monkeypatch.setattr(checking, "LEAST_FREE", 1)
    write_stamp("backup")
    write_stamp("verify", whole=True)
    return settings


@pytest.mark.django_db
def test_a_site_in_order_is_ok_line_by_line(well, company):
    assert {name: line.state for name, line in lines_by_name().items() if line.state != "ok"} == {}
    out = StringIO()
    call_command("check_site", stdout=out)
    assert out.getvalue().count("ok ") >= len(checking.CHECKS)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("name", "state", "spoil"),
    [
        ("mail", "warn", lambda s, m: setattr(s, "MAIL_IS_SET_UP", False)),
        ("proxy", "fail", lambda s, m: setattr(s, "SITE_ADDRESS", "http://crew.example")),
        ("proxy", "fail", lambda s, m: setattr(s, "ALLOWED_HOSTS", ["other.example"])),
        ("proxy", "warn", lambda s, m: setattr(s, "PROXIES", 0)),
        ("clock", "fail", lambda s, m: m.setattr(checking, "BUILT_ON", timezone.now() + dt.timedelta(days=1))),
        ("disk", "fail", lambda s, m: m.setattr(checking, "LEAST_FREE", 10**18)),
        ("disk", "warn", lambda s, m: m.setattr(checking, "FEW_FREE", 10**18)),
        ("migrations", "fail", lambda s, m: m.setattr(checking, "waiting_migrations", lambda: ["gear.0099_x"])),
        ("last back-up", "warn", lambda s, m: stamp_path("backup").unlink()),
        ("last verify", "fail", lambda s, m: write_stamp("verify", whole=False)),
        ("last verify", "warn", lambda s, m: m.setattr(checking, "VERIFY_EVERY", dt.timedelta(0))),
    ],
)
def test_each_line_says_what_is_wrong_and_what_to_do(well, monkeypatch, company, name, state, spoil):
    spoil(well, monkeypatch)
    line = lines_by_name()[name]
    assert line.state == state
    assert line.do
    with pytest.raises(CommandError) as refused:
        call_command("check_site", "--json", stdout=StringIO())
    assert refused.value.returncode == {"warn": 1, "fail": 2}[state]


@pytest.mark.django_db
def test_a_clock_behind_the_last_record_fails(well, company, monkeypatch):
    ItemFactory(company=company)
    monkeypatch.setattr(checking, "BUILT_ON", dt.datetime(2020, 1, 1, tzinfo=dt.UTC))
    with time_machine.travel(timezone.now() - dt.timedelta(hours=1)):
        line = checking.clock()
    assert line.state == "fail"
    assert "go back in time" in line.do


@pytest.mark.django_db
def test_a_table_of_evidence_without_its_guard_fails(well, company):
    name = "crewlog_hold_no_update"
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TRIGGER {name}" + ("" if connection.vendor == "sqlite" else " ON crewlog_hold"))
    line = lines_by_name()["guards"]
    assert (line.state, "crewlog_hold" in line.words) == ("fail", True)


@pytest.mark.django_db
def test_a_photograph_that_is_not_there_fails(well, owner, var):
    from gear.files.services import store_photograph
    from tests import files

    store_photograph(actor=owner, item=ItemFactory(company=owner.company), upload=files.upload(files.jpeg()))
    (kept,) = [path for path in (var / "files").rglob("*") if path.is_file()]
    kept.unlink()
    assert "1 of the newest 1 files are missing" in lines_by_name()["files"].words


@pytest.mark.django_db
def test_the_newest_files_of_every_column_are_looked_at(well, monkeypatch):
    class Rows:
        def __init__(self, names):
            self.names = names

        _default_manager = property(lambda self: self)
        exclude = order_by = values_list = lambda self, *args, **kwargs: self

        def __getitem__(self, part):
            return self.names[part]

    columns = [(Rows(["a", "b", "c"]), "sha256"), (Rows(["d"]), "sha256")]
    monkeypatch.setattr(checking, "hash_columns", lambda: columns)
    assert list(checking.newest_files(2)) == ["a", "b", "d"]


def test_a_database_file_that_is_gone_is_said_and_not_made(well, monkeypatch, tmp_path):
    gone = tmp_path / "gone.sqlite3"
    monkeypatch.setattr(checking, "database_file", lambda: gone)
    assert lines_by_name()["database"].words == "The database file is missing."
    assert not gone.exists()


def test_a_check_that_breaks_says_with_what(well, monkeypatch):
    def broken():
        raise ValueError("a word of its own")

    assert checking.tried("disk", broken).words == "This could not be checked: a word of its own."


def test_the_running_site_with_another_file_fails(well, monkeypatch, tmp_path):
    path = tmp_path / "site.sqlite3"
    path.write_bytes(b"")
    monkeypatch.setattr(checking, "database_file", lambda: path)
    found = list(identity_of(path))
    write_stamp("serving", pid=os.getpid(), path=str(path), identity=found)
    assert checking.same_file().state == "ok"
    write_stamp("serving", pid=os.getpid(), path=str(path), identity=[found[0], found[1] + 1])
    assert checking.same_file().state == "fail"
    write_stamp("serving", pid=2**22 + 1, path=str(path), identity=[0, 0])
    assert checking.same_file().state == "ok"


@pytest.mark.django_db
def test_verify_notes_when_it_was_run_and_what_it_found(var, company):
    call_command("verify_records", stdout=StringIO())
    assert read_stamp("verify").facts == {"whole": True}
