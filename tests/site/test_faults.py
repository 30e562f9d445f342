"""Faults of the machine are answered 503 with the cause, and nothing is acknowledged that is not stored."""

import errno
import json
import os
import re
import resource
import sqlite3
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError, connection
from django.db.utils import InterfaceError
from django.test import RequestFactory
from django.urls import reverse

from crewlog.models import Record
from crewlog.site import faults
from crewlog.site.answers import machine_fault_answer
from crewlog.site.faults import fault_of
from gear.models import GearEvent, StoredFile
from tests import files
from tests.factories.gear import ItemFactory
from tests.pages import html_of
from tests.rows import every_row

ROOT = Path(__file__).resolve().parents[2]


def sqlite_error(code, words="x"):
    error = sqlite3.OperationalError(words)
    error.sqlite_errorcode = code
    return wrapped(error)


def wrapped(error):
    """As Django raises what a driver raised."""
    outer = OperationalError(str(error))
    outer.__cause__ = error
    return outer


@every_row(
    ("error", "code"),
    [
        (sqlite_error(sqlite3.SQLITE_FULL), "disk-full"),
        (sqlite_error(sqlite3.SQLITE_READONLY), "read-only"),
        (sqlite_error(sqlite3.SQLITE_READONLY_DIRECTORY), "read-only"),
        (sqlite_error(sqlite3.SQLITE_READONLY_DBMOVED), "database-replaced"),
        (sqlite_error(sqlite3.SQLITE_BUSY, "database is locked"), "database-busy"),
        (sqlite_error(sqlite3.SQLITE_BUSY_SNAPSHOT), "database-busy"),
        (sqlite_error(sqlite3.SQLITE_IOERR_FSYNC), "disk-fault"),
        (sqlite_error(sqlite3.SQLITE_CANTOPEN), "database-gone"),
        (sqlite_error(sqlite3.SQLITE_CORRUPT), "database-damaged"),
        (sqlite_error(sqlite3.SQLITE_NOTADB), "database-damaged"),
        (wrapped(psycopg.errors.DiskFull("x")), "disk-full"),
        (wrapped(psycopg.errors.LockNotAvailable("x")), "database-busy"),
        (wrapped(psycopg.errors.DeadlockDetected("x")), "database-busy"),
        (wrapped(psycopg.errors.AdminShutdown("x")), "database-gone"),
        (wrapped(psycopg.errors.CannotConnectNow("x")), "database-gone"),
        (wrapped(psycopg.errors.TooManyConnections("x")), "too-much-at-once"),
        (wrapped(psycopg.errors.ReadOnlySqlTransaction("x")), "read-only"),
        (wrapped(psycopg.OperationalError("connection refused")), "database-gone"),
        (InterfaceError("connection already closed"), "database-gone"),
        (OSError(errno.ENOSPC, "x"), "disk-full"),
        (OSError(errno.EROFS, "x"), "read-only"),
        (PermissionError(errno.EACCES, "x"), "read-only"),
        (OSError(errno.EMFILE, "x"), "too-much-at-once"),
    ],
)
def test_a_fault_of_the_machine_is_known_by_its_code(error, code):
    assert fault_of(error).code == code


@pytest.mark.parametrize(
    "error",
    [
        ValueError("x"),
        FileNotFoundError(errno.ENOENT, "x", "/no/such/template"),
        sqlite_error(sqlite3.SQLITE_CONSTRAINT),
        sqlite_error(sqlite3.SQLITE_ERROR, "near x: syntax error"),
        wrapped(psycopg.errors.UniqueViolation("x")),
        wrapped(psycopg.errors.SyntaxError("x")),
        wrapped(psycopg.ProgrammingError("x")),
    ],
)
def test_a_fault_of_the_program_is_not_taken_for_one_of_the_machine(error):
    assert fault_of(error) is None


@pytest.mark.django_db
def test_a_table_that_is_not_there_is_the_programs_fault_where_no_migration_waits(monkeypatch):
    error = sqlite_error(sqlite3.SQLITE_ERROR, "no such table: x")
    assert fault_of(error) is None
    monkeypatch.setattr("crewlog.site.faults.waiting_migrations", lambda: ["gear.0001_first"])
    assert fault_of(error).code == "database-not-migrated"


def test_an_error_that_came_of_a_full_disk_is_a_full_disk():
    error = ValueError("cannot write")
    error.__context__ = OSError(errno.ENOSPC, "x")
    assert fault_of(error).code == "disk-full"


