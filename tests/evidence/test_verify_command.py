"""The command: exit 0, 1 or 2, one clear line, and no traceback whatever the database is."""

import io
import json
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from crewlog.evidence import chain_head
from tests.evidence.tampering import behind_the_guards
from tests.factories.crewlog import MembershipFactory

ROOT = Path(__file__).resolve().parents[2]


def said(**options):
    """What the command prints, and what it ends with: None, or the error."""
    out = io.StringIO()
    try:
        call_command("verify_records", stdout=out, **options)
    except CommandError as error:
        return out.getvalue(), error
    return out.getvalue(), None


@pytest.mark.django_db
def test_it_says_whole_and_prints_the_head(chain):
    out, error = said()
    assert error is None
    assert "chain whole" in out
    assert chain_head(chain) in out


@pytest.mark.django_db
def test_it_exits_2_on_a_broken_chain_and_lists_all_faults_where_asked(chain):
    MembershipFactory(company=chain, person__company=chain, on_record=False)
    behind_the_guards(("UPDATE crewlog_record SET body = '{}' WHERE sequence = 2",))
    out, error = said()
    assert error.returncode == 2
    assert out.count("\n") == 2
    assert "BROKEN: record 2 (test.note) was changed" in out
    out, error = said(all=True)
    assert "  also: person" in out
    told, error = said(all=True, json=True)
    (found,) = json.loads(told)
    assert (found["holds"], len(found["faults"]), error.returncode) == (False, 2, 2)


@pytest.mark.django_db
def test_it_accepts_a_kept_head_and_refuses_an_unknown_one(chain):
    assert said(since=chain_head(chain))[1] is None
    _, error = said(since="f" * 64)
    assert "stands in no chain" in str(error)
    assert error.returncode == 2


@pytest.mark.django_db
def test_a_company_that_is_not_there_is_an_error_in_the_input(chain):
    _, error = said(company=chain.pk + 999)
    assert (error.returncode, str(error)) == (1, f"There is no company {chain.pk + 999}.")


def run(database, *words, **environment):
    return subprocess.run(
        [sys.executable, "manage.py", *(words or ("verify_records",))],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": f"sqlite:///{database}", "CREWLOG_VAR": str(database.parent), **environment},
        capture_output=True,
        text=True,
        check=False,
    )


on_sqlite = pytest.mark.skipif(
    connection.vendor != "sqlite", reason="about files of SQLite; the run on SQLite tries it"
)


@on_sqlite
@pytest.mark.parametrize(
    ("make", "line"),
    [
        (lambda path: None, "There is no database at"),
        (lambda path: path.touch(), "There is no database at"),
        (lambda path: path.write_text("no database " * 100), "The database cannot be read: file is not a database"),
        (lambda path: sqlite3.connect(path).execute("CREATE TABLE a (b)").connection.close(), "is not migrated"),
    ],
    ids=["missing", "empty", "no database", "not migrated"],
)
def test_a_database_that_cannot_be_verified_is_one_line_and_exit_1(tmp_path, make, line):
    path = tmp_path / "a.sqlite3"
    make(path)
    existed = path.exists()
    done = run(path)
    assert done.returncode == 1
    assert line in done.stderr
    assert done.stderr.count("\n") == 1
    assert path.exists() is existed, "verifying makes no database"


@on_sqlite
def test_a_table_that_is_gone_is_one_line_and_exit_2(tmp_path):
    path = tmp_path / "a.sqlite3"
    assert run(path, "migrate", "--verbosity", "0").returncode == 0
    started = run(
        path, "start_company", "--name", "Osier", "--owner-email", "o@example.test", "--owner-name", "O Quenby"
    )
    assert started.returncode == 0, started.stderr
    assert run(path).stdout.rstrip().endswith("chain whole")
    database = sqlite3.connect(path)
    database.execute("DROP TABLE gear_inspection")
    database.commit()
    database.close()
    done = run(path)
    assert (done.returncode, done.stderr) == (2, "CommandError: Osier: the table gear_inspection is gone\n")
    database = sqlite3.connect(path)
    database.execute("DROP TABLE crewlog_company")
    database.commit()
    database.close()
    done = run(path)
    assert done.returncode in (1, 2)
    assert "Traceback" not in done.stderr
    assert done.stderr.count("\n") == 1
