"""The lines of `check_site`: what has to be right for the site to be run, and what to do where it is not."""

from __future__ import annotations

import datetime as dt
import logging
import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from django.conf import settings
from django.db import connection
from django.utils import timezone

from crewlog.evidence.guards import guard_faults
from crewlog.files.keeping import any_named, hash_columns, is_kept
from crewlog.models import Record
from crewlog.site.database import database_file, identity_of, try_to_write
from crewlog.site.faults import FILE_MISSING, MachineError, fault_of
from crewlog.site.stamps import read_stamp
from crewlog.site.waiting import waiting_migrations

logger = logging.getLogger(__name__)
OK, WARN, FAIL = "ok", "warn", "fail"
LEAST_FREE = 200_000_000
FEW_FREE = 2_000_000_000
BUILT_ON = dt.datetime(2026, 11, 30, tzinfo=dt.UTC)  # no clock is right that says less
BACKUP_EVERY = dt.timedelta(days=2)
VERIFY_EVERY = dt.timedelta(days=8)
FILES_LOOKED_AT = 200


@dataclass(frozen=True, slots=True)
class Line:
    """One thing looked at: ok, warn or fail; what was found; what to do."""

    name: str
    state: str
    words: str
    do: str = ""


def check_site() -> list[Line]:
    """Every line. A check that cannot be made fails with its cause; the others still run."""
    return [tried(name, check) for name, check in CHECKS]


def tried(name: str, check: Callable[[], Line]) -> Line:
    try:
        return check()
    except Exception as error:
        fault = fault_of(error)
        if fault is None:
            words = " ".join(str(error).split())[:200] or type(error).__name__
            logger.exception("check_site: %s", name)
            return Line(name, FAIL, f"This could not be checked: {words}.", "The log has the whole of it.")
        return Line(name, FAIL, fault.words, fault.cure)


def database_writable() -> Line:
    path = database_file()
    if path is not None and identity_of(path) is None:
        raise MachineError(FILE_MISSING)  # opening it would make an empty one
    try_to_write()
    where = "a file" if connection.vendor == "sqlite" else "a server"
    return Line("database", OK, f"{connection.display_name}, {where}; a row was written and taken back.")


def same_file() -> Line:
    """The file at its place is the one this check opened, and the one the running site holds."""
    name = "database file"
    path = database_file()
    if path is None:
        return Line(name, OK, "Not a file of this machine.")
    found = identity_of(path)
    if found is None:
        return Line(name, FAIL, "There is no file at its place.", "Put it back, then start the site again.")
    held = read_stamp("serving")
    if held is not None and is_running(held.facts.get("pid")) and held.facts.get("path") == str(path):
        if tuple(held.facts.get("identity", ())) != found:
            words = "The running site holds another file than the one at its place."
            return Line(name, FAIL, words, "Stop the site, put the right file in place, start it again.")
        return Line(name, OK, "The running site holds the same file.")
    return Line(name, OK, "One file at its place; no running site has said which it holds.")


def is_running(pid: object) -> bool:
    if not isinstance(pid, int):
        return False
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def migrations() -> Line:
    waiting = waiting_migrations()
    if not waiting:
        return Line("migrations", OK, "The database is set up for this version.")
    named = ", ".join(waiting[:3]) + (f" and {len(waiting) - 3} more" if len(waiting) > 3 else "")
    return Line("migrations", FAIL, f"Not applied: {named}.", "Make a back-up, then run manage.py migrate.")


def guards() -> Line:
    faults = [sentence for _, sentence in guard_faults(connection)]
    if not faults:
        return Line("guards", OK, "Every table of evidence is guarded as it should be.")
    words = f"{'; '.join(faults[:3])}."
    return Line("guards", FAIL, words, "Run manage.py migrate, which lays them, then manage.py verify_records.")


def disk() -> Line:
    folders = {str(settings.VAR_DIR), str(settings.FILES_DIR), str((database_file() or Path(settings.VAR_DIR)).parent)}
    free, where = min((shutil.disk_usage(f).free, f) for f in folders if Path(f).is_dir())
    words = f"{free / 1e9:.1f} GB left, the least of the folders used ({where})."
    if free < LEAST_FREE:
        return Line("disk", FAIL, words, f"Make room: below {LEAST_FREE / 1e9:.1f} GB photographs are refused soon.")
    if free < FEW_FREE:
        return Line("disk", WARN, words, "Make room soon.")
    return Line("disk", OK, words)


