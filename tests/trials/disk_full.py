"""Writing until the disk is full, on either database: python -m tests.trials.disk_full --database sqlite|postgresql.

The database, or the folder of photographs, lies on a small tmpfs where one can be mounted (root); elsewhere SQLite is
held to a number of pages, and files to a size. Prints what was acknowledged, what is stored, and whether they agree.
"""

import argparse
import os
import re
import resource
import subprocess
import sys
import tempfile
from contextlib import ExitStack, contextmanager
from pathlib import Path

from tests.trials.small_site import SmallSite, prepare

MORE_TRIES = 5
MOST_WRITES = 5_000


@contextmanager
def small_disk(size, *, may_mount=True):
    """A folder on a file system of its own; None where none can be mounted."""
    if not may_mount:
        yield None
        return
    with tempfile.TemporaryDirectory(prefix="crewlog-full-") as folder:
        done = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", f"size={size},mode=0777", "tmpfs", folder], capture_output=True, check=False
        )
        if done.returncode != 0:
            yield None
            return
        try:
            yield Path(folder)
        finally:
            subprocess.run(["umount", "-l", folder], check=False)


class Ballast:
    """A file that takes the room of a disk but for a little, and gives it back."""

    def __init__(self, folder, leave):
        self.path = Path(folder) / "ballast"
        free = os.statvfs(folder).f_bavail * os.statvfs(folder).f_frsize
        self.path.write_bytes(b"\0" * max(free - leave, 0))

    def drop(self):
        self.path.unlink()


class PageLimit:
    """SQLite held to a number of pages, where no disk of a size can be had."""

    def __init__(self, more):
        from django.db import connection

        with connection.cursor() as cursor:
            cursor.execute("PRAGMA page_count")
            self.pages = cursor.fetchone()[0] + more
        self.say(self.pages)

    def say(self, pages):
        from django.db import connection

        with connection.cursor() as cursor:
            cursor.execute(f"PRAGMA max_page_count = {int(pages)}")

    def drop(self):
        self.say(2**30)


def fill(site, limit, *, report):
    """Write until refused, then a few times more; make room; write again. Returns what is wrong."""
    wrong, acknowledged, refused, words = [], set(), set(), ""
    tries_left = MORE_TRIES
    for _ in range(MOST_WRITES):
        mark, answer = site.record_event()
        if answer.status_code == 302:
            acknowledged.add(mark)
            continue
        refused.add(mark)
        words = answer.content.decode()
        if answer.status_code != 503 or "Retry-After" not in answer.headers:
            wrong.append(f"answered {answer.status_code}, not 503 with Retry-After")
        tries_left -= 1
        if not tries_left:
            break
    report(f"acknowledged before the disk was full: {len(acknowledged)}; refused: {len(refused)}")
    if "disk is full" not in words:
        wrong.append(f"the cause is not named: {words[:200]}")
    reading = site.client.get(f"/gear/{site.item.tag}/").status_code
    report(f"a page read while the disk is full: {reading}")
    limit.drop()
    _, after = site.record_event()
    report(f"after room was made: {after.status_code}")
    if after.status_code != 302:
        wrong.append("it does not go on after room was made")
    stored = site.stored_marks()
    report(f"stored of the acknowledged: {len(acknowledged & stored)}; of the refused: {len(refused & stored)}")
    if acknowledged - stored:
        wrong.append("something acknowledged is not stored")
    if refused & stored:
        wrong.append("something refused is stored")
    return wrong + chain_words(site, report)


def chain_words(site, report):
    fault = site.faults()
    report(f"chain: {fault or 'whole, every file there'}")
    return [fault] if fault else []


@contextmanager
def small_files(size):
    """Files of this process may not grow past a size, where no disk of a size can be had."""
    usual = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, usual[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, usual)


def cause_in(answer):
    """The words of the answer, without its markup."""
    return " ".join(re.sub(r"<[^>]*>", " ", answer.content.decode()).split())[:300]


def fill_files(site, disk, *, report):
    """Send photographs until the folder of files is full. Returns what is wrong."""
    from django.conf import settings
    from django.core.files.uploadedfile import SimpleUploadedFile

    from gear.models import StoredFile
    from tests.files import noise

    wrong, kept, refused = [], 0, 0
    settings.FILES_DIR = disk / "files" if disk else settings.FILES_DIR
    for number in range(60):
        photo = SimpleUploadedFile("photo.jpg", noise(number), content_type="image/jpeg")
        with ExitStack() as limits:
            if disk is None and number == 3:
                limits.enter_context(small_files(4_096))
            _, answer = site.record_event(photo=photo)
        if answer.status_code == 302:
            kept += 1
            continue
        refused += 1
        # a limit of the process also meets the database's own files, which then cannot be written
        named = ("disk is full",) if disk else ("disk is full", "disk could not be read or written")
        if answer.status_code != 503 or not any(words in answer.content.decode() for words in named):
            wrong.append(f"answered {answer.status_code} without the cause: {cause_in(answer)}")
        break
    report(f"photographs kept: {kept}; refused: {refused}")
    if not refused:
        wrong.append("the folder was never full")
    if StoredFile.objects.count() != kept:
        wrong.append("a record names a file that was refused")
    left = [path.name for path in Path(settings.FILES_DIR).rglob("part-*")]
    if left:
        wrong.append(f"parts of files are left behind: {left}")
    return wrong + chain_words(site, report)


def postgresql_on(stack, disk):
    from tests.postgresql.server import postgresql_server

    return f"{stack.enter_context(postgresql_server(folder=disk, wal_mb=1))}full"


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--database", choices=("sqlite", "postgresql"), default="sqlite")
    parser.add_argument("--no-mount", action="store_true", help="use limits that need no root")
    asked = parser.parse_args()
    with ExitStack() as stack:
        var = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="crewlog-var-")))
        may_mount = not asked.no_mount
        disk = stack.enter_context(small_disk("48m" if asked.database == "sqlite" else "200m", may_mount=may_mount))
        if disk is None:
            print("No tmpfs is mounted: SQLite is held to a number of pages, files to a size.")
            if asked.database == "postgresql":
                print("PostgreSQL needs a disk of its own: run this as root.")
                return 1
        if asked.database == "sqlite":
            url = f"sqlite:///{(disk or var) / 'full.sqlite3'}"
        else:
            url = postgresql_on(stack, disk)
        prepare(database_url=url, var=var)
        wrong = run(disk, may_mount=may_mount, say=lambda words: print(f"  {words}", flush=True))
        from django.db import connections

        connections.close_all()
    print("\n".join(f"WRONG: {each}" for each in wrong) or "Nothing is wrong.")
    return 1 if wrong else 0


def run(disk, *, may_mount, say):
    from django.db import connection

    if connection.vendor == "postgresql":
        make_database()
    site = SmallSite()
    print(f"Database full ({connection.display_name}):")
    leave = 1_500_000 if connection.vendor == "sqlite" else 3_000_000
    wrong = fill(site, Ballast(disk, leave) if disk else PageLimit(60), report=say)
    print("Folder of photographs full:")
    with small_disk("2m", may_mount=may_mount) as other:
        wrong += fill_files(site, other, report=say)
        return wrong


def make_database():
    from django.db import connection

    with connection._nodb_cursor() as cursor:
        cursor.execute(f'CREATE DATABASE "{connection.settings_dict["NAME"]}"')


if __name__ == "__main__":
    sys.exit(main())
