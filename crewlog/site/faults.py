"""Which fault of the machine an exception tells of: a full disk, a folder or a database that is gone."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import Error as DatabaseError
from django.db import InterfaceError

from crewlog.site.waiting import waiting_migrations


@dataclass(frozen=True, slots=True)
class MachineFault:
    """What is wrong with the machine, in one sentence, what to do, and when it is worth asking again."""

    code: str
    words: str
    cure: str
    retry_after_s: int = 60


class MachineError(Exception):
    """A fault that we found ourselves, before anything was written."""

    def __init__(self, fault: MachineFault) -> None:
        super().__init__(f"{fault.code}: {fault.words}")
        self.fault = fault


TELL = "Tell who runs the server."
DISK_FULL = MachineFault("disk-full", "The server's disk is full.", f"{TELL} Send it again once there is room.", 300)
READ_ONLY = MachineFault("read-only", "The server may not write to its disk or database.", TELL, 300)
DISK_FAULT = MachineFault("disk-fault", "The server's disk could not be read or written.", TELL, 300)
BUSY = MachineFault(
    "database-busy", "The database is locked by another writer.", "Wait a few seconds, send it again.", 5
)
TOO_MANY = MachineFault(
    "too-much-at-once", "The server has no room for another request now.", "Send it again soon.", 10
)
NO_DATABASE = MachineFault("database-gone", "The database does not answer.", f"{TELL} Send it again later.")
FILE_MISSING = MachineFault(
    "database-gone", "The database file is missing.", f"{TELL} The file has to be put back before anything is recorded."
)
FILE_REPLACED = MachineFault(
    "database-replaced",
    "The database file was removed or replaced while the program was running.",
    f"{TELL} The right file has to be in its place, then the program is started again.",
)
DAMAGED = MachineFault(
    "database-damaged", "The database file is damaged.", f"{TELL} It has to be restored from a back-up.", 300
)
NOT_MIGRATED = MachineFault(
    "database-not-migrated",
    "The database was not set up for this version of the program.",
    f"{TELL} The command “manage.py migrate” sets it up.",
    300,
)
NO_FILES = MachineFault(
    "files-gone", "The folder of photographs and documents is missing.", f"{TELL} The folder has to be put back.", 300
)

BY_ERRNO = {
    errno.ENOSPC: DISK_FULL,
    errno.EDQUOT: DISK_FULL,
    errno.EFBIG: DISK_FULL,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EPERM: READ_ONLY,
    errno.EIO: DISK_FAULT,
    errno.EMFILE: TOO_MANY,
    errno.ENFILE: TOO_MANY,
    errno.ENOMEM: TOO_MANY,
}
# Primary result codes of SQLite: the extended ones hold them in their low byte.
BY_SQLITE = {
    sqlite3.SQLITE_FULL: DISK_FULL,
    sqlite3.SQLITE_READONLY: READ_ONLY,
    sqlite3.SQLITE_PERM: READ_ONLY,
    sqlite3.SQLITE_BUSY: BUSY,
    sqlite3.SQLITE_LOCKED: BUSY,
    sqlite3.SQLITE_PROTOCOL: BUSY,
    sqlite3.SQLITE_IOERR: DISK_FAULT,
    sqlite3.SQLITE_CANTOPEN: NO_DATABASE,
    sqlite3.SQLITE_CORRUPT: DAMAGED,
    sqlite3.SQLITE_NOTADB: DAMAGED,
}
# Codes of PostgreSQL, the longest beginning first.
BY_SQLSTATE = (
    ("53100", DISK_FULL),
    ("25006", READ_ONLY),
    ("53300", TOO_MANY),
    ("53", TOO_MANY),
    ("55P03", BUSY),
    ("57014", BUSY),
    ("40", BUSY),
    ("57P", NO_DATABASE),
    ("08", NO_DATABASE),
    ("3D000", NO_DATABASE),
    ("28", NO_DATABASE),
    ("58030", DISK_FAULT),
    ("XX001", DAMAGED),
    ("XX002", DAMAGED),
)
UNDEFINED_TABLE = ("42P01", "42703")


def causes(error: BaseException | None) -> Iterator[BaseException]:
    """The error and what it came of, each once."""
    seen: set[int] = set()
    while error is not None and id(error) not in seen:
        seen.add(id(error))
        yield error
        error = error.__cause__ or error.__context__


def fault_of(error: BaseException) -> MachineFault | None:
    """The machine's fault that an error tells of; None when it is a fault of the program or of the request."""
    for each in causes(error):
        found = own_fault(each)
        if found is not None:
            return found
    return None


def own_fault(error: BaseException) -> MachineFault | None:
    if isinstance(error, MachineError):
        return error.fault
    if isinstance(error, sqlite3.Error):
        return sqlite_fault(error)
    if isinstance(error, OSError):
        return file_fault(error)
    if hasattr(error, "sqlstate"):
        return postgresql_fault(error)
    return NO_DATABASE if isinstance(error, InterfaceError) else None


def sqlite_fault(error: sqlite3.Error) -> MachineFault | None:
    code = getattr(error, "sqlite_errorcode", None)
    if code is None:
        return None
    if str(error).startswith(("no such table", "no such column")) or " has no column named " in str(error):
        return schema_fault()
    if code == sqlite3.SQLITE_READONLY_DBMOVED:
        return FILE_REPLACED
    return BY_SQLITE.get(code & 0xFF)


def postgresql_fault(error: Any) -> MachineFault | None:
    state = error.sqlstate
    if state is None:  # the server was not reached, or the connection was lost
        return (
            NO_DATABASE if type(error).__name__ in ("OperationalError", "ConnectionTimeout", "InterfaceError") else None
        )
    if state in UNDEFINED_TABLE:
        return schema_fault()
    return next((fault for beginning, fault in BY_SQLSTATE if state.startswith(beginning)), None)


def schema_fault() -> MachineFault | None:
    """A table that is not there is the machine's fault only where migrations wait: else the program's."""
    try:
        return NOT_MIGRATED if waiting_migrations() else None
    except (DatabaseError, sqlite3.Error):
        return NOT_MIGRATED


def file_fault(error: OSError) -> MachineFault | None:
    """A fault of the file system; a file that is merely not there is the program's, but for the folders we write to."""
    found = BY_ERRNO.get(error.errno or 0)
    if found is not None:
        where = place_of(error.filename)
        return replace(found, words=f"{found.words[:-1]} ({where}).") if where else found
    if error.errno == errno.ENOENT and place_of(error.filename) and not Path(settings.FILES_DIR).is_dir():
        return NO_FILES
    return None


def place_of(filename: Any) -> str:
    """Which of our folders a file lies in; empty for any other."""
    if not isinstance(filename, str | bytes | Path):
        return ""
    path = Path(filename.decode(errors="replace") if isinstance(filename, bytes) else filename)
    return "photographs and documents" if path.is_relative_to(Path(settings.FILES_DIR)) else ""
