"""The plan from above, to scale, the lay to the right: line, redirects, anchors, reach, and who stands where."""

from __future__ import annotations

import math
from dataclasses import dataclass

from jobs.drawing.figures import DrawingOptions, PlanFigures
from jobs.drawing.geometry import Spot, axis_point, line_path, off_lay_rad, spot
from jobs.drawing.labels import LabelPlacer, along, around
from jobs.drawing.marks import arc_points, arrowhead, rope
from jobs.drawing.scene import Bounds, Circle, Line, Point, Polygon, Polyline, Scene, Shape, Text
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.stem import total_height

EDGE_PX = 22.0
LINE_PX = 13.0
ROPE_WEDGE_DEG = 15.0  # nobody stands behind the anchor within this of the line

PLACE_WORDS = {
    "haulers": "haulers",
    "bollard_tender": "bollard",
    "hitch_tender": "hitch",
    "side_tender": "side line",
    "restraint_tender": "restraint",
    "cutter": "cutter",
    "lookout": "lookout",
}


@dataclass(frozen=True, slots=True)
class _Ground:
    plan: PlanInput
    bounds: Bounds
    px: float
    height_m: float
    path: tuple[Spot, ...]
    side: tuple[Spot, ...]
    places: tuple[tuple[str, Spot], ...]

    @property
    def line(self) -> list[Point]:
        return [(0.0, 0.0), *(s.top for s in self.path)]


def _hitch_tender(path: tuple[Spot, ...], distance_m: float | None) -> list[tuple[str, Spot]]:
    """The computed stand of the hitch minder, on the last leg at its distance from the stump."""
    if distance_m is None:
        return []
    start = path[-2].top if len(path) > 1 else (0.0, 0.0)
    end = path[-1].top
    for step in range(1001):
        x, y = (end[i] + (start[i] - end[i]) * step / 1000 for i in range(2))
        if abs(math.hypot(x, y) - distance_m) < 0.05:
            return [("hitch_tender", Spot(x, y, 0.0, 0.0))]
    return []


def _survey(figures: PlanFigures, options: DrawingOptions) -> _Ground:
    plan = figures.inputs
    lay_deg = plan.tree.lay_azimuth_deg
    path = line_path(plan.line, lay_deg)
    side = line_path(plan.side_line, lay_deg) if plan.side_line is not None else ()
    places = [(p.place, spot(p, lay_deg)) for p in plan.places]
    places += _hitch_tender(path, figures.results.hitch_tender_distance_m)
    height = total_height(plan.tree)
    points = [(0.0, 0.0), (height, 0.0), (-3.0, 0.0), *(s.top for s in (*path, *side)), *(s.top for _, s in places)]
    reach = 0.75 * height
    x0, x1 = min(p[0] for p in points) - 1.0, max(p[0] for p in points) + 2.0
    y0, y1 = min(-reach, *(p[1] for p in points)) - 1.0, max(reach, *(p[1] for p in points)) + 1.0
    edge = EDGE_PX if options.is_narrow else 2 * EDGE_PX
    scale = min((options.width_px - 2 * edge) / (x1 - x0), (options.height_px - 2 * EDGE_PX) / (y1 - y0))
    px = 1.0 / scale
    spare = (options.width_px * px - (x1 - x0)) / 2
    bounds = Bounds(x0 - spare, y0 - EDGE_PX * px, x1 + spare, y1 + EDGE_PX * px)
    return _Ground(plan, bounds, px, height, path, side, tuple(places))


def _clip_arc(bounds: Bounds, radius: float) -> list[list[Point]]:
    """The circle of the reach where it lies inside the drawing."""
    runs: list[list[Point]] = [[]]
    for point in arc_points((0.0, 0.0), radius, (-180.0, 180.0), steps=180):
        if bounds.holds([point]):
            runs[-1].append(point)
        elif runs[-1]:
            runs.append([])
    return [run for run in runs if len(run) > 1]


