"""Moments and spans of work as sheets and pages print them."""

import datetime as dt

from crewlog.dates import day_words, on_clock
from crewlog.models import Company
from jobs.models import Sheet


def moment_words(moment: dt.datetime, company: Company) -> str:
    """Day and time on the company's clock."""
    local = on_clock(moment, company.time_zone)
    return f"{day_words(local.date())}, {local:%H:%M}"


def window_words(sheet: Sheet) -> str:
    """The hours a sheet is for."""
    if sheet.starts_at is None or sheet.ends_at is None:
        return "whole day"
    return f"{sheet.starts_at:%H:%M} to {sheet.ends_at:%H:%M}"
