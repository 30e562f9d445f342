"""Restoring a back-up: proved first, files before the database, the old kept aside, the key last."""

import datetime as dt
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.db import DatabaseError
from django.db.backends.base.base import BaseDatabaseWrapper

from crewlog.backup.databases import (
    Config,
    is_sqlite,
    make_tables,
    migrations_ahead,
    migrations_behind,
    one_state,
    opened,
    sqlite_file,
    sqlite_unchanging,
)
from crewlog.backup.errors import CopyInputError, CopyRefused
from crewlog.backup.manifest import DATABASE, FILES, KEY, Manifest, check_files, digest, read_manifest, sync
from crewlog.backup.marks import known_heads
from crewlog.backup.placing import Placed, must_be_free, place
from crewlog.backup.proof import Head, has_head, lost_by, proved_heads
from crewlog.backup.rows import counted
from crewlog.backup.taking import Site, write_key

OLDER = "The back-up is older than what is known: "


@dataclass(frozen=True, slots=True)
class Wish:
    """How a restore may treat what it finds."""

    since: str | None = None  # a head that the back-up has to hold
    replace: bool = False  # keep what stands in the target aside, and restore in its place
    accept_loss: bool = False  # restore though it is older than a head that is known


@dataclass(frozen=True, slots=True)
class Proved:
    """A back-up whose every file, row and link was recomputed."""

    manifest: Manifest
    heads: list[Head]
    migrated: int  # migrations it had to be brought forward by


@contextmanager
def proved_backup(folder: Path) -> Iterator[tuple[BaseDatabaseWrapper, Proved]]:
    """Open a back-up after recomputing it whole. Raises CopyInputError for what is none, CopyRefused for a damaged one.

    One that an earlier version took is brought up to date in a copy; the back-up itself is never written to.
    """
    manifest = read_manifest(folder)
    check_files(folder, manifest)
    with ExitStack() as stack:
        copy = stack.enter_context(opened(sqlite_unchanging(folder / DATABASE), "backup_copy"))
        if ahead := migrations_ahead(copy):
            raise CopyRefused(f"A later version took this back-up ({ahead[-1]}). Restore with that one.", code="ahead")
        behind = migrations_behind(copy)
        if behind:
            copy = stack.enter_context(brought_forward(folder / DATABASE))
        elif {(t.table, t.rows, t.digest) for t in counted(copy)} != {
            (t.table, t.rows, t.digest) for t in manifest.tables
        }:
            raise CopyRefused("The back-up is damaged: its rows are not those it lists.", code="backup-damaged")
        heads = proved_heads(copy)
        if heads != manifest.heads:
            raise CopyRefused("The back-up is damaged: its chains do not end where it says.", code="backup-damaged")
        stack.enter_context(one_state(copy))
        yield copy, Proved(manifest, heads, len(behind))


@contextmanager
def brought_forward(path: Path) -> Iterator[BaseDatabaseWrapper]:
    with tempfile.TemporaryDirectory(prefix="crewlog-") as folder:
        copy = Path(folder) / DATABASE
        shutil.copyfile(path, copy)
        with opened(sqlite_file(copy), "backup_forward") as connection:
            make_tables(connection)
            yield connection


def restore(*, folder: Path, site: Site, wish: Wish, stamp: str) -> tuple[Placed, Proved]:
    """Put a back-up in the place of the site's database and files. Nothing is changed before all of it is proved."""
    with proved_backup(folder) as (copy, proved):
        refuse_older(copy, site.database, wish)
        must_be_free(site.database, replace=wish.replace)
        try:
            bring_files(folder, proved.manifest, site.files)
        except OSError as error:
            raise CopyInputError(f"Cannot write to {site.files}: {error.strerror}.") from error
        return place(copy, site.database, stamp=stamp, replace=wish.replace), proved


def check_backup(folder: Path, *, since: str | None = None) -> Proved:
    """Prove a back-up and change nothing."""
    with proved_backup(folder) as (copy, proved):
        if since and not has_head(copy, since):
            raise CopyRefused(f"{OLDER}the head {since} is not in it.", code="older")
        return proved


def refuse_older(copy: BaseDatabaseWrapper, here: Config, wish: Wish) -> None:
    """Refuse a back-up without the head that was shown, or without one that is known here."""
    if wish.since and not has_head(copy, wish.since):
        raise CopyRefused(f"{OLDER}the head {wish.since} is not in it.", code="older")
    lost = lost_by(copy, heads_here(here))
    if lost and not wish.accept_loss:
        raise CopyRefused(
            f"{OLDER}{lost[0]}, which is not in the back-up. Records up to it would be lost. "
            "--accept-loss restores all the same.",
            code="older",
        )


def heads_here(config: Config) -> list[Head]:
    if is_sqlite(config) and not Path(config["NAME"]).exists():
        return known_heads(None)
    try:
        with opened(config, "backup_target") as here:
            return known_heads(here)
    except DatabaseError as error:
        why = " ".join(str(error).split())[:300]
        raise CopyInputError(f"The database here cannot be read ({why}). Move it away, then restore.") from error


def bring_files(folder: Path, manifest: Manifest, target: Path) -> None:
    """Put the files in their places before the rows that name them. What lies there already is left. Raises OSError."""
    for place_of, (sha256, _) in manifest.files.items():
        if not place_of.startswith(f"{FILES}/"):
            continue
        there = target / sha256[:2] / sha256
        if there.exists() and digest(there) == sha256:
            continue
        there.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        part = there.with_name(f"part-{sha256[:16]}")
        try:
            shutil.copyfile(folder / place_of, part)
            part.chmod(0o600)
            sync(part)
            os.replace(part, there)
            sync(there.parent)
        finally:
            part.unlink(missing_ok=True)


def restore_key(folder: Path, path: Path, *, stamp: str) -> bool:
    """Put the back-up's key in the place of this installation's, which is kept aside. False: there was no need."""
    source = folder / KEY
    if not source.exists():
        return False
    key = source.read_text(encoding="utf-8")
    if path.exists():
        if path.read_text(encoding="utf-8").strip() == key.strip():
            return False
        path.rename(path.with_name(f"{path.name}.before-{stamp}"))
    write_key(path, key)
    return True


def stamp_of(now: dt.datetime) -> str:
    """A moment as it stands in the name of what is kept aside."""
    return f"{now.astimezone(dt.UTC):%Y%m%dt%H%M%Sz}"
