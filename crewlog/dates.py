"""Days and months, and how they are written out."""

import calendar
import datetime as dt
import zoneinfo

NBSP = "\N{NO-BREAK SPACE}"


def months_on(day: dt.date, months: int) -> dt.date:
    """The same day of the month so many months on; the last of the month where there is no such day."""
    year, month0 = divmod(day.year * 12 + day.month - 1 + months, 12)
    return dt.date(year, month0 + 1, min(day.day, calendar.monthrange(year, month0 + 1)[1]))


def day_words(day: dt.date) -> str:
    """3 May 2033."""
    return f"{day.day}{NBSP}{day:%B}{NBSP}{day.year}"


def short_day(day: dt.date | None) -> str:
    """3 May 33, or a dash for none."""
    return f"{day.day}{NBSP}{day:%b}{NBSP}{day:%y}" if day else "–"


def on_clock(moment: dt.datetime, time_zone: str) -> dt.datetime:
    """A moment as clocks in a time zone show it."""
    return moment.astimezone(zoneinfo.ZoneInfo(time_zone))


def local_day(moment: dt.datetime, time_zone: str) -> dt.date:
    """The date of a moment in a time zone."""
    return on_clock(moment, time_zone).date()
