"""The database as the running program holds it: the same file still, writable, set up for this version."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from django.contrib.sessions.models import Session
from django.db import connection, transaction
from django.utils import timezone

from crewlog.site.faults import FILE_MISSING, FILE_REPLACED, MachineError
from crewlog.site.stamps import write_stamp

Identity = tuple[int, int]
OPEN_FILES = Path("/proc/self/fd")
PROBE_WAIT_MS = 2000


class HeldFile:
    """The SQLite file this process works on, known by device and inode since its first use."""

    def __init__(self) -> None:
        self.path: Path | None = None
        self.identity: Identity | None = None

    def check(self) -> None:
        """Raise MachineError when the file's place holds nothing, or another file than at first. Costs one stat."""
        path = database_file()
        if path is None:
            return
        found = identity_of(path)
        if found is None:
            raise self.gone(MachineError(FILE_MISSING))
        if self.path != path:
            self.path, self.identity = path, found
            say_held(path, found)
        elif self.identity != found:
            raise self.gone(MachineError(FILE_REPLACED))

    def check_log(self) -> None:
        """After a write: neither the file nor the log it was written to was unlinked meanwhile."""
        self.check()
        if self.path is not None and any(unlinked(self.path)):
            raise self.gone(MachineError(FILE_REPLACED))

    @staticmethod
    def gone(fault: MachineError) -> MachineError:
        if not connection.in_atomic_block:
            connection.close()
        return fault


held_file = HeldFile()


def database_file() -> Path | None:
    """The SQLite file; None on PostgreSQL and for a database in memory."""
    name = str(connection.settings_dict["NAME"])
    if connection.vendor != "sqlite" or ":memory:" in name or "mode=memory" in name:
        return None
    return Path(name)


def say_held(path: Path, identity: Identity) -> None:
    """Tell `check_site` which file this process works on; where that cannot be said, it is not."""
    with suppress(OSError):
        write_stamp("serving", pid=os.getpid(), path=str(path), identity=list(identity))


def identity_of(path: Path) -> Identity | None:
    try:
        found = os.stat(path)
    except (FileNotFoundError, NotADirectoryError):
        return None
    return found.st_dev, found.st_ino


def unlinked(path: Path) -> Iterator[str]:
    """Open files of this process that were the database or its log, and have no place any more (Linux)."""
    names = {f"{path}{ending} (deleted)" for ending in ("", "-wal")}
    try:
        handles = os.listdir(OPEN_FILES)
    except OSError:
        return
    for handle in handles:
        try:
            target = os.readlink(OPEN_FILES / handle)
        except OSError:
            continue
        if target in names:
            yield target


def try_to_write() -> None:
    """Write a row and take it back; raises what stands in the way. Waits two seconds at most for another writer."""
    with short_wait(), transaction.atomic():
        Session.objects.create(session_key=secrets.token_hex(16), session_data="", expire_date=timezone.now())
        transaction.set_rollback(True)


@contextmanager
def short_wait() -> Iterator[None]:
    """Wait two seconds for a lock, not as long as a writer does."""
    if connection.vendor != "sqlite":
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(f"SET LOCAL lock_timeout = {PROBE_WAIT_MS}")
            yield
        return
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout")
        (usual,) = cursor.fetchone()
        cursor.execute(f"PRAGMA busy_timeout = {PROBE_WAIT_MS}")
        try:
            yield
        finally:
            cursor.execute(f"PRAGMA busy_timeout = {int(usual)}")
