"""Small parts that several drawings share: arrows, dimensions, people, anchors, the laid rope."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jobs.drawing.scene import Circle, Curve, Line, Point, Polygon, Polyline, Role, Shape


def rope(points: Sequence[Point], role: Role = "rope") -> list[Shape]:
    """A rope with its tracer."""
    return [Polyline(tuple(points), role), Polyline(tuple(points), "tracer")]


def arrowhead(
    tip: Point, towards_deg: float, *, length: float, role: Role = "dimfill", slender: float = 0.38
) -> Polygon:
    """A filled arrowhead whose tip points towards an angle (anticlockwise from x)."""
    turn = math.radians(towards_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    half = length * slender

    def corner(back: float, side: float) -> Point:
        return (tip[0] - back * cos - side * sin, tip[1] - back * sin + side * cos)

    return Polygon((tip, corner(length, half), corner(length, -half)), role)


def dimension(start: Point, end: Point, *, px: float) -> list[Shape]:
    """A dimension line with a head at each end; `px` is one design pixel in scene units."""
    turn = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    return [
        Line(*start, *end, "dim"),
        arrowhead(end, turn, length=8 * px),
        arrowhead(start, turn + 180.0, length=8 * px),
    ]


def arc(centre: Point, radius: float, span_deg: tuple[float, float], role: Role) -> Curve:
    """An arc as cubic curves of at most 45 degrees each."""
    from_deg, to_deg = span_deg
    pieces = max(1, math.ceil(abs(to_deg - from_deg) / 45.0))
    step = math.radians(to_deg - from_deg) / pieces
    handle = 4 / 3 * math.tan(step / 4) * radius

    def on(angle: float) -> Point:
        return (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))

    cubics = []
    angle = math.radians(from_deg)
    start = on(angle)
    for _ in range(pieces):
        (x1, y1), (x2, y2) = on(angle), on(angle + step)
        first = (x1 - handle * math.sin(angle), y1 + handle * math.cos(angle))
        second = (x2 + handle * math.sin(angle + step), y2 - handle * math.cos(angle + step))
        cubics.append((first, second, (x2, y2)))
        angle += step
    return Curve(start, tuple(cubics), role)


def arc_points(centre: Point, radius: float, span_deg: tuple[float, float], steps: int = 16) -> list[Point]:
    """Points along an arc, to keep labels off it."""
    from_deg, to_deg = span_deg
    angles = (math.radians(from_deg + (to_deg - from_deg) * i / steps) for i in range(steps + 1))
    return [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]


def person(foot: Point, height: float) -> list[Shape]:
    """Someone leaning on the rope, hauling away from the stem."""
    x, y = foot
    h = height

    def at(dx: float, dy: float) -> Point:
        return (x + dx * h, y + dy * h)

    head, hip = at(0.02, 0.9), at(0.1, 0.46)
    return [
        Circle(*head, 0.085 * h, "inkfill"),
        Polyline((at(0.03, 0.78), hip, at(-0.06, 0.0)), "ink"),
        Polyline((hip, at(0.24, 0.0)), "ink"),
        Polyline((at(0.04, 0.7), at(-0.26, 0.58)), "ink"),
    ]


def anchor_body(kind: str, base: Point, px: float) -> Polygon:
    """What the line is anchored to, standing on the ground at `base`; at least a few pixels wide."""
    x, y = base
    if kind == "tree":
        w, top, h = max(0.25, 4 * px), max(0.2, 3.2 * px), max(2.6, 26 * px)
        return Polygon(((x - w, y), (x - top, y + h), (x + top, y + h * 0.94), (x + w, y)), "wood")
    if kind == "machine":
        w, h = max(1.0, 9 * px), max(1.2, 10 * px)
        return Polygon(((x, y), (x, y + h), (x + 2 * w, y + h), (x + 2 * w, y)), "thing")
    if kind == "holdfast":
        w, h = max(0.12, 2 * px), max(0.9, 9 * px)
        return Polygon(((x, y), (x + w, y + h), (x + 2.6 * w, y + h * 0.94), (x + 1.6 * w, y)), "thing")
    w, h = max(0.3, 5 * px), max(0.7, 9 * px)
    return Polygon(((x - w, y), (x - w * 0.8, y + h), (x + w * 0.8, y + h * 0.92), (x + w, y)), "wood")


def gravity_mark(centre: Point, radius: float) -> list[Shape]:
    """The quartered disc of a centre of gravity."""
    x, y = centre
    shapes: list[Shape] = [Circle(x, y, radius, "plate")]
    for start in (0.0, 180.0):
        edge = arc_points(centre, radius, (start, start + 90.0), steps=6)
        shapes.append(Polygon((centre, *edge), "inkfill"))
    return shapes
