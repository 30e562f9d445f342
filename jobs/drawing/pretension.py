"""The pre-tension window drawn as the rope: slack where the stem can sit back, taut in it, parted where wood splits."""

from __future__ import annotations

from dataclasses import dataclass

from jobs.drawing.figures import DrawingOptions, PlanFigures
from jobs.drawing.labels import LabelPlacer
from jobs.drawing.marks import rope
from jobs.drawing.scene import Anchor, Bounds, Curve, Line, Point, Polygon, Role, Scene, Shape, Text, TextRole
from jobs.wording.felling import felling

HEIGHT = 150.0
BAND_LOW, BAND_HIGH = 52.0, 92.0
ROPE_Y = 72.0
MIN_SLACK_SHARE, MIN_SPLIT_SHARE = 0.14, 0.18
BLUNT_UPPER = {
    "bend": "above: wood overstressed",
    "split": "above: can split",
    "shear": "above: can split",
    "strap": "above: strap can tear",
}


@dataclass(frozen=True, slots=True)
class _Window:
    """The figures shown, in N, and where they stand in px."""

    low_n: float
    high_n: float
    aim_n: float | None
    full_n: float | None
    width: float

    @property
    def is_empty(self) -> bool:
        return self.low_n > self.high_n

    def x(self, force_n: float) -> float:
        """Even within the window; what lies outside is squeezed into the ends."""
        left, right = sorted((self.low_n, self.high_n))
        x_left = self.width * (MIN_SLACK_SHARE if left > 0 else 0.02)
        x_right = self.width * (1 - MIN_SPLIT_SHARE)
        if force_n <= left:
            return x_left * force_n / left if left > 0 else x_left
        if force_n <= right:
            return x_left + (x_right - x_left) * (force_n - left) / ((right - left) or 1.0)
        over = min(1.0, (force_n - right) / (right or 1.0))
        return x_right + (self.width - x_right) * 0.85 * over


def pretension(figures: PlanFigures, options: DrawingOptions) -> Scene:
    """Lowest, aimed and highest pre-tension at the stem, with the full pull beside them.

    Forces in N from the results (lowest, highest, stem tension) and from the topic window (recommended tension). An
    empty window is drawn as two ends that overlap, with no rope taut between them.
    """
    results = figures.results
    window = _Window(
        results.lowest_tension_n,
        results.highest_tension_n,
        figures.window.recommended_tension_n,
        results.stem_tension_n,
        options.width_px,
    )
    shapes = _empty(window) if window.is_empty else _open(window)
    placer = LabelPlacer(Bounds(0.0, 0.0, window.width, HEIGHT), 1.0)
    placer.avoid([(0.0, BAND_LOW), (window.width, BAND_LOW)], width_px=1)
    placer.avoid([(0.0, BAND_HIGH), (window.width, BAND_HIGH)], width_px=1)
    shapes.extend(_pointers(window, placer, options))
    _label_ends(window, placer, figures, options)
    shapes.extend(placer.placed)
    return Scene(
        "Pre-tension window",
        _describe(window, options),
        Bounds(0.0, 0.0, window.width, HEIGHT),
        1.0,
        tuple(shapes),
        tuple(placer.left_out),
    )


def _band(x0: float, x1: float, role: Role) -> Polygon:
    return Polygon(((x0, BAND_LOW), (x1, BAND_LOW), (x1, BAND_HIGH), (x0, BAND_HIGH)), role)


def _strands(x0: float, x1: float) -> list[Shape]:
    third = (x1 - x0) / 3
    return [
        Curve((x0, ROPE_Y), (((x0 + third, ROPE_Y), (x0 + third, ROPE_Y + rise), (x1 - 3, ROPE_Y + rise)),), "out")
        for rise in (11.0, 4.0, -4.0, -11.0)
    ]


def _slack(x0: float, x1: float) -> Curve:
    third = (x1 - x0) / 3
    low = ROPE_Y - 18
    return Curve((x0 + 2, ROPE_Y + 8), (((x0 + third, low), (x1 - third, low), (x1, ROPE_Y)),), "rope-thin")


def _open(window: _Window) -> list[Shape]:
    low, high, width = window.x(window.low_n), window.x(window.high_n), window.width
    shapes: list[Shape] = [_band(low, high, "okband"), _band(high, width, "outband")]
    if window.low_n > 0:
        shapes += [_band(0.0, low, "outband"), _slack(0.0, low)]
    shapes += [*_strands(high, width), *rope([(low, ROPE_Y), (high, ROPE_Y)])]
    if window.low_n > 0:
        shapes.append(Line(low, BAND_LOW - 6, low, BAND_HIGH + 6, "ink"))
    return [*shapes, Line(high, BAND_LOW - 6, high, BAND_HIGH + 6, "ink")]


