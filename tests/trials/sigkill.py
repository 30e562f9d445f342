"""Kill while writing, and see whether what was acknowledged is stored and the chain is whole.

    python -m tests.trials.sigkill --times 300 --database sqlite
    python -m tests.trials.sigkill --times 300 --database postgresql

Each time a writer is started, killed with SIGKILL at a random moment, and all it acknowledged is looked up. On
PostgreSQL every tenth kill (`--server-every`) takes the server instead: in turn the backend of the writer (SIGKILL: the
server recovers from a crash) and the whole server (stopped at once, started again, fsync on). `--backups N` then kills
N back-ups at random moments and proves every folder that has the name of a whole one.

SIGKILL ends processes, not the machine: what the system holds for the disk is not lost. A power cut is not tried.
"""

import argparse
import os
import random
import select
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import ExitStack, contextmanager
from pathlib import Path

from tests.given import Given

ROOT = Path(__file__).resolve().parents[2]
LONGEST_S = 0.6  # of a writer's life after its first word: some ten commits on a quiet machine
WHOLE = "crewlog-????????T??????Z"


@contextmanager
def database(kind, folder):
    """Address of an empty database of the kind, on a server that keeps what it commits."""
    if kind == "sqlite":
        yield f"sqlite:///{folder / 'trial.sqlite3'}"
        return
    from tests.postgresql.server import DURABLE, make_database, postgresql_server

    with postgresql_server(DURABLE) as address:
        yield make_database(address, "trial")


def set_up(url, folder):
    """Point the settings at the trial's own database and folders, and make the tables."""
    os.environ.update(
        DJANGO_SETTINGS_MODULE="tests.settings", DATABASE_URL=url, CREWLOG_VAR=str(folder / "var"),
        CREWLOG_FILES=str(folder / "files"), CREWLOG_SECRET_KEY="only for a trial", CREWLOG_LOCAL="yes",
    )  # fmt: skip
    import django

    django.setup()
    from django.core.management import call_command

    from tests.trials import writer

    call_command("migrate", verbosity=0)
    call_command("createcachetable", "crewlog_cache", verbosity=0)
    writer.prepare()


def one_kill(number, chance, how):
    """Start a writer, end it at a random moment. Returns what it acknowledged."""
    from tests.trials import writer

    child, reading = writer.start(f"T{number}")
    select.select([reading], [], [], 60)  # until its first word, so that it dies while it writes
    time.sleep(chance.random() * LONGEST_S)
    how(child)
    return writer.acknowledged(reading)


def kill_writer(child):
    from tests.trials import writer

    writer.kill(child)


def kill_backend(child):
    """SIGKILL to the server's process that serves the writer, in the middle of whatever it does."""
    import psycopg
    from django.conf import settings

    config: Given = settings.DATABASES["default"]
    with psycopg.connect(host=config["HOST"], user=config["USER"], dbname=config["NAME"], autocommit=True) as server:
        rows = server.execute(
            "SELECT pid FROM pg_stat_activity WHERE datname = 'trial' AND pid <> pg_backend_pid() "
            "AND backend_type = 'client backend'"
        ).fetchall()
    for (pid,) in rows:
        os.kill(pid, signal.SIGKILL)
    kill_writer(child)
    wait_for_server(config)


def crash_server(child):
    """The whole server stops at once and starts again: what it has committed comes from its log."""
    from django.conf import settings

    from tests.postgresql.server import DURABLE, start, stop

    folder = Path(str(settings.DATABASES["default"]["HOST"]))
    stop(folder)
    kill_writer(child)
    start(folder, DURABLE)


def wait_for_server(config):
    import psycopg

    for _ in range(200):
        try:
            psycopg.connect(host=config["HOST"], user=config["USER"], dbname=config["NAME"]).close()
        except psycopg.OperationalError:
            time.sleep(0.05)
        else:
            return
    raise AssertionError("the server did not come back")


def lost(lines):
    """Those of the acknowledged rows that are not stored, and files that are not whole."""
    from django.db import connection

    from crewlog.files.keeping import file_fault

    connection.close()
    gone = []
    with connection.cursor() as cursor:
        for table, key, *files in lines:
            column = connection.introspection.get_primary_key_column(cursor, table)
            cursor.execute(f"SELECT count(*) FROM {table} WHERE {column} = %s", [key])  # noqa: S608 - our own tables
            if cursor.fetchone() != (1,) or any(file_fault(sha256) for sha256 in files):
                gone.append((table, key, *files))
    connection.close()
    return gone


