"""The days of the store as an iCalendar: all-day events whose ids stay the same from one reading to the next."""

import datetime as dt
from collections.abc import Iterable
from urllib.parse import urljoin, urlsplit

from django.conf import settings
from icalendar import Alarm, Calendar, Event

from crewlog.models import Company
from gear.reminders.days import Reminder

# A week ahead and on the day, both at nine in the morning of whoever reads it.
ALARMS = (dt.timedelta(days=-7, hours=9), dt.timedelta(hours=9))


def calendar_of(company: Company, rows: Iterable[Reminder], *, now: dt.datetime) -> bytes:
    """The calendar's text. An event is a date, so it stands on the same day in every time zone."""
    calendar = Calendar()
    calendar.add("prodid", "-//Crewlog//Gear due//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", f"Gear of {company.name}")
    calendar.add("x-wr-timezone", company.time_zone)
    calendar.add("x-published-ttl", "PT12H")
    for row in rows:
        calendar.add_component(event_of(company, row, now))
    text: bytes = calendar.to_ical()
    return text


def event_of(company: Company, row: Reminder, now: dt.datetime) -> Event:
    event = Event()
    event.add("uid", f"{company.pk}-{row.item_id}-{row.what}@{urlsplit(settings.SITE_ADDRESS).hostname or 'crewlog'}")
    event.add("dtstamp", now)
    event.add("dtstart", row.day)
    event.add("dtend", row.day + dt.timedelta(days=1))
    event.add("summary", f"{row.tag}: {row.words}")
    event.add("description", f"{row.description}. {row.detail}".strip())
    event.add("url", urljoin(settings.SITE_ADDRESS, row.href))
    event.add("transp", "TRANSPARENT")
    event.add("class", "PRIVATE")
    for trigger in ALARMS:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", f"{row.tag}: {row.words}")
        alarm.add("trigger", trigger)
        event.add_component(alarm)
    return event
