"""What a digest by e-mail says to one member on a day, and queueing it once."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction

from crewlog.dates import day_words
from crewlog.mail.outbox import queue_mail
from crewlog.mail.words import link
from crewlog.models import DigestSent, Membership
from crewlog.people.reminders import DIGEST_ROLES
from gear.reminders.days import Reminder, reminders
from jobs.sheets.standing.selectors import unseen_withdrawals

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


def headline(sections: tuple[Section, ...]) -> str:
    """What the subject says: how much is overdue, else what comes first."""
    overdue = sum(len(section.lines) for section in sections if section.title == "Overdue")
    return f"{overdue} overdue" if overdue else sections[0].title.lower()


def facts(member: Membership, day: dt.date, sections: tuple[Section, ...]) -> dict[str, object]:
    """What the mail's template says."""
    return {
        "company": member.company,
        "headline": headline(sections),
        "day": day_words(day),
        "sections": sections,
        "store": link("store_due"),
        "stop": link("reminders"),
    }


@transaction.atomic
def queue_once(member: Membership, day: dt.date, sections: tuple[Section, ...]) -> bool:
    """Queue a digest unless one was for that day; False when it was."""
    _, is_new = DigestSent.objects.get_or_create(membership=member, day=day)
    if is_new:
        key = f"{member.pk} {day}"
        queue_mail(kind="digest", to=member.user.email, facts=facts(member, day, sections), key=key, user=member.user)
    return is_new
