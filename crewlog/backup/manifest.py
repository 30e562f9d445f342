"""The list of what a back-up holds: written last, so that what has none is no back-up."""

import datetime as dt
import hashlib
import json
import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from crewlog.backup.errors import CopyInputError, CopyRefused
from crewlog.backup.proof import Head, as_json
from crewlog.backup.rows import Counted

FORMAT = 1
MANIFEST, DATABASE, FILES, KEY = "manifest.json", "database.sqlite3", "files", "secret-key"
UNFINISHED = ".unfinished"
NAME = re.compile(r"crewlog-\d{8}T\d{6}Z")
PLACE = re.compile(rf"{re.escape(DATABASE)}|{KEY}|{FILES}/[0-9a-f]{{2}}/[0-9a-f]{{64}}")


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a back-up says of itself."""

    taken_at: dt.datetime
    vendor: str  # of the database it was taken from; the copy is always a SQLite file
    migrations: Mapping[str, str]  # the last one by app
    heads: list[Head]
    tables: list[Counted]
    files: Mapping[str, tuple[str, int]]  # sha256 and length by place
    missing: list[str] = field(default_factory=list)  # files the rows name and that were gone already

    def text(self) -> str:
        said = {
            "format": FORMAT,
            "taken_at": self.taken_at.isoformat(),
            "database": {"kind": self.vendor, "migrations": self.migrations},
            "companies": [as_json(head) for head in self.heads],
            "tables": {t.table: {"rows": t.rows, "sha256": t.digest} for t in self.tables},
            "files": {place: {"sha256": sha, "bytes": size} for place, (sha, size) in sorted(self.files.items())},
            "missing_files": self.missing,
        }
        return json.dumps(said, indent=1, ensure_ascii=False) + "\n"


def read_manifest(folder: Path) -> Manifest:
    """The manifest of a finished back-up. Raises CopyInputError for a folder that is none."""
    try:
        said = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise CopyInputError(no_backup(folder)) from error
    except (OSError, ValueError) as error:
        raise CopyInputError(f"{folder / MANIFEST} cannot be read: {error}.") from error
    if folder.name.endswith(UNFINISHED):
        raise CopyInputError(f"{folder} was interrupted before it was whole.")
    try:
        return from_json(said)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise CopyInputError(f"{folder / MANIFEST} is not a manifest of format {FORMAT}.") from error


def no_backup(folder: Path) -> str:
    if folder.name.endswith(UNFINISHED):
        return f"{folder} was interrupted before it was whole."
    newest = max((path for path in folder.glob(f"*/{MANIFEST}") if NAME.fullmatch(path.parent.name)), default=None)
    if newest is not None:
        return f"{folder} holds back-ups. Give one of them; the newest is {newest.parent}."
    return f"{folder} is no back-up: it has no {MANIFEST}."


def from_json(said: Any) -> Manifest:
    if said["format"] != FORMAT:
        raise ValueError("another format")
    files = {place: (entry["sha256"], int(entry["bytes"])) for place, entry in said["files"].items()}
    if DATABASE not in files or not all(PLACE.fullmatch(place) for place in files):
        raise ValueError("places that no back-up has")  # a manifest never leads out of its folder
    return Manifest(
        taken_at=dt.datetime.fromisoformat(said["taken_at"]),
        vendor=said["database"]["kind"],
        migrations=dict(said["database"]["migrations"]),
        heads=[Head(c["company"], c["name"], int(c["records"]), c["head"]) for c in said["companies"]],
        tables=[Counted(name, int(t["rows"]), t["sha256"]) for name, t in said["tables"].items()],
        files=files,
        missing=list(said["missing_files"]),
    )


def check_files(folder: Path, manifest: Manifest) -> None:
    """Hash every file of a back-up. Raises CopyRefused naming the first that is missing or not what was written."""
    for place, (sha256, size) in manifest.files.items():
        try:
            found = (digest(folder / place), (folder / place).stat().st_size)
        except OSError as error:
            raise CopyRefused(f"The back-up is damaged: {place} cannot be read.", code="backup-damaged") from error
        if found != (sha256, size):
            raise CopyRefused(f"The back-up is damaged: {place} was changed.", code="backup-damaged")


def digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def sync(path: Path) -> None:
    """Have the disk hold a file or a folder before going on."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