def _empty(window: _Window) -> list[Shape]:
    """Slack up to the lowest, parted from the highest, and between them both: no rope holds there."""
    low, high, width = window.x(window.low_n), window.x(window.high_n), window.width
    return [
        _band(0.0, width, "outband"),
        _slack(0.0, low),
        *_strands(high, width),
        Line(low, BAND_LOW - 6, low, BAND_HIGH + 6, "ink"),
        Line(high, BAND_LOW - 6, high, BAND_HIGH + 6, "ink"),
    ]


def _pointers(window: _Window, placer: LabelPlacer, options: DrawingOptions) -> list[Shape]:
    write = options.formatter
    shapes: list[Shape] = []
    if window.aim_n is not None and window.low_n > 0:
        x = window.x(window.aim_n)
        shapes.append(Polygon(((x, ROPE_Y + 10), (x - 7, ROPE_Y + 22), (x + 7, ROPE_Y + 22)), "inkfill"))
        placer.place(_over(x, BAND_HIGH + 9, f"aim for {write.aim(window.aim_n)}", "text-strong", width=window.width))
    if window.full_n is not None and not window.is_empty:
        x = window.x(window.full_n)
        shapes += [
            Line(x, ROPE_Y + 22, x, BAND_HIGH + 28, "dim"),
            Polygon(((x, ROPE_Y + 10), (x - 6, ROPE_Y + 22), (x + 6, ROPE_Y + 22)), "plate"),
        ]
        text = f"full pull {write.force(window.full_n)}"
        placer.place(_over(x, BAND_HIGH + 34, text, "text", width=window.width))
    return shapes


def _over(x: float, y: float, text: str, role: TextRole, *, width: float) -> list[Text]:
    """Above a pointer, slid inward at the ends of the drawing."""
    return [
        Text(x, y, text, role, "middle"),
        Text(width - 2, y, text, role, "end"),
        Text(2, y, text, role, "start"),
        Text(x, y + 16, text, role, "middle"),
        Text(width - 2, y + 16, text, role, "end"),
    ]


def _label_ends(window: _Window, placer: LabelPlacer, figures: PlanFigures, options: DrawingOptions) -> None:
    write = options.formatter
    low, high, width = window.x(window.low_n), window.x(window.high_n), window.width
    top, foot = BAND_LOW - 22, BAND_LOW - 40
    upper = BLUNT_UPPER.get(figures.window.governing_bound, "above: can split")
    if window.is_empty:
        placer.place([Text(2, top, f"sits back below {write.force(window.low_n)}", "text-strong")])
        placer.place(
            [Text(2, foot, f"{upper.removeprefix('above: ')} above {write.force_limit(window.high_n)}", "text-out")]
        )
        return
    _end(placer, high, write.force_limit(window.high_n), upper, frame=(top, foot, width), from_right=True)
    if window.low_n > 0:
        _end(placer, low, write.force(window.low_n), "below: can sit back", frame=(top, foot, width), from_right=False)
        placer.place([Text((low + high) / 2, top, felling("window before the back cut"), "text-ok", "middle")])
    else:
        placer.place(
            [
                Text(4, top, "no pre-tension needed; the line only steers", "text-ok"),
                Text(4, foot, "none needed: the line steers", "text-ok"),
                Text(4, top, "none needed", "text-ok"),
            ]
        )


def _end(
    placer: LabelPlacer, x: float, number: str, words: str, *, frame: tuple[float, float, float], from_right: bool
) -> None:
    top, foot, width = frame
    edge: Point = (width - 2, 0) if from_right else (2, 0)
    side: Anchor = "end" if from_right else "start"
    placer.place(
        [Text(x, top, number, "text-strong", "middle"), Text(edge[0], top, number, "text-strong", side)], must=True
    )
    placer.place([Text(x, foot, words, "text-out", "middle"), Text(edge[0], foot, words, "text-out", side)])


def _describe(window: _Window, options: DrawingOptions) -> str:
    write = options.formatter
    low, high = write.force(window.low_n), write.force_limit(window.high_n)
    if window.is_empty:
        return f"No pre-tension fits: the stem can sit back below {low} and the wood is overstressed above {high}."
    if window.low_n <= 0:
        return felling(f"No pre-tension is needed; above {high} the wood is overstressed before the back cut is done.")
    words = f"Pre-tension from {low}, below which the stem can sit back, to {high}, above which the wood can split."
    if window.aim_n is not None:
        words += f" Aim for {write.aim(window.aim_n)}."
    if window.full_n is not None:
        words += f" The full pull is {write.force(window.full_n)}."
    return words
