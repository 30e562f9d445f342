"""Efficiency of a tackle over time: each measurement with its interval, and the usual figure of before."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from jobs.drawing.labels import LabelPlacer
from jobs.drawing.scene import Bounds, Circle, Line, Point, Polyline, Scene, Shape, Text

HEIGHT = 220.0
LEFT, RIGHT, TOP, FOOT = 58.0, 40.0, 24.0, 44.0
GRID_RATIO = 0.05


@dataclass(frozen=True, slots=True)
class Measured:
    """One measurement: the day as printed, where it stands in time (0 the first, 1 the last), figure and interval."""

    day: str
    share: float
    ratio: float
    low_ratio: float
    high_ratio: float


def efficiency_chart(rows: Sequence[Measured], *, usual_ratio: float | None, width_px: float) -> Scene:
    """Measurements from the oldest to the newest. `usual_ratio` is the middle of those before the newest."""
    low = min(row.low_ratio for row in rows)
    floor = max(0.0, math.floor(low / GRID_RATIO - 1e-9) * GRID_RATIO)
    ceiling = min(1.0, math.ceil(max(row.high_ratio for row in rows) / GRID_RATIO + 1e-9) * GRID_RATIO)
    across, up = width_px - LEFT - RIGHT, HEIGHT - FOOT - TOP

    def at(share: float, ratio: float) -> Point:
        return (LEFT + across * share, FOOT + up * (ratio - floor) / (ceiling - floor))

    bounds = Bounds(0.0, 0.0, width_px, HEIGHT)
    placer = LabelPlacer(bounds, 1.0)
    shapes: list[Shape] = []
    for step in range(round((ceiling - floor) / GRID_RATIO) + 1):
        ratio = floor + step * GRID_RATIO
        start, end = at(0.0, ratio), at(1.0, ratio)
        shapes.append(Line(*start, *end, "ink" if step == 0 else "grid"))
        placer.place([Text(LEFT - 8, start[1] - 4.5, f"{ratio * 100:.0f}\u00a0%", "text-soft", "end")], must=True)
    if usual_ratio is not None:
        start, end = at(0.0, usual_ratio), at(1.0, usual_ratio)
        shapes.append(Line(*start, *end, "dash"))
        placer.avoid([start, end])
        placer.place([Text(end[0], end[1] + gap, "usual before", "text", "end", halo=True) for gap in (6.0, -16.0)])
    points = [at(row.share, row.ratio) for row in rows]
    if len(points) > 1:
        shapes.append(Polyline(tuple(points), "rope-thin"))
    for row, (x, y) in zip(rows, points, strict=True):
        shapes += _whisker(x, at(row.share, row.low_ratio)[1], at(row.share, row.high_ratio)[1])
        shapes.append(Circle(x, y, 5.0, "plate"))
    for number in sorted({len(rows) - 1, 0}, reverse=True):
        x = points[number][0]
        placer.place([Text(x, FOOT - 22, rows[number].day, "text-soft", "middle")])
    shapes.extend(placer.placed)
    return Scene(
        "Efficiency over time", _describe(rows, usual_ratio), bounds, 1.0, tuple(shapes), tuple(placer.left_out)
    )


def _whisker(x: float, low_y: float, high_y: float) -> list[Shape]:
    return [
        Line(x, low_y, x, high_y, "ink"),
        Line(x - 5, low_y, x + 5, low_y, "ink"),
        Line(x - 5, high_y, x + 5, high_y, "ink"),
    ]


def _describe(rows: Sequence[Measured], usual_ratio: float | None) -> str:
    words = [
        f"{row.day}: {row.ratio * 100:.1f} %, from {row.low_ratio * 100:.1f} to {row.high_ratio * 100:.1f} %."
        for row in rows
    ]
    if usual_ratio is not None:
        words.append(f"The usual figure before the last was {usual_ratio * 100:.1f} %.")
    return " ".join(words)