def _rope_wedge(at: _Ground) -> Polygon:
    """Behind the anchor, where a parted line flies: within 15 degrees of the last leg."""
    start = at.path[-2].top if len(at.path) > 1 else (0.0, 0.0)
    end = at.path[-1].top
    out = math.atan2(end[1] - start[1], end[0] - start[0])
    half = math.radians(ROPE_WEDGE_DEG)
    length = max(8.0, 46 * at.px)

    def inside(angle: float) -> Point:
        x, y = end[0] + length * math.cos(angle), end[1] + length * math.sin(angle)
        return (min(max(x, at.bounds.x0), at.bounds.x1), min(max(y, at.bounds.y0), at.bounds.y1))

    return Polygon((end, inside(out - half), inside(out + half)), "outband")


def _lay(at: _Ground) -> list[Shape]:
    """Where the stem will lie, and its arrow."""
    sections = at.plan.tree.sections
    foot_d, top_d = sections[0].diameter_m, sections[-1].diameter_m
    half_foot, half_top = max(foot_d / 2, 2.5 * at.px), max(top_d / 2, 1.2 * at.px)
    h = at.height_m
    lying = Polygon(((0, half_foot), (h, half_top), (h, -half_top), (0, -half_foot)), "thing")
    return [lying, arrowhead((h, 0.0), 0.0, length=11 * at.px, role="inkfill", slender=0.45)]


def _north(at: _Ground) -> tuple[list[Shape], Text, list[Point]]:
    lay_deg = at.plan.tree.lay_azimuth_deg
    turn = -off_lay_rad(0.0, lay_deg)
    reach = 13 * at.px
    x, y = at.bounds.x0 + 22 * at.px, at.bounds.y1 - 24 * at.px
    tip = (x + reach * math.cos(turn), y + reach * math.sin(turn))
    tail = (x - reach * math.cos(turn), y - reach * math.sin(turn))
    label = Text(x + 18 * at.px, y - 4 * at.px, "north", "text-soft")
    return (
        [Line(*tail, *tip, "ink"), arrowhead(tip, math.degrees(turn), length=9 * at.px, role="inkfill")],
        label,
        [
            tail,
            tip,
        ],
    )


def _stands(at: _Ground) -> list[Shape]:
    shapes: list[Shape] = []
    for name, place in at.places:
        many = min(6, at.plan.people) if name == "haulers" else 1
        out = math.atan2(place.y, place.x)
        for i in range(many):
            x, y = place.x + math.cos(out) * i * 7 * at.px, place.y + math.sin(out) * i * 7 * at.px
            shapes.append(Circle(x, y, 3.2 * at.px, "inkfill"))
    return shapes


def plan_view(figures: PlanFigures, options: DrawingOptions) -> Scene:
    """Line, redirects, side line, reach of the fall and places from above, to scale, the lay to the right.

    Distances in m and azimuths from the inputs. A label that finds no free place is named in `left_out`.
    """
    at = _survey(figures, options)
    runs = _clip_arc(at.bounds, at.height_m)
    north, north_label, north_points = _north(at)
    shapes: list[Shape] = [_rope_wedge(at), *(Polyline(tuple(run), "dash") for run in runs), *_lay(at)]
    if at.side:
        shapes.extend(rope([(0.0, 0.0), *(s.top for s in at.side)], "rope-thin"))
    shapes.extend(rope(at.line))
    shapes.extend(Circle(*s.top, 4.5 * at.px, "plate") for s in (*at.path, *at.side))
    shapes.extend([Circle(0.0, 0.0, 6 * at.px, "wood"), *_stands(at), *north])
    placer = LabelPlacer(at.bounds, 1.0 / at.px)
    for run in runs:
        placer.avoid(run, soft=True)
    placer.avoid(at.line, width_px=6)
    placer.avoid([(0.0, 0.0), *(s.top for s in at.side)], width_px=5)
    placer.avoid([(0.0, 0.0), (at.height_m, 0.0)], width_px=7)
    placer.avoid(north_points, width_px=10)
    for shape in shapes:
        if isinstance(shape, Circle):
            placer.avoid([(shape.x, shape.y), (shape.x, shape.y)], width_px=2 * shape.radius / at.px)
    placer.place([north_label], must=True)
    _label(placer, at, options)
    shapes.extend(placer.placed)
    return Scene(
        "Seen from above, to scale",
        _describe(at, options),
        at.bounds,
        1.0 / at.px,
        tuple(shapes),
        tuple(placer.left_out),
    )