@pytest.mark.parametrize(
    ("headers", "kind"),
    [({}, "text/html"), ({"HX-Request": "true"}, "text/plain"), ({"Accept": "application/json"}, "application/json")],
)
def test_the_answer_says_the_cause_that_nothing_was_recorded_and_when_to_ask_again(headers, kind):
    request = RequestFactory().post("/x/", headers=headers)
    answer = machine_fault_answer(request, faults.DISK_FULL)
    assert answer.status_code == 503
    assert answer["Retry-After"] == "300"
    assert answer["Cache-Control"] == "no-store"
    assert answer["Content-Type"].startswith(kind)
    for words in ("disk is full", "not recorded", "Tell who runs the server"):
        assert words in html_of(answer)


def test_a_script_that_sends_json_is_answered_in_json():
    request = RequestFactory().post("/rounds/1/answers/", "{}", content_type="application/json")
    said = json.loads(machine_fault_answer(request, faults.BUSY).content)
    assert said["code"] == "database-busy"
    assert "locked" in said["refused"]


def test_the_page_runs_no_script_and_so_forgets_nothing_kept_on_the_device():
    page = html_of(machine_fault_answer(RequestFactory().get("/"), faults.NO_DATABASE))
    assert "<script" not in page
    assert "not recorded" not in page


def event_of(item, **more):
    said = {"kind": "near_miss_not_loaded", "happened_on": item.company.today().isoformat(), "loaded": "no"}
    return {**said, "description": "It fell. " * 400, **more}


def test_a_full_disk_is_named_and_what_was_acknowledged_is_stored():
    done = trial("disk_full", "--database", "sqlite", "--no-mount")
    assert done.returncode == 0, done.stdout + done.stderr
    said = done.stdout
    acknowledged = int(re.search(r"acknowledged before the disk was full: (\d+); refused: 5", said)[1])
    assert acknowledged > 0
    assert f"stored of the acknowledged: {acknowledged}; of the refused: 0" in said
    assert "after room was made: 302" in said
    assert said.count("chain: whole") == 2


@pytest.mark.django_db
def test_a_photograph_that_finds_no_room_leaves_no_record_and_no_part_of_a_file(owner, signed_in, settings, tmp_path):
    settings.FILES_DIR = tmp_path / "files"
    item = ItemFactory(company=owner.company)
    photo = SimpleUploadedFile("photo.jpg", files.noise(1), content_type="image/jpeg")
    before = Record.objects.count()
    usual = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4_096, usual[1]))
    try:
        answer = signed_in(owner).post(reverse("item_event", args=[item.tag]), event_of(item, photo=photo))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, usual)
    assert answer.status_code == 503
    assert "disk is full (photographs and documents)" in html_of(answer)
    assert not StoredFile.objects.exists()
    assert not GearEvent.objects.exists()
    assert Record.objects.count() == before
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


@pytest.mark.django_db
def test_a_folder_of_files_that_went_missing_is_named_and_not_made_anew(owner, signed_in, settings, tmp_path):
    settings.FILES_DIR = tmp_path / "files"
    item = ItemFactory(company=owner.company)
    client, address = signed_in(owner), reverse("item_event", args=[item.tag])
    assert client.post(address, event_of(item, photo=photograph(1))).status_code == 302
    settings.FILES_DIR = tmp_path / "unmounted"
    answer = client.post(address, event_of(item, photo=photograph(2)))
    assert answer.status_code == 503
    assert "folder of photographs and documents is missing" in html_of(answer)
    assert not (tmp_path / "unmounted").exists()
    assert GearEvent.objects.count() == 1


def photograph(seed):
    return SimpleUploadedFile("photo.jpg", files.noise(seed, side=16), content_type="image/jpeg")


@pytest.mark.django_db
@pytest.mark.parametrize("what", ["crewlog_membership", "django_session"])
def test_a_database_that_fails_before_the_page_is_named_too(owner, signed_in, what):
    def stopped(execute, sql, params, many, context):
        if what in sql:
            raise wrapped(psycopg.OperationalError("the server closed the connection"))
        return execute(sql, params, many, context)

    client = signed_in(owner)
    client.raise_request_exception = False
    with connection.execute_wrapper(stopped):
        answer = client.get(reverse("store"))
    assert answer.status_code == 503
    assert "database does not answer" in html_of(answer)


def test_a_file_removed_or_replaced_under_the_running_site_is_named():
    done = trial("removed_file")
    assert done.returncode == 0, done.stdout + done.stderr
    assert "Nothing is wrong." in done.stdout


def trial(name, *arguments):
    """A trial in a process and a database of its own."""
    environment = {k: v for k, v in os.environ.items() if not k.startswith(("CREWLOG_", "DATABASE_", "DJANGO_"))}
    command = [sys.executable, "-m", f"tests.trials.{name}", *arguments]
    return subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
