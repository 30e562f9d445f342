"""A PostgreSQL server of the tests' own: a private socket, no durability, gone afterwards."""

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote, unquote, urlsplit

import psycopg

from tests.needs import missing, postgresql_folder

QUICK = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c max_connections=100"
DURABLE = "-c max_connections=30"  # as a server comes: what is committed is on the disk


@contextmanager
def postgresql_server(options: str = QUICK, *, folder: Path | None = None, wal_mb: int | None = None) -> Iterator[str]:
    """Start a server and yield the beginning of its addresses; a database's name goes after it.

    `folder` has it lie in a folder of one's own, `wal_mb` gives its log segments a size, for a small disk.
    """
    programs = postgresql_folder()
    run_as = server_user()
    own = Path(tempfile.mkdtemp(prefix="crewlog-pg-", dir=folder))  # short: a socket's path has room for 107 bytes
    small = () if wal_mb is None else (f"--wal-segsize={wal_mb}",)
    folder = own
    try:
        if run_as:
            shutil.chown(folder, run_as)
        data = folder / "data"
        call(
            run_as, programs / "initdb", "-A", "trust", "-U", "postgres", "--no-sync", "-E", "UTF8", *small, "-D", data
        )
        limits = "" if wal_mb is None else f" -c min_wal_size={2 * wal_mb}MB -c max_wal_size={8 * wal_mb}MB"
        start(folder, options + limits)
        try:
            yield f"postgres://postgres@{quote(str(folder), safe='')}/"
        finally:
            stop(folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def start(folder: Path, options: str = QUICK) -> None:
    """Start the server of a folder; after a stop it recovers what was committed."""
    words = (
        "-w",
        "-s",
        "-D",
        folder / "data",
        "-l",
        folder / "log",
        "-o",
        f"-k {folder} -c listen_addresses='' {options}",
    )
    call(server_user(), postgresql_folder() / "pg_ctl", "start", *words)


def stop(folder: Path) -> None:
    """Stop it at once, as a crash does: nothing is written out that is not."""
    call(server_user(), postgresql_folder() / "pg_ctl", "stop", "-s", "-m", "immediate", "-D", folder / "data")


def folder_of(address: str) -> Path:
    """The folder of the server that an address begins with."""
    return Path(unquote(urlsplit(address).netloc.rpartition("@")[2]))


def make_database(address: str, name: str, *, owner: str = "postgres") -> str:
    """Make a database, and its owner as a plain role. Returns its address."""
    with psycopg.connect(f"{address}postgres", autocommit=True) as server:
        if owner != "postgres":
            server.execute(f'CREATE ROLE "{owner}" LOGIN')
        server.execute(f'CREATE DATABASE "{name}" OWNER "{owner}"')
    return f"{address.replace('//postgres@', f'//{owner}@')}{name}"


def server_user() -> str | None:
    """PostgreSQL refuses to run as root: then it runs as the user its package made."""
    if os.geteuid() != 0:
        return None
    try:
        return pwd.getpwnam("postgres").pw_name
    except KeyError:
        missing("The user postgres")


def call(run_as: str | None, *words: str | Path) -> None:
    command = [str(word) for word in words]
    environment = {**os.environ, "LC_ALL": "C.UTF-8"}
    subprocess.run(command, check=True, user=run_as, cwd="/", env=environment, stdout=subprocess.DEVNULL)
