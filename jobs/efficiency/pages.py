"""The measured efficiency of one tackle: the figure now, its history, and whether it fell."""

import datetime as dt
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from crewlog.dates import short_day
from crewlog.quantities.display import Printed
from crewlog.quantities.units import number_text
from gear.models import GearItem
from jobs.drawing.efficiency_chart import Measured, efficiency_chart
from jobs.drawing.figures import NARROW_PX, WIDE_PX
from jobs.drawing.svg import svg_text
from jobs.mechanics.measured import EfficiencyFall, efficiency_fall
from jobs.mechanics.working.measured import measured_lines
from jobs.models import EfficiencyMeasurement
from jobs.plans.presentation import WorkingLine
from jobs.plans.working_rows import working_line
from jobs.wording.figure import AS_IS, Rounding
from jobs.wording.unit_formatter import UnitFormatter

SHOWN_IN_CHART = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class PairRow:
    """One pair as it was read."""

    hand: str
    load: str
    state: str
    advantage: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasurementRow:
    """One measurement of the history."""

    id: int
    day: str
    kept: str
    interval: str
    tackle: str
    cell: str
    who: str
    count: str
    conditions: str
    because: str
    is_late: bool
    is_corrected: bool
    pairs: tuple[PairRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """The standing measurements of one way to rive a tackle, the newest first."""

    title: str
    kept: str
    interval: str
    day: str
    planned: str
    fall: str
    chart_wide: SafeString
    chart_narrow: SafeString
    working: tuple[WorkingLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EfficiencyPage:
    """All that was measured on one item."""

    series: tuple[Series, ...]
    rows: tuple[MeasurementRow, ...]

    @property
    def has_fallen(self) -> bool:
        return any(series.fall for series in self.series)


def kept_words(ratio: float, rounding: Rounding = AS_IS) -> str:
    """ "90.7 %": what one sheave passes on, to a tenth of a per cent."""
    return Printed(number_text(ratio * 100, 1, rounding), "%").text


def interval_words(row: EfficiencyMeasurement) -> str:
    """The interval, outward: the low end down, the high end up."""
    low, high = kept_words(row.sheave_efficiency_low, "down"), kept_words(row.sheave_efficiency_high, "up")
    capped = ", cut off where no friction is left" if row.high_is_capped else ""
    return f"{low} to {high}{capped}"


def rove_key(row: EfficiencyMeasurement) -> tuple[int, str]:
    return row.parts, row.rove


def fall_of(newest: EfficiencyMeasurement, earlier: Sequence[EfficiencyMeasurement]) -> EfficiencyFall | None:
    """Whether the newest measurement fell against the earlier ones of the same tackle, rove alike."""
    return efficiency_fall(
        [row.sheave_efficiency for row in earlier], newest.sheave_efficiency, newest.sheave_efficiency_high
    )


def fall_words(fall: EfficiencyFall | None) -> str:
    if fall is None:
        return ""
    now, usual = kept_words(fall.now_ratio), kept_words(fall.usual_ratio)
    how = (
        "Even the high end of its interval lies below that"
        if fall.is_beyond_interval
        else "That is more than the spread a plan allows for"
    )
    return f"Sheave efficiency is {now}; it used to be {usual}. {how}. Look at sheaves, rope and reeving before use."


def efficiency_page(item: GearItem, rows: Sequence[EfficiencyMeasurement]) -> EfficiencyPage:
    """Lay out what was measured; `rows` newest first, those corrected among them."""
    write = UnitFormatter(item.company.unit_system)
    standing = [row for row in rows if not row.record.corrections.all()]
    keys = list(dict.fromkeys(rove_key(row) for row in standing))
    series = (series_of([row for row in standing if rove_key(row) == key], number) for number, key in enumerate(keys))
    return EfficiencyPage(series=tuple(series), rows=tuple(measurement_row(row, write) for row in rows))


def series_of(rows: Sequence[EfficiencyMeasurement], number: int) -> Series:
    newest, *earlier = rows
    return Series(
        title=tackle_words(newest),
        kept=kept_words(newest.sheave_efficiency),
        interval=interval_words(newest),
        day=short_day(newest.measured_on),
        planned=kept_words(newest.sheave_efficiency_low, "down"),
        fall=fall_words(fall_of(newest, earlier)),
        chart_wide=chart(rows, f"efficiency-wide-{number}", WIDE_PX),
        chart_narrow=chart(rows, f"efficiency-narrow-{number}", NARROW_PX),
        working=tuple(working_line(line) for line in measured_lines(newest.parts, newest.rove, newest.used_pairs)),  # type: ignore[arg-type]
    )


def chart(rows: Sequence[EfficiencyMeasurement], name: str, width_px: float) -> SafeString:
    shown = list(reversed(rows[:SHOWN_IN_CHART]))
    first, last = shown[0].measured_on, shown[-1].measured_on
    usual = statistics.median(row.sheave_efficiency for row in rows[1:]) if len(rows) > 1 else None
    scene = efficiency_chart(
        [
            Measured(
                short_day(row.measured_on),
                share_of(row.measured_on, first, last),
                row.sheave_efficiency,
                row.sheave_efficiency_low,
                row.sheave_efficiency_high,
            )
            for row in shown
        ],
        usual_ratio=usual,
        width_px=width_px,
    )
    return mark_safe(svg_text(scene, name))  # noqa: S308 - the writer builds the tree and escapes all text


def share_of(day: dt.date, first: dt.date, last: dt.date) -> float:
    return (day - first).days / (last - first).days if last > first else 0.5


def tackle_words(row: EfficiencyMeasurement) -> str:
    return f"{row.parts} parts, {row.get_rove_display().lower()}"


def measurement_row(row: EfficiencyMeasurement, write: UnitFormatter) -> MeasurementRow:
    cell = f"{row.load_cell.tag} {row.load_cell.description}" if row.load_cell is not None else row.load_cell_words
    return MeasurementRow(
        id=row.pk,
        day=short_day(row.measured_on),
        kept=kept_words(row.sheave_efficiency),
        interval=interval_words(row),
        tackle=tackle_words(row),
        cell=cell,
        who=str(row.record.entered_by),
        count=f"{row.readings_used} of {len(row.pairs)}",
        conditions=row.conditions,
        because=row.because,
        is_late=row.record.is_late,
        is_corrected=bool(row.record.corrections.all()),
        pairs=tuple(pair_rows(row.pairs, write)),
    )


def pair_rows(pairs: Iterable[tuple[float, float, str]], write: UnitFormatter) -> Iterable[PairRow]:
    for hand, load, state in pairs:
        yield PairRow(
            hand=write.hand(hand),
            load=write.force(load),
            state=state,
            advantage=number_text(load / hand, 2, "nearest"),
        )
