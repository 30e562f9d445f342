"""The outbox: a mail is written with the fact it tells of, sent after the commit, and tried again until it is taken.

Nothing here makes a page fail: a mail server that is away leaves a row that waits.
"""

import datetime as dt
import hashlib
import logging
import smtplib
import threading
from collections.abc import Mapping
from dataclasses import dataclass, field
from email.utils import parseaddr
from typing import Any
from urllib.parse import urlsplit
from uuid import uuid4

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db import connection, transaction
from django.utils import timezone

from crewlog.mail.secrets import cause
from crewlog.mail.words import mail_words
from crewlog.models import User
from crewlog.models.mail import QueuedMail

log = logging.getLogger(__name__)
WAITS_MIN = (1, 5, 15, 60, 240, 720, 1440)  # after each attempt; given up 41 h on, while links in it still work
KEPT_DAYS = 30
AT_ONCE = 200
ABOUT_ONE_MAIL = (smtplib.SMTPRecipientsRefused, smtplib.SMTPSenderRefused, smtplib.SMTPDataError, ValueError)


def is_set_up() -> bool:
    """Whether mail goes out here at all."""
    return bool(settings.MAIL_IS_SET_UP)


def digest_of(*parts: object) -> str:
    """A key that says nothing of what it was made from."""
    return hashlib.sha256("\n".join(map(str, parts)).encode()).hexdigest()


@transaction.atomic
def queue_mail(
    *, kind: str, to: str, facts: Mapping[str, Any], key: object, user: User | None = None
) -> QueuedMail | None:
    """Write a mail into the outbox, in the transaction of what it tells of; it is tried as soon as that is committed.

    `key` names the fact: a second mail of that kind about it to the same address is not written. Returns None where
    mail is not set up, and for that second one.
    """
    if not is_set_up():
        return None
    words = mail_words(kind, facts)
    row = QueuedMail(
        kind=kind, key=f"{kind}:{digest_of(to, key)}", to=to, user=user, subject=words.subject, body=words.body
    )
    QueuedMail.objects.bulk_create([row], ignore_conflicts=True)
    kept = QueuedMail.objects.filter(key=row.key).first()
    if kept is None or kept.made_at != row.made_at:
        return None
    if settings.MAIL_TRY_AT_ONCE:
        transaction.on_commit(try_soon, robust=True)
    return kept


@transaction.atomic
def pretend_to_queue(kind: str, to: str) -> None:
    """Do what queueing a mail costs and leave nothing: an address nobody has takes as long as one somebody has."""
    if not is_set_up():
        return
    words = mail_words(kind, {"email": to, "link": settings.SITE_ADDRESS})
    row = QueuedMail.objects.create(
        kind=kind, key=f"{kind}:{uuid4().hex}", to=to, subject=words.subject, body=words.body
    )
    row.delete()


class Attempt:
    """At most one thread a process sends; what is asked for meanwhile makes it look once more."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.is_running = self.is_wanted = False

    def want(self) -> bool:
        """Ask for a run; true when the caller is the one to start it."""
        with self.lock:
            starts, self.is_wanted, self.is_running = not self.is_running, True, True
            return starts

    def goes_on(self) -> bool:
        """Whether the running thread looks once more."""
        with self.lock:
            wanted, self.is_wanted = self.is_wanted, False
            self.is_running = wanted
            return wanted


attempt = Attempt()


def try_soon() -> None:
    """Try what is due beside the request that wrote it. Called after the commit; nothing waits for it."""
    if attempt.want():
        threading.Thread(target=try_now, name="mail").start()


def try_now() -> None:
    """Runs of the outbox while one is asked for, on a connection to the database of this thread's own."""
    try:
        while attempt.goes_on():
            send_due()
    except Exception as error:  # a thread has nobody to tell but the log
        log.warning("The outbox was not tried: %s", cause(error))
        attempt.is_running = False
    finally:
        connection.close()


@dataclass(slots=True)
class Outcome:
    """What one run did, and why what failed did."""

    sent: int = 0
    failed: int = 0
    given_up: int = 0
    causes: list[str] = field(default_factory=list)


def send_due() -> Outcome:
    """Send what is due, each mail claimed first, so that two runs at once send it once. One connection for all.

    A server that cannot be reached ends the run: the other mails wait without an attempt counted.
    """
    outcome = Outcome()
    if not is_set_up():
        return outcome
    server: BaseEmailBackend | None = None
    for row in QueuedMail.objects.filter(next_try__lte=timezone.now()).order_by("next_try", "pk")[:AT_ONCE]:
        if not claim(row):
            continue
        try:
            if server is None:
                server = get_connection()
                server.open()
            server.send_messages([message_of(row, server)])
        except Exception as error:  # whatever a server or an address can do wrong
            note_failure(row, error, outcome)
            if not isinstance(error, ABOUT_ONE_MAIL):
                server = None
                break
        else:
            finish(row, sent_at=timezone.now())
            outcome.sent += 1
    if server is not None:
        close(server)
    return outcome


def close(server: BaseEmailBackend) -> None:
    try:
        server.close()
    except Exception as error:  # everything was taken before
        log.info("The mail server ended the connection: %s", cause(error))


def claim(row: QueuedMail) -> bool:
    """Count the attempt and set the next one before anything is sent; false when another run was first."""
    wait = WAITS_MIN[min(row.attempts, len(WAITS_MIN) - 1)]
    after = timezone.now() + dt.timedelta(minutes=wait)
    unclaimed = QueuedMail.objects.filter(pk=row.pk, attempts=row.attempts, next_try__lte=timezone.now())
    won = unclaimed.update(attempts=row.attempts + 1, next_try=after) == 1
    if won:
        row.attempts, row.next_try = row.attempts + 1, after
    return won


def message_of(row: QueuedMail, server: BaseEmailBackend) -> EmailMessage:
    """The message; its id is the row's own, so that a mail sent twice by a crash in between reads as one."""
    host = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2] or urlsplit(settings.SITE_ADDRESS).hostname
    headers = {"Message-ID": f"<{digest_of(row.key)[:32]}@{host}>", "Auto-Submitted": "auto-generated"}
    return EmailMessage(row.subject, row.body, None, [row.to], headers=headers, connection=server)


def note_failure(row: QueuedMail, error: Exception, outcome: Outcome) -> None:
    """Keep the cause; a mail the server refuses for good, or that was tried often enough, is given up."""
    words = cause(error)
    log.warning("Mail %s (%s) was not sent: %s", row.pk, row.kind, words)
    outcome.causes.append(words)
    if is_final(error) or row.attempts > len(WAITS_MIN):
        finish(row, last_error=words)
        outcome.given_up += 1
    else:
        QueuedMail.objects.filter(pk=row.pk).update(last_error=words)
        outcome.failed += 1


def is_final(error: Exception) -> bool:
    """Whether the server refused the address itself, for good."""
    return isinstance(error, smtplib.SMTPRecipientsRefused) and all(
        500 <= code < 600 for code, _ in error.recipients.values()
    )


def finish(row: QueuedMail, **facts: Any) -> None:
    QueuedMail.objects.filter(pk=row.pk).update(body="", next_try=None, **{"last_error": "", **facts})


def forget_old(now: dt.datetime | None = None) -> int:
    """Delete rows of mails that are done since a month: whom they went to is personal. Returns how many."""
    before = (now or timezone.now()) - dt.timedelta(days=KEPT_DAYS)
    count, _ = QueuedMail.objects.filter(next_try__isnull=True, made_at__lt=before).delete()
    return count