def files_folder() -> Line:
    name, folder = "files", Path(settings.FILES_DIR)
    if not folder.is_dir():
        if any_named():
            return Line(name, FAIL, f"The folder {folder} is missing, and records name files in it.", "Put it back.")
        return Line(name, OK, "No file is kept yet.")
    if not os.access(folder, os.R_OK | os.W_OK | os.X_OK):
        return Line(name, FAIL, f"{folder} cannot be written by this user.", "Give it to the user the site runs as.")
    newest = list(newest_files(FILES_LOOKED_AT))
    missing = [sha256 for sha256 in newest if not is_kept(sha256)]
    if missing:
        words = f"{len(missing)} of the newest {len(newest)} files are missing."
        return Line(name, FAIL, words, "Restore the folder from a back-up, then run manage.py verify_records.")
    others = folder.stat().st_mode & 0o007
    if others:
        return Line(name, WARN, f"{folder} can be read by any user of this machine.", f"Run chmod o-rwx {folder}.")
    return Line(
        name, OK, f"The newest {len(newest)} files that records name are there." if newest else "Empty, as said."
    )


def newest_files(limit: int) -> Iterator[str]:
    """Of each column that names files, the newest."""
    for model, column in hash_columns():
        rows = model._default_manager.exclude(**{column: ""}).order_by("-pk")
        yield from rows.values_list(column, flat=True)[:limit]


def mail() -> Line:
    if not settings.MAIL_IS_SET_UP:
        words = "No mail is sent: the owner hands over invitations, and nobody gets the digest."
        return Line("mail", WARN, words, "Set CREWLOG_EMAIL_URL, then run manage.py send_test_mail.")
    return Line("mail", OK, "Mail is set up.")


def proxy() -> Line:
    """What the site believes of the proxy before it, and the address it prints."""
    address = urlsplit(str(settings.SITE_ADDRESS))
    if settings.LOCAL:
        return Line("proxy", WARN, "Plain http on one's own machine (CREWLOG_LOCAL).", "Never for a company's site.")
    if address.scheme != "https" or not address.hostname:
        return Line(
            "proxy", FAIL, f"CREWLOG_ADDRESS is {settings.SITE_ADDRESS}.", "Set it to the site's https address."
        )
    if address.hostname not in settings.ALLOWED_HOSTS and "*" not in settings.ALLOWED_HOSTS:
        words = f"{address.hostname} of CREWLOG_ADDRESS is not among CREWLOG_HOSTS."
        return Line("proxy", FAIL, words, "Name it there, or every page answers 400.")
    if not settings.PROXIES:
        words = "CREWLOG_PROXIES is 0: every request counts as coming from the proxy, and https is not believed."
        return Line("proxy", WARN, words, "Say how many proxies stand before the site.")
    return Line("proxy", OK, "https address, host and number of proxies are set.")


def clock() -> Line:
    now = timezone.now()
    last = Record.objects.order_by("-entered_at").values_list("entered_at", flat=True).first()
    if now < BUILT_ON:
        return Line("clock", FAIL, f"The clock says {now:%Y-%m-%d %H:%M} UTC, before this version.", "Set the clock.")
    if last is not None and last > now + dt.timedelta(seconds=2):
        words = f"The last record was entered at {last:%Y-%m-%d %H:%M} UTC; the clock says {now:%Y-%m-%d %H:%M}."
        return Line("clock", FAIL, words, "Set the clock; until then records would go back in time.")
    return Line("clock", OK, f"{now:%Y-%m-%d %H:%M} UTC, not before the last record.")


def last_backup() -> Line:
    return last_done("last back-up", "backup", BACKUP_EVERY, "Run manage.py backup DIR, and have cron run it daily.")


def last_verify() -> Line:
    line = last_done(
        "last verify", "verify", VERIFY_EVERY, "Run manage.py verify_records, and have cron run it weekly."
    )
    found = read_stamp("verify")
    if found is not None and found.facts.get("whole") is False:
        words = f"At {found.at:%Y-%m-%d %H:%M} UTC the records were found broken."
        return Line(line.name, FAIL, words, "Run manage.py verify_records and keep what it prints.")
    return line


def last_done(name: str, stamp: str, every: dt.timedelta, do: str) -> Line:
    found = read_stamp(stamp)
    if found is None:
        return Line(name, WARN, "Never, as far as this installation knows.", do)
    words = f"{found.at:%Y-%m-%d %H:%M} UTC."
    return Line(name, OK, words) if timezone.now() - found.at <= every else Line(name, WARN, words, do)


CHECKS: tuple[tuple[str, Callable[[], Line]], ...] = (
    ("database", database_writable),
    ("database file", same_file),
    ("migrations", migrations),
    ("guards", guards),
    ("disk", disk),
    ("files", files_folder),
    ("mail", mail),
    ("proxy", proxy),
    ("clock", clock),
    ("last back-up", last_backup),
    ("last verify", last_verify),
)
