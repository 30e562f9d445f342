"""Dimensions and labels of the side view."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from jobs.drawing.figures import DrawingOptions, PlanFigures
from jobs.drawing.geometry import Spot, crown_radius_m, lean_words, off_lay_rad, slope_words
from jobs.drawing.labels import LabelPlacer, along, around
from jobs.drawing.marks import arc, arc_points, dimension
from jobs.drawing.scene import Line, Point, Polyline, Shape, Text, TextRole
from jobs.mechanics.line import Redirect, SitePoint
from jobs.mechanics.stem import Tree, total_height

if TYPE_CHECKING:
    from jobs.drawing.side_view import SideLayout

LINE_PX = 13.0


def draw(
    placer: LabelPlacer,
    at: SideLayout,
    figures: PlanFigures,
    options: DrawingOptions,
    *,
    lever: tuple[Point, Point] | None,
    reach_deg: float,
) -> list[Shape]:
    """Dimension lines, returned as shapes, and labels, put into the placer in order of importance."""
    shapes = [
        *_heights(placer, at, options),
        *_distances(placer, at, options),
        *_line_angle(placer, at, figures, options),
    ]
    if lever:
        placer.avoid(lever)
    _tension(placer, at, figures, options)
    _reach(placer, at, options, reach_deg)
    _crew(placer, at, options)
    arm = figures.line.lever_arm_m
    if lever and arm:
        shapes.append(_right_angle(at, lever))
        _arm(placer, at, lever, length=options.formatter.length(arm), options=options)
    _lean(placer, at, options)
    _anchors(placer, at)
    _centre(placer, at, figures)
    return shapes


def _words(options: DrawingOptions, long: str, short: str) -> str:
    return short if options.is_narrow else long


def _heights(placer: LabelPlacer, at: SideLayout, options: DrawingOptions) -> list[Shape]:
    """Height of the line and of the stem, left of it."""
    px = at.px
    left = min(at.stem_top[0], at.attach[0], at.hinge[0], *_crown_edges(at.plan.tree, at)) - 14 * px
    length = options.formatter.length
    attach, total = length(at.plan.line.attach_height_m), length(at.height_m)
    shapes: list[Shape] = []
    step = 25 if options.is_narrow else 30
    for x, point, text in (
        (left, at.attach, _words(options, f"{attach} line", attach)),
        (left - step * px, at.stem_top, _words(options, f"{total} stem", total)),
    ):
        shapes.append(Line(point[0], point[1], x - 4 * px, point[1], "dim"))
        shapes.extend(dimension((x, 0.0), (x, point[1]), px=px))
        placer.avoid([(x, 0.0), (x, point[1])])
        placer.avoid([point, (x - 4 * px, point[1])])
        middle = Text(x - 7 * px, point[1] / 2, text, "text", "middle", 90.0)
        lower = Text(x - 7 * px, point[1] / 3, text, "text", "middle", 90.0)
        placer.place([middle, lower])
    return shapes


def _crown_edges(tree: Tree, at: SideLayout) -> list[float]:
    return [at.stem_top[0] + lump.forward_m - crown_radius_m(lump) for lump in tree.crown]


def _distances(placer: LabelPlacer, at: SideLayout, options: DrawingOptions) -> list[Shape]:
    """Distances from the stump below the ground: first redirect, then anchor."""
    px = at.px
    points: list[SitePoint | Redirect] = [*at.plan.line.redirects, at.plan.line.anchor]
    wanted = [0, len(points) - 1] if len(points) > 1 else [0]
    shapes: list[Shape] = []
    for row, index in enumerate(wanted):
        point, place = points[index], at.path[index]
        y = at.floor - (14 + row * 38) * px
        if abs(place.x) < 30 * px:
            placer.left_out.append(_distance_words(point, at, options, name=index < len(points) - 1))
            continue
        shapes.append(Line(place.x, min(place.ground, at.floor), place.x, y - 5 * px, "dim"))
        shapes.append(Line(0.0, at.floor, 0.0, y - 5 * px, "dim"))
        shapes.extend(dimension((0.0, y), (place.x, y), px=px))
        placer.avoid([(0.0, y), (place.x, y)])
        placer.avoid([(place.x, at.floor), (place.x, y)], soft=True)
        words = _distance_words(point, at, options, name=len(points) > 1)
        short = options.formatter.length(point.distance_m)
        centre = place.x / 2
        baseline = y - 18 * px
        edge = at.bounds.x1 - 2 * px
        placer.place(
            [
                Text(centre, baseline, words, "text", "middle"),
                Text(edge, baseline, words, "text", "end"),
                Text(at.bounds.x0 + 2 * px, baseline, words, "text", "start"),
                Text(centre, baseline, short, "text", "middle"),
            ]
        )
    return shapes


def _distance_words(point: SitePoint | Redirect, at: SideLayout, options: DrawingOptions, *, name: bool) -> str:
    write = options.formatter
    lay_deg = at.plan.tree.lay_azimuth_deg
    off_deg = math.degrees(off_lay_rad(point.azimuth_deg, lay_deg))
    slope_deg = point.slope_deg
    parts = [write.length(point.distance_m), slope_words(slope_deg, write.angle(abs(slope_deg)))]
    if abs(off_deg) >= 0.5:
        parts.append(f"{write.angle(abs(off_deg))} {'right' if off_deg > 0 else 'left'}")
    start = ""
    if name:
        start = "anchor " if point is at.plan.line.anchor else "redirect "
    return start + ", ".join(parts)


def _line_angle(placer: LabelPlacer, at: SideLayout, figures: PlanFigures, options: DrawingOptions) -> list[Shape]:
    """The line's angle below the level, at the far end of its first leg."""
    alpha = figures.line.depression_angle_deg
    end = at.path[0].side
    px = at.px
    placer.avoid([end, (end[0], end[1])], width_px=12)
    if abs(alpha) < 3.0 or at.attach[0] > end[0]:
        return []
    flat = 76 * px
    rise = math.degrees(math.atan2(at.attach[1] - end[1], end[0] - at.attach[0]))
    radius = 62.0
    size = abs(rise)
    up = 1.0 if rise > 0 else -1.0
    text = options.formatter.angle(abs(alpha)) + (" up" if alpha < 0 else "")
    places = [
        Text(
            end[0] - (radius + out) * px,
            end[1] + up * (lift if up > 0 else lift + 9) * px,
            text,
            "text",
            "end",
            halo=True,
        )
        for out in (6, 12, 20, 30)
        for lift in (5, 7, 10)
    ]
    level, bow = Line(*end, end[0] - flat, end[1], "dim"), arc(end, radius * px, (180.0, 180.0 - rise), "dim")
    placer.avoid([end, (level.x2, level.y2)])
    placer.avoid(arc_points(end, radius * px, (180.0, 180.0 - rise)))
    return [level, bow] if size >= 3.0 and placer.place(places) else []


