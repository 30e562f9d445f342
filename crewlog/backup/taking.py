"""Taking a back-up: database, files and key in one folder, in one state, proved before it gets its name."""

import datetime as dt
import os
import shutil
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.recorder import MigrationRecorder

from crewlog.backup.copying import copy_into_file
from crewlog.backup.databases import (
    Config,
    for_reading,
    must_be_current,
    must_exist,
    one_state,
    opened,
    sqlite_unchanging,
)
from crewlog.backup.errors import CopyInputError, CopyRefused
from crewlog.backup.manifest import DATABASE, FILES, KEY, MANIFEST, NAME, UNFINISHED, Manifest, digest, sync
from crewlog.backup.proof import Head, named_files, proved_heads
from crewlog.backup.rows import Counted, compare

SHOWN = 3


@dataclass(frozen=True, slots=True)
class Site:
    """What is backed up and restored: the database, the folder of kept files, the secret key."""

    database: Config
    files: Path
    key: str | None


@dataclass(frozen=True, slots=True)
class Backup:
    """A whole back-up and what it says of itself."""

    folder: Path
    manifest: Manifest


@dataclass(frozen=True, slots=True)
class DatabaseCopy:
    """What was found in the copy of the database, compared with the source row by row."""

    vendor: str
    tables: list[Counted]
    heads: list[Head]
    names: set[str]
    migrations: dict[str, str]


def take_backup(*, site: Site, into: Path, now: dt.datetime, allow_missing: bool = False) -> Backup:
    """Copy a site into a new folder under `into`, while it is served.

    The folder has another name until everything in it is written, compared, recomputed and on the disk: an
    interrupted back-up stays recognisable. Raises CopyInputError for a folder that cannot be written, CopyRefused
    where the copy would not be whole. `allow_missing` takes a back-up though files are gone; it then names them.
    """
    final = into / f"crewlog-{now.astimezone(dt.UTC):%Y%m%dT%H%M%SZ}"
    with new_folder(final) as work:
        copied = copy_database(site.database, work / DATABASE)
        missing = sorted(copy_files(site.files, work / FILES, copied.names))
        if missing and not allow_missing:
            raise CopyRefused(
                f"{len(missing)} of {len(copied.names)} files that records name are missing or changed: "
                f"{', '.join(missing[:SHOWN])}. Bring them back, or give --allow-missing: the back-up then names them.",
                code="files-missing",
            )
        if site.key is not None:
            write_key(work / KEY, site.key)
        manifest = Manifest(
            taken_at=now,
            vendor=copied.vendor,
            migrations=copied.migrations,
            heads=copied.heads,
            tables=copied.tables,
            files=listed(work),
            missing=missing,
        )
        write_manifest(work, manifest)
    return Backup(final, manifest)


@contextmanager
def new_folder(final: Path) -> Iterator[Path]:
    """A folder that gets its name when the block ends well, and goes when it does not."""
    work = final.with_name(final.name + UNFINISHED)
    try:
        final.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if final.exists():
            raise CopyInputError(f"{final} exists already.")
        work.mkdir(mode=0o700)
    except OSError as error:
        raise CopyInputError(f"Cannot make {work}: {error.strerror}.") from error
    try:
        yield work
        os.rename(work, final)
        sync(final.parent)
    except OSError as error:
        shutil.rmtree(work, ignore_errors=True)
        raise CopyInputError(f"Cannot write the back-up: {error}.") from error
    except BaseException:
        shutil.rmtree(work, ignore_errors=True)
        raise


def copy_database(config: Config, path: Path) -> DatabaseCopy:
    """Copy a database in one state, and prove the copy against that state row by row."""
    must_exist(config)
    with opened(for_reading(config), "backup_source") as source, one_state(source):
        must_be_current(source)
        copy_into_file(source, path)
        with opened(sqlite_unchanging(path), "backup_copy") as copy:
            tables = compare(source, copy)
            heads = proved_heads(copy)
            return DatabaseCopy(source.vendor, tables, heads, set(named_files(copy)), last_migrations(copy))


def last_migrations(connection: BaseDatabaseWrapper) -> dict[str, str]:
    applied = MigrationRecorder(connection).applied_migrations()
    return dict(sorted(applied))


def copy_files(source: Path, target: Path, names: Iterable[str]) -> Iterator[str]:
    """Copy the files that rows name. Gives the names of those that are gone or not what was kept."""
    target.mkdir(mode=0o700)
    for name in sorted(names):
        place = target / name[:2] / name
        place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        try:
            shutil.copyfile(source / name[:2] / name, place)
        except FileNotFoundError:
            yield name
            continue
        place.chmod(0o600)
        if digest(place) != name:
            place.unlink()
            yield name


def write_key(path: Path, key: str) -> None:
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
        file.write(key)


def listed(work: Path) -> dict[str, tuple[str, int]]:
    """Every file of a back-up with its sha256 and length, each on the disk."""
    found = {}
    for path in sorted(work.rglob("*")):
        sync(path)
        if path.is_file():
            found[path.relative_to(work).as_posix()] = (digest(path), path.stat().st_size)
    return found


def write_manifest(work: Path, manifest: Manifest) -> None:
    """Last of all: what has no manifest is no back-up."""
    part = work / f"{MANIFEST}.part"
    part.write_text(manifest.text(), encoding="utf-8")
    part.chmod(0o600)
    sync(part)
    os.replace(part, work / MANIFEST)
    sync(work)


def unfinished(into: Path) -> list[Path]:
    """Back-ups in a folder that were interrupted."""
    return sorted(p for p in into.glob(f"*{UNFINISHED}") if NAME.fullmatch(p.name.removesuffix(UNFINISHED)))


def remove_older(into: Path, *, keep: int) -> list[Path]:
    """Delete all whole back-ups of a folder but the last `keep`. One that is being deleted no longer has its name."""
    whole = sorted(p for p in into.iterdir() if NAME.fullmatch(p.name) and (p / MANIFEST).is_file())
    gone = whole[:-keep]
    for path in gone:
        going = path.with_name(path.name + UNFINISHED)
        path.rename(going)
        shutil.rmtree(going)
    return gone
