"""The folder of kept files: each under the sha256 of its content, outside of what the web server hands out."""

from __future__ import annotations

import errno
import hashlib
import os
import re
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.db import models

from crewlog.files.columns import FileHashField
from crewlog.files.photographs import thumbnail_of

ORPHAN_AFTER_S = 24 * 60 * 60
CHUNK = 1 << 20
THUMB = ".thumb"
_HASH = re.compile(r"[0-9a-f]{64}")


def path_of(sha256: str) -> Path:
    """Where a file's bytes lie. Raises ValueError for what is no hash."""
    if not _HASH.fullmatch(sha256):
        raise ValueError("not a sha256")
    return Path(settings.FILES_DIR) / sha256[:2] / sha256


def keep(content: bytes) -> str:
    """Keep bytes under their hash; the same bytes are kept once. They stand whole or not at all."""
    sha256 = hashlib.sha256(content).hexdigest()
    path = path_of(sha256)
    if path.exists() and digest(path) == sha256:
        os.utime(path)  # young again, so that a sweep leaves it to the row that is about to name it
        return sha256
    write_whole(path, content)
    return sha256


def is_kept(sha256: str) -> bool:
    """Whether bytes lie under a hash; whether they are still the right ones is read by `file_fault`."""
    return path_of(sha256).is_file()


def write_whole(path: Path, content: bytes) -> None:
    """Write beside its place, then move it there in one step.

    The folder of all files is made for the first file only: one that went missing is not made anew. Raises OSError.
    """
    root = Path(settings.FILES_DIR)
    if not root.is_dir():
        if any_named():
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), str(root))
        root.mkdir(mode=0o700, parents=True, exist_ok=True)
    path.parent.mkdir(mode=0o700, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix="part-")
    try:
        with os.fdopen(handle, "wb") as part:
            part.write(content)
            part.flush()
            os.fsync(part.fileno())
        os.replace(name, path)
    except BaseException as fault:
        Path(name).unlink(missing_ok=True)
        if isinstance(fault, OSError) and fault.errno and fault.filename is None:
            fault.filename = name  # a full disk names no file by itself
        raise


def digest(path: Path) -> str:
    """sha256 of a file, read in pieces."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def file_fault(sha256: str) -> str:
    """Why the bytes under a hash are not what was kept; empty when they are."""
    try:
        found = digest(path_of(sha256))
    except FileNotFoundError:
        return f"the file {sha256} is missing"
    return "" if found == sha256 else f"the file {sha256} was changed"


def thumbnail_path(sha256: str) -> Path:
    """The small picture of a kept photograph, made when it is first asked for."""
    path = path_of(sha256)
    thumb = path.with_name(path.name + THUMB)
    if not thumb.exists():
        write_whole(thumb, thumbnail_of(path.read_bytes()))
    return thumb


def hash_columns() -> Iterator[tuple[type[models.Model], str]]:
    """Every model and column that names kept files."""
    for model in apps.get_models():
        for column in model._meta.concrete_fields:
            if isinstance(column, FileHashField):
                yield model, column.attname


def named(hashes: set[str]) -> set[str]:
    """Those of the hashes that a row names."""
    found: set[str] = set()
    for model, column in hash_columns():
        rows = model._default_manager.filter(**{f"{column}__in": hashes})
        found |= set(rows.values_list(column, flat=True))
    return found


def any_named() -> bool:
    """Whether any row names a kept file."""
    return any(model._default_manager.exclude(**{column: ""}).exists() for model, column in hash_columns())


def sweep_files(*, older_than_s: float = ORPHAN_AFTER_S) -> int:
    """Remove files that no row names and that are older than a day. Returns how many went."""
    root, gone, limit = Path(settings.FILES_DIR), 0, time.time() - older_than_s
    for folder in sorted(root.iterdir()) if root.exists() else ():
        old = [path for path in folder.iterdir() if path.stat().st_mtime <= limit]
        kept = named({path.name.removesuffix(THUMB) for path in old})
        for path in old:
            if path.name.removesuffix(THUMB) not in kept:
                path.unlink(missing_ok=True)
                gone += 1
    return gone
