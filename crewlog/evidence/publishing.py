"""Heads given away once a day, so that somebody outside can tell whether a record was changed since."""

import datetime as dt
import json
import os
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured, ValidationError
from django.core.mail import send_mail
from django.core.validators import validate_email
from django.utils import timezone

from crewlog.models import Company, Record

MAIL, FILE, URL = "CREWLOG_HEADS_MAIL", "CREWLOG_HEADS_FILE", "CREWLOG_HEADS_URL"
TIMEOUT_S = 20


@dataclass(frozen=True, slots=True)
class Head:
    """Where one company's chain ends."""

    company_id: int
    company: str
    records: int
    head: str

    def __str__(self) -> str:
        return f"{self.head}  {self.records} records  company {self.company_id}, {self.company}"


@dataclass(frozen=True, slots=True)
class Target:
    """Where heads are sent: its name in the log of what was sent, and how."""

    name: str
    send: Callable[[list[Head], dt.datetime], None]


def heads_now() -> list[Head]:
    """The end of every chain that has a record. One query a company."""
    found = []
    for company in Company.objects.order_by("pk"):
        last = Record.objects.for_company(company).order_by("-sequence").first()
        if last is not None:
            found.append(Head(company.pk, company.name, last.sequence, last.hash))
    return found


def targets() -> list[Target]:
    """What the environment sets up. Raises ImproperlyConfigured for a setting that cannot be meant."""
    found = []
    addresses = [part.strip() for part in os.environ.get(MAIL, "").split(",") if part.strip()]
    if addresses and not settings.MAIL_IS_SET_UP:
        raise ImproperlyConfigured(f"{MAIL} needs CREWLOG_EMAIL_URL: no mail is sent without it.")
    for address in addresses:
        try:
            validate_email(address)
        except ValidationError as fault:
            raise ImproperlyConfigured(f"{MAIL}: {address!r} is no mail address.") from fault
        found.append(Target(f"mail to {address}", mailer(address)))
    path = os.environ.get(FILE, "").strip()
    if path:
        if not Path(path).is_absolute():
            raise ImproperlyConfigured(f"{FILE} must be a whole path that begins with /, not {path!r}.")
        found.append(Target(f"file {path}", filer(Path(path))))
    url = os.environ.get(URL, "").strip()
    if url:
        if urlsplit(url).scheme not in {"http", "https"} or not urlsplit(url).hostname:
            raise ImproperlyConfigured(f"{URL} must begin with http:// or https:// and name a host.")
        found.append(Target(f"address {urlsplit(url).hostname}", poster(url)))
    return found


def text_of(heads: list[Head], at: dt.datetime) -> str:
    lines = [f"Heads of the records at {settings.SITE_ADDRESS} on {at:%Y-%m-%d %H:%M} UTC", ""]
    lines += [str(head) for head in heads]
    lines += ["", "Keep this. verify_records --since HEAD says whether the records up to it were changed since."]
    return "\n".join(lines) + "\n"


def mailer(address: str) -> Callable[[list[Head], dt.datetime], None]:
    def send(heads: list[Head], at: dt.datetime) -> None:
        send_mail(f"Crewlog: heads of the records, {at:%Y-%m-%d}", text_of(heads, at), None, [address])

    return send


def filer(path: Path) -> Callable[[list[Head], dt.datetime], None]:
    def send(heads: list[Head], at: dt.datetime) -> None:
        """Into a folder a file for each day, else at the end of the file."""
        if path.is_dir():
            (path / f"heads-{at:%Y-%m-%d}.txt").write_text(text_of(heads, at))
            return
        with path.open("a") as file:
            file.write(text_of(heads, at) + "\n")

    return send


def poster(url: str) -> Callable[[list[Head], dt.datetime], None]:
    def send(heads: list[Head], at: dt.datetime) -> None:
        listed = [{"company": h.company_id, "name": h.company, "records": h.records, "head": h.head} for h in heads]
        body = {"site": settings.SITE_ADDRESS, "at": at.isoformat(), "heads": listed}
        request = urllib.request.Request(  # noqa: S310 - the scheme was looked at when the setting was read
            url, json.dumps(body).encode(), {"Content-Type": "application/json"}, method="POST"
        )
        with urllib.request.urlopen(request, timeout=TIMEOUT_S) as answer:  # noqa: S310
            answer.read(1000)

    return send


def publish(*, again: bool = False) -> tuple[list[str], dict[str, str]]:
    """Send today's heads to each target that does not have them: names of those sent to, and what failed, by name.

    A target that failed is tried again at the next run; one that has today's is left alone unless `again`.
    """
    now, log = timezone.now().astimezone(dt.UTC), sent_log()
    day, heads = f"{now:%Y-%m-%d}", heads_now()
    sent, failed = [], {}
    for target in targets():
        if log.get(target.name) == day and not again:
            continue
        try:
            target.send(heads, now)
        except Exception as fault:  # whatever a mail server, a disk or a far host answers is told in one line
            failed[target.name] = " ".join(str(fault).split()) or type(fault).__name__
        else:
            sent.append(target.name)
            log[target.name] = day
    write_log(log)
    return sent, failed


def log_file() -> Path:
    return Path(settings.HEADS_DIR) / "published.json"


def sent_log() -> dict[str, str]:
    """The day on which each target was last sent to."""
    try:
        return {str(name): str(day) for name, day in json.loads(log_file().read_text()).items()}
    except (OSError, ValueError, AttributeError):
        return {}


def write_log(log: dict[str, str]) -> None:
    path = log_file()
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    new = path.with_suffix(".new")
    new.write_text(json.dumps(log, indent=1, sort_keys=True))
    new.replace(path)
