"""Dates, times and short phrases as the sheet prints them."""

import datetime as dt
import zoneinfo

from crewlog.models import Company
from jobs.models import Assignment, Sheet
from jobs.unit_formatter import UnitFormatter

NBSP = "\u00a0"


def day_words(day: dt.date) -> str:
    return f"{day.day}{NBSP}{day:%B}{NBSP}{day.year}"


def short_day(day: dt.date | None) -> str:
    return f"{day.day}{NBSP}{day:%b}{NBSP}{day:%y}" if day else "–"


def moment_words(moment: dt.datetime, company: Company) -> str:
    local = moment.astimezone(zoneinfo.ZoneInfo(company.time_zone))
    return f"{day_words(local.date())}, {local:%H:%M}"


def window_words(sheet: Sheet) -> str:
    if sheet.starts_at is None or sheet.ends_at is None:
        return "whole day"
    return f"{sheet.starts_at:%H:%M} to {sheet.ends_at:%H:%M}"


def bearing_words(distance_m: float, bearing_deg: float, reader: UnitFormatter) -> str:
    return f"{reader.length(distance_m)}, bearing {bearing_deg:03.0f}°"


def use_words(assignment: Assignment) -> str:
    """How a sling or connector is used, where that was said."""
    parts = []
    if assignment.configuration:
        parts.append(assignment.get_configuration_display().lower())
    if assignment.configuration == Assignment.Configuration.BASKET and assignment.basket_half_angle_deg is not None:
        parts.append(f"{assignment.basket_half_angle_deg:.0f}° a leg")
    if assignment.configuration == Assignment.Configuration.CHOKER and assignment.choke_angle_deg is not None:
        parts.append(f"choke {assignment.choke_angle_deg:.0f}°")
    if assignment.loaded != Assignment.Loaded.MAJOR:
        parts.append(f"loaded {assignment.get_loaded_display().lower()}")
    return ", ".join(parts)
