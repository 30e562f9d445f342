"""Tension needed in the line over the angle the stem has tipped."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from jobs.drawing.figures import DrawingOptions, PlanFigures
from jobs.drawing.labels import LabelPlacer
from jobs.drawing.scene import Bounds, Circle, Line, Point, Polyline, Scene, Shape, Text, TextRole
from jobs.wording.felling import felling

HEIGHT = 250.0
LEFT, RIGHT, TOP, FOOT = 58.0, 10.0, 24.0, 46.0
STEPS_N = (50, 100, 200, 250, 500, 1000, 2000, 2500, 5000, 10000, 20000, 25000, 50000)


@dataclass(frozen=True, slots=True)
class _Frame:
    """The axes: greatest angle and force shown."""

    angle_deg: float
    force_n: float
    width: float

    def at(self, angle_deg: float, force_n: float) -> Point:
        across = (self.width - LEFT - RIGHT) * angle_deg / self.angle_deg
        return (LEFT + across, FOOT + (HEIGHT - FOOT - TOP) * min(1.0, force_n / self.force_n))


def angle_chart(figures: PlanFigures, options: DrawingOptions) -> Scene:
    """Tension [N] over tipping angle [deg] from the table of the topic pull, with the angles that matter.

    Marks the greatest tension, the angle of balance, the angle from which the stem falls by itself, and the highest
    pre-tension as a line not to cross before the back cut is done.
    """
    table = figures.pull.table or ()
    width = min(options.width_px, 430.0)
    high_n = figures.results.highest_tension_n
    max_n = max(row.tension_n for row in table)
    limit = high_n if high_n < 2 * max_n else None
    frame = _Frame(max(1.0, table[-1].angle_deg), 1.12 * max(max_n, limit or 0.0, 1.0), width)
    bounds = Bounds(0.0, 0.0, width, HEIGHT)
    placer = LabelPlacer(bounds, 1.0)
    shapes = _axes(frame, placer, options)
    curve = tuple(frame.at(row.angle_deg, row.tension_n) for row in table)
    placer.avoid(curve, width_px=6)
    if limit is not None:
        shapes.extend(_limit(frame, placer, limit, options))
    shapes.append(Polyline(curve, "rope"))
    shapes.extend(_marks(frame, placer, figures, options))
    shapes.extend(placer.placed)
    return Scene(
        "Tension over the tipping angle",
        _describe(figures, options, max_n),
        bounds,
        1.0,
        tuple(shapes),
        tuple(placer.left_out),
    )


def _axes(frame: _Frame, placer: LabelPlacer, options: DrawingOptions) -> list[Shape]:
    step = next((s for s in STEPS_N if frame.force_n / s <= 5), STEPS_N[-1])
    shapes: list[Shape] = []
    for i in range(int(frame.force_n // step) + 1):
        (x, y), (x2, _) = frame.at(0.0, i * step), frame.at(frame.angle_deg, 0.0)
        if i:
            shapes.append(Line(x, y, x2, y, "grid"))
        placer.place([Text(LEFT - 8, y - 4.5, options.formatter.force(i * step), "text-soft", "end")], must=True)
    turn = 10 if frame.angle_deg <= 50 else 20
    for i in range(int(frame.angle_deg // turn) + 1):
        x, y = frame.at(i * turn, 0.0)
        shapes.append(Line(x, y, x, y - 5, "dim"))
        placer.place([Text(x, y - 19, options.formatter.angle(float(i * turn)), "text-soft", "middle")], must=True)
    placer.place([Text(frame.width - RIGHT, 6, "tipped from upright", "text-soft", "end")], must=True)
    (x, y), (x2, _) = frame.at(0.0, 0.0), frame.at(frame.angle_deg, 0.0)
    shapes.append(Line(x, y, x2, y, "ink"))
    placer.avoid([(x, y), (x2, y)])
    return shapes


def _limit(frame: _Frame, placer: LabelPlacer, limit_n: float, options: DrawingOptions) -> list[Shape]:
    start, end = frame.at(0.0, limit_n), frame.at(frame.angle_deg, limit_n)
    placer.avoid([start, end])
    text = f"can split above {options.formatter.force_limit(limit_n)}"
    placer.place([Text(end[0], end[1] + gap, text, "text-out", "end", halo=True) for gap in (6.0, -15.0)])
    return [Line(*start, *end, "out")]


def _marks(frame: _Frame, placer: LabelPlacer, figures: PlanFigures, options: DrawingOptions) -> list[Shape]:
    """Greatest, balance and self-falling angles, each a ring on the curve with its words."""
    write, pull = options.formatter, figures.pull
    shapes: list[Shape] = []
    top = max(pull.table or (), key=lambda row: row.tension_n)
    where = "upright" if top.angle_deg < 0.5 else f"at {write.angle(top.angle_deg)}"
    marks: list[tuple[float, float, str, TextRole]] = [
        (top.angle_deg, top.tension_n, f"{write.force(top.tension_n)} {where}", "text-strong")
    ]
    if (self_deg := pull.self_falling_angle_deg) is not None:
        marks.append(
            (self_deg, _tension_at(figures, self_deg), f"falls by itself from {write.angle(self_deg)}", "text")
        )
    balance_deg = pull.balance_angle_deg
    if balance_deg > 0.5:
        marks.append((balance_deg, _tension_at(figures, balance_deg), f"{write.angle(balance_deg)} balance", "text"))
    for angle_deg, force_n, text, role in marks:
        x, y = frame.at(angle_deg, force_n)
        shapes.append(Circle(x, y, 5.0, "plate"))
        placer.avoid([(x, y), (x, y)], width_px=11)
        spots = [(12, -4), (14, 6), (16, -16), (20, 14), (24, -30), (8, 16), (26, -4), (36, -4)]
        places = [Text(x + dx, y + dy, text, role, "start", halo=True) for dx, dy in spots]
        places += [Text(x, y + up, text, role, "middle", halo=True) for up in (14, 28, 42)]
        edge = frame.width - RIGHT
        places += [Text(edge, y + up, text, role, "end", halo=True) for up in (14, 28, 42)]
        placer.place(places)
    return shapes


def _tension_at(figures: PlanFigures, angle_deg: float) -> float:
    table = figures.pull.table or ()
    for low, high in pairwise(table):
        if angle_deg <= high.angle_deg:
            part = (angle_deg - low.angle_deg) / (high.angle_deg - low.angle_deg)
            return float(low.tension_n + part * (high.tension_n - low.tension_n))
    return float(table[-1].tension_n)


def _describe(figures: PlanFigures, options: DrawingOptions, max_n: float) -> str:
    write = options.formatter
    words = [f"The greatest tension needed is {write.force(max_n)}."]
    balance_deg = figures.pull.balance_angle_deg
    if balance_deg and not math.isclose(balance_deg, 0.0):
        words.append(f"From {write.angle(balance_deg)}, the angle of balance, the stem may go by itself.")
    self_deg = figures.pull.self_falling_angle_deg
    if self_deg is not None:
        words.append(f"From {write.angle(self_deg)} it falls by itself.")
    else:
        words.append(felling("It must be pulled until the notch closes."))
    return " ".join(words)
