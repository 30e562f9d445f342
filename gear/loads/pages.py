"""The load history of an item as its pages show it: rows, and the points of a small chart."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from crewlog.quantities.display import demand_text, limit_text, percent_text
from gear.fitness.reasons import day_words
from gear.models import GearItem, LoadRecord, LoadSource

CHART_POINTS = 60
WIDE, HIGH = 400.0, 190.0
LEFT, RIGHT, TOP, FOOT = 50.0, 12.0, 18.0, 34.0
LEAST_TOP_RATIO = 1.2
STEP_RATIO = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadRow:
    """One piece of work; figures are worded for the reader, a load rounded up and a limit down."""

    on: dt.date
    source: str
    source_words: str
    peak: str
    limit: str
    share: str
    is_over: bool
    position: str
    reference: str
    basis: str
    gauge_tag: str
    gauge_url: str
    who: str
    is_late: bool


@dataclass(frozen=True, slots=True)
class Point:
    """A place on the chart [px], its kind, and the words beside it."""

    x: float
    y: float
    source: str
    words: str
    is_over: bool


@dataclass(frozen=True, slots=True)
class Tick:
    at: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadChart:
    """Peak share of the limit over the days, newest at the right. `words` says what is drawn.

    `own_y` is the height of the share that the company allows the class, None where it is the limit itself.
    """

    points: tuple[Point, ...]
    shares: tuple[Tick, ...]
    days: tuple[Tick, ...]
    limit_y: float
    own_y: float | None = None
    own_words: str = ""
    left: float = LEFT
    label_x: float = LEFT - 8
    right: float = WIDE - RIGHT
    foot: float = HIGH - FOOT
    day_y: float = HIGH - 10
    wide: float = WIDE
    high: float = HIGH
    words: str = ""


def standing_loads(item: GearItem) -> "QuerySet[LoadRecord]":
    """What stands of an item's load history, the newest first; a correction to "not used" leaves it out."""
    rows = LoadRecord.objects.filter(item=item).standing().exclude(source=LoadSource.NOT_USED)
    return rows.select_related("item", "gauge", "record__entered_by__details")


def load_rows(rows: Iterable[LoadRecord], units: str) -> list[LoadRow]:
    return [
        LoadRow(
            on=row.day,
            source=row.source,
            source_words=row.get_source_display(),
            peak=demand_text(row.peak_n, units) if row.peak_n is not None else "",
            limit=limit_text(row.limit_n, units) if row.limit_n is not None else "",
            share=percent_text(row.share_ratio, direction="up") if row.share_ratio is not None else "",
            is_over=row.is_overload,
            position=row.position,
            reference=row.reference,
            basis=row.basis,
            gauge_tag=row.gauge.tag if row.gauge else "",
            gauge_url=row.gauge.get_absolute_url() if row.gauge else "",
            who=str(row.record.entered_by or "Crewlog"),
            is_late=row.record.is_late,
        )
        for row in rows
    ]


def load_chart(rows: Sequence[LoadRecord], overload_share: float = 1.0) -> LoadChart | None:
    """The chart of the newest rows, at most sixty; None where there is nothing to draw.

    `overload_share` is the share of the limit above which a peak recorded now is an overload; below 1 it is drawn.
    """
    drawn = sorted(rows[:CHART_POINTS], key=lambda row: (row.day, row.pk))
    if not drawn:
        return None
    first, last = drawn[0].day, drawn[-1].day
    top = max(LEAST_TOP_RATIO, *(1.1 * row.share_ratio for row in drawn if row.share_ratio is not None), 0.0)

    def across(day: dt.date) -> float:
        span = (last - first).days
        share = (day - first).days / span if span else 0.5
        return round(LEFT + 10 + (WIDE - LEFT - RIGHT - 20) * share, 1)

    def up(ratio: float) -> float:
        return round(HIGH - FOOT - (HIGH - FOOT - TOP) * ratio / top, 1)

    step = STEP_RATIO if top <= 2 else 1.0
    return LoadChart(
        points=tuple(
            Point(across(row.day), up(row.share_ratio or 0.0), shape_of(row), point_words(row), row.is_overload)
            for row in drawn
        ),
        shares=tuple(Tick(up(n * step), f"{n * step * 100:.0f}") for n in range(int(top / step) + 1)),
        days=tuple(Tick(across(day), day_words(day)) for day in dict.fromkeys((first, last))),
        limit_y=up(1.0),
        own_y=up(overload_share) if overload_share < 1.0 else None,
        own_words=f"overload above {percent_text(overload_share, direction='down')}",
        words=chart_words(drawn),
    )


def shape_of(row: LoadRecord) -> str:
    """A load without a known limit has no share to be drawn at: it stands at the foot like one not measured."""
    return row.source if row.share_ratio is not None else LoadSource.NOT_MEASURED.value


def point_words(row: LoadRecord) -> str:
    share = percent_text(row.share_ratio, direction="up") if row.share_ratio is not None else "no figure"
    return f"{day_words(row.day)}: {share}, {row.get_source_display().lower()}"


def chart_words(drawn: Sequence[LoadRecord]) -> str:
    """What a reader who cannot see it is told; the table holds every figure."""
    counts = {source: sum(row.source == source for row in drawn) for source in LoadSource.values}
    shares = [row.share_ratio for row in drawn if row.share_ratio is not None]
    greatest = f" Greatest share {percent_text(max(shares), direction='up')}." if shares else ""
    kinds = (
        f"{counts['measured']} measured, {counts['derived']} calculated from a reading, "
        f"{counts['not_measured']} not measured"
    )
    return f"{len(drawn)} uses from {day_words(drawn[0].day)} to {day_words(drawn[-1].day)}: {kinds}.{greatest}"
