"""Placing labels: no label on another, on a line, or outside the drawing."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from crewlog.pdf.fonts import text_width
from jobs.drawing.palette import LETTERING
from jobs.drawing.scene import Anchor, Bounds, Point, Text, TextRole

ASCENT_EM = 0.74
DESCENT_EM = 0.22
WIDTH_ALLOWANCE = 1.04  # for a reader whose device falls back to another face


@dataclass(frozen=True, slots=True)
class Box:
    """A turned rectangle as its four corners in order."""

    corners: tuple[Point, Point, Point, Point]

    def overlaps(self, other: Box) -> bool:
        """Whether the two share any area (upright extents first, then separating axes)."""
        mine_x, mine_y = zip(*self.corners, strict=True)
        theirs_x, theirs_y = zip(*other.corners, strict=True)
        if max(mine_x) <= min(theirs_x) or max(theirs_x) <= min(mine_x):
            return False
        if max(mine_y) <= min(theirs_y) or max(theirs_y) <= min(mine_y):
            return False
        for box in (self, other):
            for i in range(2):
                ax, ay = box.corners[i]
                bx, by = box.corners[i + 1]
                nx, ny = by - ay, ax - bx
                mine = [x * nx + y * ny for x, y in self.corners]
                theirs = [x * nx + y * ny for x, y in other.corners]
                if max(mine) <= min(theirs) or max(theirs) <= min(mine):
                    return False
        return True


def text_box(text: Text, px_per_unit: float, pad_px: float = 1.0) -> Box:
    """The area a label covers, in scene units."""
    lettering = LETTERING[text.role]
    size = lettering.size_px
    width = text_width(text.text, lettering.face, size) * WIDTH_ALLOWANCE
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor] - pad_px
    right = left + width + 2 * pad_px
    low, high = -DESCENT_EM * size - pad_px, ASCENT_EM * size + pad_px
    cos, sin = math.cos(math.radians(text.turn_deg)), math.sin(math.radians(text.turn_deg))

    def corner(x: float, y: float) -> Point:
        return (text.x + (x * cos - y * sin) / px_per_unit, text.y + (x * sin + y * cos) / px_per_unit)

    return Box((corner(left, low), corner(right, low), corner(right, high), corner(left, high)))


def stroke_box(start: Point, end: Point, half_width: float) -> Box:
    """The area a stroke covers, in scene units."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = math.hypot(dx, dy) or 1.0
    ux, uy = (dx / length, dy / length) if (dx or dy) else (1.0, 0.0)
    nx, ny = -uy * half_width, ux * half_width
    ex, ey = ux * half_width, uy * half_width
    (x1, y1), (x2, y2) = start, end
    return Box(
        (
            (x1 - ex - nx, y1 - ey - ny),
            (x2 + ex - nx, y2 + ey - ny),
            (x2 + ex + nx, y2 + ey + ny),
            (x1 - ex + nx, y1 - ey + ny),
        )
    )


class LabelPlacer:
    """Takes labels in order of importance and gives each the first of its places that is free."""

    def __init__(self, bounds: Bounds, px_per_unit: float) -> None:
        self._bounds = bounds
        self._px = px_per_unit
        self._hard: list[Box] = []
        self._soft: list[Box] = []
        self._taken: list[Box] = []
        self.placed: list[Text] = []
        self.left_out: list[str] = []

    def avoid(self, points: Sequence[Point], *, width_px: float = 2.0, soft: bool = False) -> None:
        """Keep labels off a stroke. A soft stroke is crossed, on a halo, when nothing else is free."""
        half = width_px / 2 / self._px
        boxes = [stroke_box(start, end, half) for start, end in pairwise(points)]
        (self._soft if soft else self._hard).extend(boxes)

    def place(self, places: Iterable[Text], *, must: bool = False) -> bool:
        """Put the label at the first free place; otherwise note it as left out, or take the last place if it must."""
        choices = list(places)
        for softly in (False, True):
            for choice in choices:
                if self._is_free(choice, cross_soft=softly):
                    self._put(choice)
                    return True
        if must and choices:
            self._put(choices[-1])
            return True
        if choices:
            self.left_out.append(choices[0].text)
        return False

    def _put(self, text: Text) -> None:
        self._taken.append(text_box(text, self._px))
        self.placed.append(text)

    def _is_free(self, text: Text, *, cross_soft: bool) -> bool:
        box = text_box(text, self._px)
        if not self._bounds.holds(box.corners):
            return False
        blocked = self._taken + self._hard + ([] if cross_soft else self._soft)
        return not any(box.overlaps(other) for other in blocked)


def around(point: Point, text: str, role: TextRole, *, gap: float, line: float) -> list[Text]:
    """Places round a point: right, left, above, below and the corners. `gap` and `line` in scene units."""
    x, y = point
    mid = -line * 0.35
    spots: list[tuple[float, float, Anchor]] = [
        (gap, mid, "start"),
        (-gap, mid, "end"),
        (0, gap, "middle"),
        (0, -gap - line * 0.75, "middle"),
        (gap, gap * 0.5, "start"),
        (-gap, gap * 0.5, "end"),
        (gap, -gap - line * 0.5, "start"),
        (-gap, -gap - line * 0.5, "end"),
    ]
    return [Text(x + dx, y + dy, text, role, anchor, halo=True) for dx, dy, anchor in spots]


def along(start: Point, end: Point, text: str, role: TextRole, *, gap: float) -> list[Text]:
    """Places along a stroke, turned with it and standing off it by `gap`, reading left to right."""
    if end[0] < start[0]:
        start, end = end, start
    dx, dy = end[0] - start[0], end[1] - start[1]
    turn = math.degrees(math.atan2(dy, dx))
    length = math.hypot(dx, dy) or 1.0
    nx, ny = -dy / length * gap, dx / length * gap
    return [
        Text(start[0] + dx * part + nx, start[1] + dy * part + ny, text, role, "middle", turn, True)
        for part in (0.55, 0.5, 0.6, 0.45, 0.65, 0.4, 0.7, 0.35, 0.75, 0.3)
    ]