def _tension(placer: LabelPlacer, at: SideLayout, figures: PlanFigures, options: DrawingOptions) -> None:
    number = options.formatter.force(figures.results.stem_tension_n)
    first, second = at.legs[:2]
    places: list[Text] = []
    for text in dict.fromkeys((_words(options, f"{number} needed in the line", number), number)):
        places += along(first, second, text, "text-strong", gap=7 * at.px)
        places += along(first, second, text, "text-strong", gap=-18 * at.px)
    placer.place(places)


def _reach(placer: LabelPlacer, at: SideLayout, options: DrawingOptions, reach_deg: float) -> None:
    text = _words(options, "reach of the fall ", "reach ") + options.formatter.length(at.height_m)
    x = at.height_m * math.cos(math.radians(reach_deg))
    px = at.px
    z = at.ground_at(x)
    places = [
        Text(x, z - (18 + drop) * px, text, "text-soft", anchor, halo=drop > 8)
        for drop in (0, 4, 8, 12)
        for anchor in ("middle", "end", "start")
    ]
    turned = math.radians(35.0)
    on_arc = (at.height_m * math.cos(turned), at.height_m * math.sin(turned))
    placer.place([*places, *around(on_arc, text, "text-soft", gap=6 * px, line=LINE_PX * px)])


def _crew(placer: LabelPlacer, at: SideLayout, options: DrawingOptions) -> None:
    if not at.crew:
        return
    people = at.plan.people
    text = f"{people} haulers" if people > 1 else "1 hauler"
    px = at.px
    x = sum(x for x, _ in at.crew) / len(at.crew)
    last = max(at.crew)
    top = max(z for _, z in at.crew) + max(1.75, 13 * px)
    places = [
        Text(x, top + 7 * px, text, "text", "middle", halo=True),
        Text(at.bounds.x1 - 2 * px, top + 7 * px, text, "text", "end", halo=True),
        Text(at.bounds.x1 - 2 * px, top + 22 * px, text, "text", "end", halo=True),
        Text(x, min(z for _, z in at.crew) - 20 * px, text, "text", "middle", halo=True),
        Text(at.bounds.x1 - 2 * px, last[1] - 22 * px, text, "text", "end", halo=True),
    ]
    placer.place(places)


