"""The demo's database file and its command."""

import os
import re
import shutil
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.request
from pathlib import Path
from urllib.parse import quote

import dj_database_url
import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from crewlog import local
from crewlog.demo import DEMO_MARK
from jobs.demo.database import NotOurs, is_demo, make_fresh
from jobs.management.commands import demo as command
from tests.width import FULL

REPO = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.django_db

# the database file


def test_fresh_database_carries_the_demos_mark(tmp_path):
    path = tmp_path / "new" / "demo.sqlite3"
    make_fresh(path)
    assert is_demo(path)
    assert sqlite3.connect(path).execute("PRAGMA application_id").fetchone() == (DEMO_MARK,)


def test_earlier_demo_is_replaced_with_its_log(tmp_path):
    path = tmp_path / "demo.sqlite3"
    make_fresh(path)
    with sqlite3.connect(path) as earlier:
        earlier.execute("CREATE TABLE old (x)")
    earlier.close()
    wal = tmp_path / "demo.sqlite3-wal"
    wal.write_bytes(b"left over")
    make_fresh(path)
    assert is_demo(path)
    assert not wal.exists()
    again = sqlite3.connect(path)
    assert again.execute("SELECT count(*) FROM sqlite_master").fetchone() == (0,)
    again.close()


def database_of_another(path):
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE precious (x)")
    other.commit()
    other.close()


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (database_of_another, "is not a demo database"),
        (lambda path: path.write_text("a letter"), "is not a demo database"),
        (lambda path: path.touch(), "is not a demo database"),
        (lambda path: path.mkdir(), "is a folder"),
        (lambda path: path.with_name(path.name + "-wal").write_bytes(b"x"), "without its database"),
    ],
)
def test_what_the_demo_did_not_make_is_left_as_it_is(tmp_path, make, says):
    path = tmp_path / "kept.sqlite3"
    make(path)
    before = {p: p.read_bytes() for p in tmp_path.iterdir() if p.is_file()}
    with pytest.raises(NotOurs, match=says) as refused:
        make_fresh(path)
    assert "\n" not in str(refused.value)
    assert {p: p.read_bytes() for p in tmp_path.iterdir() if p.is_file()} == before