def _label(placer: LabelPlacer, at: _Ground, options: DrawingOptions) -> None:
    px, write = at.px, options.formatter
    words = {**PLACE_WORDS, **options.place_words}
    for name, place in at.places:
        text = words.get(name, name.replace("_", " "))
        if name == "haulers":
            text = f"{at.plan.people} {text}" if at.plan.people > 1 else "1 hauler"
        far = f"{text}, {write.length(math.hypot(place.x, place.y))}"
        gap, line = 9 * px, LINE_PX * px
        choices = [] if options.is_narrow else around(place.top, far, "text", gap=gap, line=line)
        choices += around(place.top, text, "text", gap=gap, line=line)
        placer.place([*choices, *around(place.top, text, "text", gap=22 * px, line=line)])
    for number, place in enumerate(at.path, start=1):
        text = "anchor" if number == len(at.path) else "redirect"
        placer.place(
            around(place.top, text, "text-strong" if text == "anchor" else "text", gap=10 * px, line=LINE_PX * px)
        )
    for number, place in enumerate(at.side, start=1):
        text = "side anchor" if number == len(at.side) else "side redirect"
        placer.place(around(place.top, text, "text", gap=10 * px, line=LINE_PX * px))
    reach = ("reach " if options.is_narrow else "reach of the fall ") + write.length(at.height_m)
    for_arc = [
        Text(at.height_m * math.cos(a) + 6 * px, at.height_m * math.sin(a), reach, "text-soft", "start", halo=True)
        for a in map(math.radians, (30, -30, 42, -42, 20, -20, 55, -55, 10, -10))
    ]
    placer.place(for_arc)
    top_x, top_y, _ = axis_point(at.plan.tree, at.height_m)
    if math.hypot(top_x, top_y) > 0.2:
        placer.place(around((0.0, 0.0), "stump", "text", gap=10 * px, line=LINE_PX * px))
    placer.place(along((0.0, 0.0), (at.height_m, 0.0), "lay", "text-soft", gap=8 * px))
    _tension(placer, at)


def _tension(placer: LabelPlacer, at: _Ground) -> None:
    """Names the line along its first leg where there is room."""
    first, second = at.line[:2]
    placer.place(
        [
            *along(first, second, "line", "text-rope", gap=7 * at.px),
            *along(first, second, "line", "text-rope", gap=-17 * at.px),
        ]
    )


def _describe(at: _Ground, options: DrawingOptions) -> str:
    write = options.formatter
    words = [f"From above, the lay to the right at {write.angle(at.plan.tree.lay_azimuth_deg)} from north."]
    lay_deg = at.plan.tree.lay_azimuth_deg
    anchor = at.plan.line.anchor
    off_deg = math.degrees(off_lay_rad(anchor.azimuth_deg, lay_deg))
    where = (
        "on the lay"
        if abs(off_deg) < 0.5
        else f"{write.angle(abs(off_deg))} {'right' if off_deg > 0 else 'left'} of it"
    )
    words.append(f"The anchor stands {write.length(anchor.distance_m)} away, {where}.")
    for name, place in at.places:
        text = {**PLACE_WORDS, **options.place_words}.get(name, name.replace("_", " "))
        words.append(f"{text.capitalize()}: {write.length(math.hypot(place.x, place.y))} from the stump.")
    words.append(f"The fall reaches {write.length(at.height_m)}. Nobody stands in the shaded wedge behind the anchor.")
    return " ".join(words)