def _right_angle(at: SideLayout, lever: tuple[Point, Point]) -> Shape:
    """The small square where the lever arm meets the line."""
    (hx, hz), (fx, fz) = lever
    length = math.hypot(fx - hx, fz - hz) or 1.0
    ux, uz = (hx - fx) / length * 7 * at.px, (hz - fz) / length * 7 * at.px
    vx, vz = (-uz, ux) if ux <= 0 else (uz, -ux)
    return Polyline(((fx + ux, fz + uz), (fx + ux + vx, fz + uz + vz), (fx + vx, fz + vz)), "dim")


def _arm(
    placer: LabelPlacer, at: SideLayout, lever: tuple[Point, Point], *, length: str, options: DrawingOptions
) -> None:
    (hx, hz), (fx, fz) = lever
    gap = 7 * at.px
    texts = dict.fromkeys((_words(options, f"lever arm {length}", f"arm {length}"), f"arm {length}"))
    places = [
        Text(hx + (fx - hx) * part + gap, hz + (fz - hz) * part - 5 * at.px, text, "text-soft", "start", halo=True)
        for text in texts
        for part in (0.55, 0.45, 0.65, 0.35, 0.25, 0.75)
    ]
    places += along(*lever, f"arm {length}", "text-soft", gap=-16 * at.px)
    placer.place(places)


def _lean(placer: LabelPlacer, at: SideLayout, options: DrawingOptions) -> None:
    tree = at.plan.tree
    text = lean_words(tree, options.formatter.angle(tree.lean_deg))
    px = at.px
    x, z = at.stem_top
    places = [
        Text(x + 12 * px, z + 8 * px, text, "text", "start", halo=True),
        Text(x + 12 * px, z - 6 * px, text, "text", "start", halo=True),
        Text(x, z + 10 * px, text, "text", "middle", halo=True),
        Text(x - 12 * px, z + 8 * px, text, "text", "end", halo=True),
    ]
    crown = max((crown_radius_m(lump) for lump in tree.crown), default=0.0)
    places += [Text(x + crown + 10 * px, z - down * px, text, "text", "start", halo=True) for down in (4, 16, 30, 44)]
    placer.place(places)


def _anchors(placer: LabelPlacer, at: SideLayout) -> None:
    for number, place in reversed(list(enumerate(at.path, start=1))):
        last = number == len(at.path)
        item = at.plan.items.get("anchor")
        text = ("anchor" if item is None else f"{item.kind} anchor") if last else "redirect"
        placer.place(_by_post(at, place, text, "text-soft"))


def _by_post(at: SideLayout, place: Spot, text: str, role: TextRole) -> Iterable[Text]:
    px = at.px
    x, z = place.side
    ground = place.ground
    yield from (
        Text(x, ground - 19 * px, text, role, "middle"),
        Text(x, ground - 19 * px, text, role, "end"),
        Text(x - 8 * px, ground - 19 * px, text, role, "end"),
        Text(x, z + 14 * px, text, role, "middle", halo=True),
        Text(x + 10 * px, z + 14 * px, text, role, "start", halo=True),
        Text(x, z + 34 * px, text, role, "middle", halo=True),
        Text(x + 10 * px, z + 34 * px, text, role, "start", halo=True),
        Text(at.bounds.x1 - 2 * px, z + 40 * px, text, role, "end", halo=True),
    )


def _centre(placer: LabelPlacer, at: SideLayout, figures: PlanFigures) -> None:
    x, _, z = figures.stem.centre_of_gravity_m
    point = (x, z + at.plan.tree.hinge_height_m)
    placer.avoid([point, point], width_px=12)
    places = around(point, "centre of gravity", "text-soft", gap=12 * at.px, line=LINE_PX * at.px)
    placer.place([*places, *around(point, "gravity", "text-soft", gap=12 * at.px, line=LINE_PX * at.px)])


def describe(figures: PlanFigures, options: DrawingOptions) -> str:
    """The drawing in words."""
    plan, write = figures.inputs, options.formatter
    tree, line = plan.tree, plan.line
    anchor, slope_deg = line.anchor, line.anchor.slope_deg
    words = [
        f"A stem {write.length(total_height(tree))} high that {lean_words(tree, write.angle(tree.lean_deg))}.",
        f"The line runs from {write.length(line.attach_height_m)} up the stem to an anchor "
        f"{write.length(anchor.distance_m)} away, ground {slope_words(slope_deg, write.angle(abs(slope_deg)))}.",
    ]
    if line.redirects:
        words.append(f"It turns at {len(line.redirects)} redirect{'s' if len(line.redirects) > 1 else ''}.")
    words.append(f"Its first leg falls at {write.angle(figures.line.depression_angle_deg)}.")
    words.append(f"The lever arm about the hinge is {write.length(figures.line.lever_arm_m)}.")
    words.append(f"{write.force(figures.results.stem_tension_n)} are needed in the line at the stem.")
    return " ".join(words)
