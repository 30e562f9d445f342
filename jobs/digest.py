"""What a digest by e-mail says to one member on a day, and sending it once."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import urljoin

from django.conf import settings
from django.core.mail import send_mail
from django.db import IntegrityError, transaction
from django.urls import reverse

from crewlog.dates import day_words
from crewlog.models import Company, DigestSent, Membership
from crewlog.services.reminders import DIGEST_ROLES
from gear.reminders import Reminder, reminders
from jobs.services.sheets import unseen_withdrawals

AHEAD_DAYS = 30
MOST_LINES = 40


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and its lines."""

    title: str
    lines: tuple[str, ...]


def readers(on: dt.date | None) -> Iterable[tuple[Membership, dt.date]]:
    """Members who want a digest and may still sign in, each with the day in their company."""
    rows = Membership.objects.filter(digest_wish__isnull=False, user__is_active=True, role__in=DIGEST_ROLES)
    for member in rows.select_related("company", "person__details", "user").order_by("company_id", "pk"):
        day = on or member.company.today()
        if member.ends_on is None or member.ends_on >= day:
            yield member, day


def digest(member: Membership, day: dt.date) -> tuple[Section, ...]:
    """The sections that have something to say; none when nothing is due."""
    rows = reminders(member.company, until=day + dt.timedelta(days=AHEAD_DAYS))
    gear = [row for row in rows if row.what not in ("remark", "back")]
    sections = (
        Section("Withdrawn sheets that wait for you", withdrawals(member)),
        Section("Overdue", lines([row for row in gear if row.day < day])),
        Section(f"Due within {AHEAD_DAYS} days", lines([row for row in gear if row.day >= day])),
        Section("Remarks to be mended", lines([row for row in rows if row.what == "remark"])),
        Section("Borrowed, due back", lines([row for row in rows if row.what == "back"])),
    )
    return tuple(section for section in sections if section.lines)


def lines(rows: list[Reminder]) -> tuple[str, ...]:
    shown = [f"{row.tag}, {row.description}: {row.words}, {day_words(row.day)}" for row in rows[:MOST_LINES]]
    return (*shown, f"and {len(rows) - MOST_LINES} more") if len(rows) > MOST_LINES else tuple(shown)


def withdrawals(member: Membership) -> tuple[str, ...]:
    rows = list(unseen_withdrawals(member.company, member.person))[:MOST_LINES]
    return tuple(f"Sheet {row.sheet.number} for {day_words(row.sheet.day)}: {row.reason}" for row in rows)


def subject(company: Company, sections: tuple[Section, ...]) -> str:
    overdue = sum(len(section.lines) for section in sections if section.title == "Overdue")
    head = f"{overdue} overdue" if overdue else sections[0].title.lower()
    return f"{company}: {head}"


def words(member: Membership, day: dt.date, sections: tuple[Section, ...]) -> str:
    """The mail's text."""
    parts = [f"{member.company}, {day_words(day)}"]
    for section in sections:
        parts.append("\n".join([section.title, *(f"  {line}" for line in section.lines)]))
    parts.append(f"The store: {urljoin(settings.SITE_ADDRESS, reverse('store_due'))}")
    parts.append(f"To stop these mails: {urljoin(settings.SITE_ADDRESS, reverse('reminders'))}")
    return "\n\n".join(parts).replace("\N{NO-BREAK SPACE}", " ") + "\n"


def send_once(member: Membership, day: dt.date, sections: tuple[Section, ...]) -> bool:
    """Send a digest unless one went out for that day; False when it had. One that fails may be tried again."""
    try:
        with transaction.atomic():
            sent = DigestSent.objects.create(membership=member, day=day)
    except IntegrityError:
        return False
    try:
        send_mail(subject(member.company, sections), words(member, day, sections), None, [member.user.email])
    except Exception:
        sent.delete()
        raise
    return True