def test_database_below_a_file_is_refused(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(NotOurs, match="Cannot make a database"):
        make_fresh(tmp_path / "file" / "demo.sqlite3")


# the environment and the command


@pytest.mark.parametrize("name", ["demo.sqlite3", "my demo #1 100%.sqlite3", "é.sqlite3"])
def test_settings_are_pointed_at_the_path_that_was_given(monkeypatch, tmp_path, name):
    for variable in ("DATABASE_URL", "CREWLOG_LOCAL", "CREWLOG_DEBUG", "CREWLOG_ADDRESS", "CREWLOG_SECRET_KEY"):
        monkeypatch.setenv(variable, "something else")
    path = tmp_path / name
    for arguments in (["--database", str(path), "--no-serve"], [f"--database={path}", "--port", "9001"]):
        local.prepare_demo(arguments)
        assert dj_database_url.parse(os.environ["DATABASE_URL"])["NAME"] == str(path.resolve())
        assert (os.environ["CREWLOG_LOCAL"], os.environ["CREWLOG_DEBUG"]) == ("yes", "no")
    assert os.environ["CREWLOG_ADDRESS"] == "http://127.0.0.1:9001"


def test_demo_writes_into_no_other_database(tmp_path):
    with pytest.raises(CommandError, match="database of its own"):
        call_command("demo", "--no-serve", "--database", str(tmp_path / "x.sqlite3"))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("address", ["127.0.0.1", "0.0.0.0"])  # noqa: S104 - a program that listens everywhere
def test_port_in_use_is_said_in_one_line(address):
    with socket.socket() as taken:
        taken.bind((address, 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(CommandError, match=rf"Port {port} cannot be used: .* with --port \d+\.") as caught:
            command.must_be_free(port)
        other = int(re.search(r"--port (\d+)", str(caught.value))[1])
        command.must_be_free(other)


def test_a_busy_port_ends_the_command_before_anything_is_built(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        path = tmp_path / "demo.sqlite3"
        result = run("demo", "--port", str(port), "--database", str(path), "--out", str(tmp_path / "out"))
    assert result.returncode == 1
    assert result.stdout == ""
    assert result.stderr.strip().count("\n") == 0
    assert f"Port {port} cannot be used" in result.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("port", [0, -1, 65536])
def test_port_that_does_not_exist_is_refused(port):
    with pytest.raises(CommandError, match="does not exist"):
        command.must_be_free(port)


def test_out_that_cannot_be_written_is_said_in_one_line(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(CommandError, match="Cannot write to"):
        command.must_be_writable(tmp_path / "file")


def run(*arguments, cwd=REPO, **environment):
    """Run manage.py as on a fresh machine: nothing set but the path."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    return subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=cwd, env=kept | environment, capture_output=True, text=True, timeout=280, check=False,
    )  # fmt: skip


def without_hashes(text):
    """Hashes differ from run to run, and by a few bytes the packed paper that prints one."""
    return re.sub(r"\(\d+ kB\)", "(SIZE)", re.sub(r"[0-9a-f]{64}", "HASH", text))


@pytest.fixture(scope="module")
def places(demo_folder, tmp_path_factory):
    """Database and paper of the first run: the demo of all tests, in full one made with nothing set."""
    if not FULL:
        return demo_folder / "demo.sqlite3", demo_folder / "out"
    folder = tmp_path_factory.mktemp("fresh machine")
    return folder / "demo.sqlite3", folder / "paper"


@pytest.fixture(scope="module")
def first_run(places):
    """What the first run said. The second one always has nothing set."""
    database, out = places
    if not FULL:
        return (database.parent / "said.txt").read_text(encoding="utf-8")
    done = run("demo", "--no-serve", "--database", str(database), "--out", str(out))
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def test_command_builds_walks_and_ends_with_nothing_set(first_run, places):
    database, out = places
    assert is_demo(database)
    (paper,) = out.iterdir()
    assert paper.read_bytes().startswith(b"%PDF")
    assert str(paper) in first_run
    assert "owner@crewlog.example" in first_run


def test_records_verify_by_the_command_that_is_printed(first_run, places):
    own = {} if FULL else {"CREWLOG_VAR": str(places[0].parent)}  # where the demo of all tests keeps its files
    result = run("verify_records", DATABASE_URL=f"sqlite:///{quote(str(places[0]))}", **own)
    assert result.returncode == 0, result.stderr
    heads = re.findall(r"^Head ([0-9a-f]{64})$", first_run, re.MULTILINE)
    assert len(heads) == 2
    assert all(head in result.stdout for head in heads)


def test_second_run_over_its_own_database_says_the_same_and_serves_the_site(first_run, places, tmp_path):
    database, out = tmp_path / "again.sqlite3", tmp_path / "again"
    shutil.copy(places[0], database)
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    log = database.with_name("second.txt")
    with log.open("w") as stream:
        site = subprocess.Popen(
            [sys.executable, "manage.py", "demo", "--database", str(database), "--out", str(out), "--port", str(port)],
            cwd=REPO, env=kept, stdout=stream, stderr=subprocess.STDOUT,
        )  # fmt: skip
    try:
        page = first_page(f"http://127.0.0.1:{port}/accounts/login/", site)
    finally:
        site.terminate()
        site.wait(timeout=20)
    second = log.read_text().replace(str(database), str(places[0])).replace(str(out), str(places[1]))
    assert "Sallow" in second
    assert "<form" in page
    assert "Sign in to the demo as" in page
    walked = without_hashes(first_run).split("Verify again")[0]
    assert without_hashes(second).startswith(walked)
    assert f"http://127.0.0.1:{port}/" in second


def first_page(address, site, *, within_s=240):
    started = time.monotonic()
    while time.monotonic() - started < within_s:
        assert site.poll() is None, "the demo ended before it served"
        try:
            with urllib.request.urlopen(address, timeout=20) as answer:  # noqa: S310 - our own site
                return answer.read().decode()
        except OSError:
            time.sleep(0.3)
    raise AssertionError("no page was served")


def test_foreign_database_ends_the_command_with_one_line(tmp_path):
    path = tmp_path / "store.sqlite3"
    database_of_another(path)
    before = path.read_bytes()
    result = run("demo", "--no-serve", "--database", str(path), "--out", str(tmp_path / "out"))
    assert result.returncode == 1
    assert result.stderr.strip().count("\n") == 0
    assert "is not a demo database" in result.stderr
    assert path.read_bytes() == before
