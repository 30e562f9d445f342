"""The high-water mark: each chain's latest record, noted in a file outside the database after every commit.

Who removes the end of a chain in the database, or puts an older copy in its place, does not remove it from the file.
One line a commit: sequence, hash, and when it was noted. Lines are only ever added.
"""

import datetime as dt
import fcntl
import hashlib
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import connections, transaction

from crewlog.models import Company, Record

LINE = re.compile(r"(\d{1,18}) ([0-9a-f]{64}) (\S+)\Z")


@dataclass(frozen=True, slots=True)
class Mark:
    """A record that was committed, as the file says."""

    sequence: int
    hash: str
    noted_at: dt.datetime


def marks_file(company_id: int, using: str = "default") -> Path:
    """Where the marks of one company in one database lie."""
    return Path(settings.HEADS_DIR) / f"{database_key(using)}-{company_id}.heads"


def database_key(using: str) -> str:
    """Which database marks are of: a copy under another name or on another server begins with none."""
    config = connections[using].settings_dict
    names = ":".join(str(config.get(name) or "") for name in ("HOST", "PORT", "NAME"))
    return hashlib.sha256(names.encode()).hexdigest()[:16]


def forget_marks(using: str = "default") -> None:
    """Remove the marks of a database that is made afresh: the demo's, and no other."""
    for path in Path(settings.HEADS_DIR).glob(f"{database_key(using)}-*.heads"):
        path.unlink()


def mark_on_commit(company: Company) -> None:
    """Have the chain's end noted once the transaction is committed. What fails then is logged: the record stands."""

    def note() -> None:
        note_end(company.pk)

    transaction.on_commit(note, robust=True)


def note_end(company_id: int, using: str = "default") -> None:
    """Note the end of a chain as it is committed; once for all records of one transaction."""
    connection = connections[using]
    last = Record.objects.using(using).filter(company=company_id).order_by("-sequence")
    end = last.values_list("sequence", "hash").first()
    noted: dict[int, str] = connection.__dict__.setdefault("crewlog_noted", {})
    if end is None or noted.get(company_id) == end[1]:
        return
    write_mark(marks_file(company_id, using), Mark(end[0], end[1], dt.datetime.now(dt.UTC)))
    noted[company_id] = end[1]


def write_mark(path: Path, mark: Mark) -> None:
    """Add a line, whole and on the disk before this returns; several processes take turns."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o600), "r+b") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        size = file.seek(0, os.SEEK_END)
        broken = size > 0 and os.pread(file.fileno(), 1, size - 1) != b"\n"  # a machine that went down while writing
        line = f"{mark.sequence} {mark.hash} {mark.noted_at.isoformat()}\n"
        file.write((b"\n" if broken else b"") + line.encode())
        file.flush()
        os.fdatasync(file.fileno())


def read_marks(path: Path, upto: int | None = None) -> Iterator[Mark]:
    """The marks of a file, or of its first bytes, in the order noted. A line that was not finished is left out."""
    if not path.exists():
        return
    read = 0
    with path.open("rb") as file:
        for line in file:
            read += len(line)
            if upto is not None and read > upto:
                return
            found = LINE.match(line.decode("ascii", errors="replace").rstrip("\n"))
            if found is None:
                continue
            try:
                noted_at = dt.datetime.fromisoformat(found[3])
            except ValueError:
                continue
            yield Mark(int(found[1]), found[2], noted_at)