def faults():
    """What recomputing every chain finds; files and columns that repeat the records included."""
    from django.db import connection

    from crewlog.evidence import verify
    from crewlog.models import Company

    connection.close()
    found = [verdict.fault for verdict in (verify(company, files=True) for company in Company.objects.all())]
    connection.close()
    return [fault for fault in found if fault]


def run_kills(kind, times, chance, *, say, server_every=10):
    """Kill that many writers. Returns figures."""
    figures = {"kills": 0, "acknowledged": 0, "lost": 0, "faults": 0, "backend": 0, "server": 0}
    for number in range(1, times + 1):
        how = kill_writer
        if kind == "postgresql" and number % server_every == 0:
            how = kill_backend if number % (2 * server_every) else crash_server
            figures["server" if how is crash_server else "backend"] += 1
        lines = one_kill(number, chance, how)
        figures["kills"] += 1
        figures["acknowledged"] += len(lines)
        for row in lost(lines):
            figures["lost"] += 1
            say(f"kill {number}: acknowledged and not stored: {row}")
        if number % 50 == 0 or number == times:
            for fault in faults():
                figures["faults"] += 1
                say(f"kill {number}: {fault}")
            say(f"{number} kills, {figures['acknowledged']} acknowledged, {figures['lost']} lost")
    return figures


def run_backups(times, chance, into, *, say):
    """Kill that many back-ups while a writer writes. Returns figures; what has the name of a whole one is proved."""
    from tests.trials import writer

    took = seconds_of_work(into)
    for number in range(times):
        child, reading = writer.start(f"B{number}")
        select.select([reading], [], [], 60)
        backup = begun_backup(into)
        time.sleep(took * chance.uniform(0.0, 1.1))
        backup.kill()
        backup.wait()
        writer.kill(child)
        writer.acknowledged(reading)
    whole, left = sorted(into.glob(WHOLE)), sorted(into.glob("*.unfinished"))
    false = [path for path in whole if manage("restore", path, "--check").wait() != 0]
    false += [path for path in left if manage("restore", path, "--check").wait() == 0]
    for path in false:
        say(f"{path} passes for what it is not")
    return {"backups killed": times, "whole": len(whole), "left unfinished": len(left), "false": len(false)}


def begun_backup(into):
    """A back-up that has made its folder and is at work in it."""
    before = set(into.glob("*"))
    backup = manage("backup", into)
    while backup.poll() is None and not set(into.glob("*")) - before:
        time.sleep(0.01)
    return backup


def seconds_of_work(into):
    into.mkdir()
    backup, started = begun_backup(into), time.monotonic()
    assert backup.wait() == 0
    return time.monotonic() - started


def manage(*words):
    command = [sys.executable, "manage.py", *map(str, words)]
    return subprocess.Popen(
        command,
        cwd=ROOT,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "crewlog.settings"},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


def main(arguments=None, say=print):
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--times", type=int, default=300)
    parser.add_argument("--database", choices=("sqlite", "postgresql"), default="sqlite")
    parser.add_argument("--server-every", type=int, default=10, help="which kill takes the server, on PostgreSQL")
    parser.add_argument("--backups", type=int, default=20, help="how many back-ups are killed afterwards")
    parser.add_argument("--seed", type=int, default=1, help="of the moments")
    parser.add_argument("-v", action="store_true", help="print what ends a writer")
    given = parser.parse_args(arguments)
    chance, started = random.Random(given.seed), time.monotonic()
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="crewlog-trial-")))
        set_up(stack.enter_context(database(given.database, folder)), folder)
        figures = run_kills(given.database, given.times, chance, say=say, server_every=given.server_every)
        if given.backups:
            figures |= run_backups(given.backups, chance, folder / "backups", say=say)
        from django.db import connection

        connection.close()
    say(f"{given.database}: {figures} in {time.monotonic() - started:.0f} s")
    return 1 if figures["lost"] or figures["faults"] or figures.get("false") else 0


if __name__ == "__main__":
    sys.exit(main())
