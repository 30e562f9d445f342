"""Judged readings in words: at once where one is entered, by each row, and on Today until the work is over."""

import zoneinfo
from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.contrib import messages
from django.urls import reverse

from crewlog.models import Company
from crewlog.web.ui_rows import MarkKind
from jobs.models import DayRecord, Reading, ReadingKind, ReadingMoment
from jobs.models.snapshot_json import snapshot_of
from jobs.readings.limits import Limits, limits_in
from jobs.readings.rules import Judgement, judge
from jobs.wording.figure import FORCE, GAUGE, HAND_FORCE, LIMIT, LOAD, Figure
from jobs.wording.unit_formatter import UnitFormatter

ALERTS_SHOWN = 8
MARKS: dict[str, MarkKind] = {"above": "refused", "below": "caution", "in": "ok", "none": "open"}
VERDICTS = {"above": "refused", "below": "caution", "in": "stands", "none": "caution"}
SHORT = {"above": "Above the limit", "below": "Below the limit", "in": "Within", "none": "No limit"}
LEVELS = {"above": messages.ERROR, "below": messages.WARNING, "in": messages.SUCCESS, "none": messages.WARNING}


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedReading:
    """What is said of a reading: its mark, where it lies with both figures, and what to do."""

    key: str
    mark: MarkKind
    verdict: str
    level: int
    title: str
    action: str
    short: str

    @property
    def is_wrong(self) -> bool:
        return self.key in ("above", "below")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingAlert:
    """A reading outside what its sheet allows, for the lead's Today."""

    mark: MarkKind
    title: str
    why: str
    href: str


def judged(kind: str, moment: str, force_n: float, *, limits: Limits, write: UnitFormatter) -> JudgedReading:
    """Judge a reading against the limits of its sheet, worded in the company's units."""
    place = limits.get(kind)
    shown = write.text(reading_figure(kind, force_n))
    if place is None:
        title, action = f"{shown} is not set against a limit", "The sheet holds none for this place."
        return said("none", title, action)
    found = judge(moment, force_n, place)
    return said(found.key, f"{shown}: {position_words(found, kind, write)}", found.action)


def said(key: str, title: str, action: str) -> JudgedReading:
    return JudgedReading(
        key=key,
        mark=MARKS[key],
        verdict=VERDICTS[key],
        level=LEVELS[key],
        title=title,
        action=action,
        short=SHORT[key],
    )


def position_words(found: Judgement, kind: str, write: UnitFormatter) -> str:
    """Where it lies: "above the maximum before the cut, 2.13 kN"; limits are rounded to the safe side."""
    if found.limit_n is None:
        return "no limit"
    limit = replace(
        reading_figure(kind, found.limit_n), name=found.against, rounding=LOAD if found.key == "below" else LIMIT
    )
    where = {"above": "above", "below": "below", "in": "within"}[found.key]
    return f"{where} {found.against}, {write.text(limit)}"


def reading_figure(kind: str, force_n: float) -> Figure:
    """What a cell shows, in the place it reads: on the tail it is a force of hands."""
    return Figure("reading", force_n, HAND_FORCE if kind == ReadingKind.HAND else FORCE, LOAD, GAUGE)


def reading_alerts(company: Company) -> list[ReadingAlert]:
    """Readings of today that lie outside what their sheets allow, the newest first, until its work is over.

    Above a limit stays, for wood and gear have borne it; what to do is said of the newest reading of a moment alone.
    One query.
    """
    today = company.today()
    rows = Reading.objects.for_company(company).standing().filter(sheet__day=today)
    rows = rows.exclude(sheet__in=DayRecord.objects.ending().filter(sheet__day=today).values("sheet"))
    found = list(rows.select_related("sheet__issue").defer("sheet__issue__pdf").order_by("-read_at", "-record_id"))
    zone = zoneinfo.ZoneInfo(company.time_zone)
    return list(alerts_of(found, UnitFormatter(company.unit_system), zone))[:ALERTS_SHOWN]


def alerts_of(newest_first: Iterable[Reading], write: UnitFormatter, zone: zoneinfo.ZoneInfo) -> Iterable[ReadingAlert]:
    limits: dict[int, Limits] = {}
    seen: set[tuple[int, str, str]] = set()
    for row in newest_first:
        if row.sheet_id not in limits:
            limits[row.sheet_id] = limits_in(snapshot_of(row.sheet.issue))
        found = judged(row.kind, row.moment, row.force_n, limits=limits[row.sheet_id], write=write)
        is_newest = (row.sheet_id, row.kind, row.moment) not in seen
        seen.add((row.sheet_id, row.kind, row.moment))
        if found.key == "above" or (found.key == "below" and is_newest):
            when = f"{ReadingMoment(row.moment).label}, read at {row.read_at.astimezone(zone):%H:%M}."
            passed = "A later reading followed. Look over stem, hinge, anchors and gear before the work goes on."
            yield ReadingAlert(
                mark=found.mark,
                title=f"Sheet {row.sheet.number}: {found.title}",
                why=f"{when} {found.action if is_newest else passed}",
                href=reverse("sheet_done", args=[row.sheet_id]),
            )
