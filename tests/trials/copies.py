"""Copy the demo every way there is and compare every row of every table, as SQLite itself reads the two files.

    python -m tests.trials.copies [FOLDER]

FOLDER holds a demo that stands already; without it one is made.

SQLite to SQLite by back-up and restore; SQLite to PostgreSQL to SQLite by move; PostgreSQL by back-up and restore. On
both kinds a back-up is taken while a process enters records: what was acknowledged before it began has to be in it.
"""

import json
import os
import select
import subprocess
import sys
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path

from tests.backup.raw import counters, everything
from tests.demo_made import copied
from tests.trials.sigkill import ROOT

WORDS_BEFORE = 6  # acknowledgements awaited before the back-up begins


def run(*words, **environment):
    done = subprocess.run(
        [sys.executable, "manage.py", *map(str, words)], cwd=ROOT, env=os.environ | environment,
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    if done.returncode:
        raise SystemExit(f"{words[0]}: {done.stderr}")
    return done.stdout


def file_url(path):
    return f"sqlite:///{path}"


def newest(folder):
    return max(folder.glob("crewlog-*Z"))


def same(one, other, what, say):
    """Compare two files whole. Returns whether they are equal."""
    ours, theirs = everything(one), everything(other)
    differing = sorted(name for name in ours.keys() | theirs.keys() if ours.get(name) != theirs.get(name))
    rows = sum(len(found) for found in ours.values())
    numbers = "equal" if counters(one) == counters(other) else "differ"
    say(f"{what}: {len(ours)} tables, {rows} rows, {len(differing)} tables differ, last numbers {numbers}")
    return not differing and numbers == "equal"


def heads(url):
    return [verdict["head"] for verdict in json.loads(run("verify_records", "--json", DATABASE_URL=url))]


def copy_every_way(folder, address, say, *, made=None):
    """Back up and restore the demo, move it there and back. Returns whether all of it is equal."""
    from tests.postgresql.server import make_database

    demo, restored, back = (folder / f"{name}.sqlite3" for name in ("demo", "restored", "back"))
    if made is None:
        run("demo", "--no-serve", "--database", demo, "--out", folder / "out")
    else:
        copied(made, demo)
    files = sum(1 for path in (folder / "files").rglob("*") if path.is_file())
    say(f"The demo: {files} files")
    began = time.monotonic()
    run("backup", folder / "one", DATABASE_URL=file_url(demo))
    say(f"Backed up in {time.monotonic() - began:.1f} s")
    run("restore", newest(folder / "one"), DATABASE_URL=file_url(restored))
    equal = same(demo, restored, "SQLite, back-up, restore, SQLite", say)
    there, again = make_database(address, "moved"), make_database(address, "again")
    run("move", "--to", there, DATABASE_URL=file_url(demo))
    run("move", "--to", file_url(back), DATABASE_URL=there)
    equal &= same(demo, back, "SQLite, move, PostgreSQL, move, SQLite", say)
    run("backup", folder / "two", DATABASE_URL=there)
    equal &= same(demo, newest(folder / "two") / "database.sqlite3", "PostgreSQL, back-up", say)
    run("restore", newest(folder / "two"), DATABASE_URL=again)
    last = folder / "last.sqlite3"
    run("move", "--to", file_url(last), DATABASE_URL=again)
    equal &= same(demo, last, "PostgreSQL, back-up, restore, PostgreSQL, move, SQLite", say)
    found = [heads(url) for url in (file_url(demo), file_url(restored), there, file_url(back), again, file_url(last))]
    say(f"Heads of {len(found)} databases: {'equal' if all(one == found[0] for one in found) else 'differ'}")
    return equal and all(one == found[0] for one in found)


def back_up_while_writing(url, folder, say):
    """Take a back-up while a process writes. Returns how many acknowledged before it began are missing from it."""
    from tests.trials import sigkill

    sigkill.set_up(url, folder)
    from tests.trials import writer

    child, reading = writer.start("W")
    before = b""
    while before.count(b"\n") < WORDS_BEFORE:
        select.select([reading], [], [], 60)
        before += os.read(reading, 4096)
    run("backup", folder / "busy", DATABASE_URL=url)
    writer.kill(child)
    after = writer.acknowledged(reading)
    said = [tuple(line.split()) for line in before[: before.rfind(b"\n")].decode().splitlines()]
    copy = newest(folder / "busy")
    missing = [row for row in said if not is_in(copy, *row)]
    late = sum(is_in(copy, *row) for row in after)
    say(
        f"Back-up while writing: {len(said)} acknowledged before it began, {len(missing)} of them missing; "
        f"{len(after)} acknowledged after that, {late} of them in it"
    )
    return len(missing)


def is_in(copy, table, key, *files):
    from crewlog.backup.databases import opened, sqlite_unchanging
    from crewlog.files.keeping import digest

    with opened(sqlite_unchanging(copy / "database.sqlite3"), "busy_copy") as connection, connection.cursor() as cursor:
        column = connection.introspection.get_primary_key_column(cursor, table)
        cursor.execute(f"SELECT count(*) FROM {table} WHERE {column} = %s", [key])  # noqa: S608 - our own tables
        stored = cursor.fetchone() == (1,)
    return stored and all(digest(copy / "files" / name[:2] / name) == name for name in files)


def main(arguments=None, say=print):
    """`busy sqlite` and `busy postgresql` are runs of their own: settings are read once a process."""
    from tests.postgresql.server import make_database, postgresql_server

    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="crewlog-copies-")))
        os.environ.update(CREWLOG_VAR=str(folder), CREWLOG_FILES=str(folder / "files"), CREWLOG_SECRET_KEY="of a trial")
        os.environ.pop("DATABASE_URL", None)
        if arguments == ["busy", "sqlite"]:
            return back_up_while_writing(file_url(folder / "busy.sqlite3"), folder, say)
        address = stack.enter_context(postgresql_server())
        if arguments == ["busy", "postgresql"]:
            return back_up_while_writing(make_database(address, "busy"), folder, say)
        made = Path(arguments[0]) if arguments else None
        return 0 if copy_every_way(folder, address, say, made=made) else 1


def main_of_all():
    if sys.argv[1:2] == ["busy"]:
        return main(sys.argv[1:])
    busy = [[sys.executable, "-m", "tests.trials.copies", "busy", kind] for kind in ("sqlite", "postgresql")]
    failed = main(sys.argv[1:])
    sys.stdout.flush()
    return failed or max(subprocess.run(command, cwd=ROOT, check=False).returncode for command in busy)


if __name__ == "__main__":
    sys.exit(main_of_all())
