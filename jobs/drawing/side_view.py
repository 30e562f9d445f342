"""The plan seen from the side, to scale in both directions: stem, ground, line, tackle, reach and crew."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from jobs.drawing import side_labels
from jobs.drawing.figures import DrawingOptions, PlanFigures
from jobs.drawing.geometry import Spot, axis_point, crown_radius_m, line_path, spot, tackle_length_m
from jobs.drawing.labels import LabelPlacer
from jobs.drawing.marks import anchor_body, arc, arc_points, gravity_mark, person, rope
from jobs.drawing.scene import Bounds, Circle, Line, Point, Polygon, Polyline, Scene, Shape
from jobs.mechanics.plan_input import PlanInput
from jobs.mechanics.stem import diameter_at, total_height

TOP_PX, RIGHT_PX, GROUND_PX, ROW_PX = 24.0, 12.0, 26.0, 38.0
PERSON_M, ELBOW_ROOM_M = 1.75, 0.95
MAX_DRAWN = 6  # haulers drawn; the label gives their number


@dataclass(frozen=True, slots=True)
class SideLayout:
    """Where everything of the side view stands, in metres; `px` is one design pixel in metres."""

    plan: PlanInput
    bounds: Bounds
    px: float
    height_m: float
    stem_top: Point
    attach: Point
    hinge: Point
    path: tuple[Spot, ...]
    profile: tuple[Point, ...]
    crew: tuple[Point, ...]
    rows: int
    floor: float

    def ground_at(self, x: float) -> float:
        """Height of the drawn ground at x."""
        return _level(self.profile, x)

    @property
    def legs(self) -> list[Point]:
        """The line from the stem to the anchor."""
        return [self.attach, *(s.side for s in self.path)]


def _level(profile: tuple[Point, ...], x: float) -> float:
    for (x1, z1), (x2, z2) in pairwise(profile):
        if x <= x2:
            return z1 + (z2 - z1) * (x - x1) / (x2 - x1) if x2 > x1 else z2
    return profile[-1][1]


def _profile(path: tuple[Spot, ...], x0: float, x1: float) -> tuple[Point, ...]:
    """Level behind the stump, then from point to point outward, and on at the last slope."""
    points: list[Point] = [(min(x0, 0.0), 0.0), (0.0, 0.0)]
    for place in sorted(path, key=lambda s: s.x):
        if place.x > points[-1][0] + 1.0:
            points.append((place.x, place.ground))
    (xa, za), (xb, zb) = points[-2:]
    if x1 > xb:
        slope = (zb - za) / (xb - xa) if len(points) > 2 else 0.0
        points.append((x1, zb + slope * (x1 - xb)))
    return tuple(points)


def _stand(plan: PlanInput, path: tuple[Spot, ...]) -> tuple[float, ...]:
    """Where the haulers stand along the lay, outward from the nearest."""
    lay_deg = plan.tree.lay_azimuth_deg
    haulers = [p for p in plan.places if p.place == "haulers"]
    if not haulers:
        return ()
    x = spot(haulers[0], lay_deg).x
    outward = 1.0 if x >= path[-1].x - 0.5 else -1.0
    return tuple(x + outward * ELBOW_ROOM_M * i for i in range(min(MAX_DRAWN, plan.people)))


def _layout(figures: PlanFigures, options: DrawingOptions) -> SideLayout:
    plan = figures.inputs
    tree = plan.tree
    path = line_path(plan.line, tree.lay_azimuth_deg)
    height = total_height(tree)
    top_x, _, top_z = axis_point(tree, height)
    attach_x, _, attach_z = axis_point(tree, plan.line.attach_height_m)
    hinge_x, _, hinge_z = axis_point(tree, tree.hinge_height_m)
    crew_x = _stand(plan, path)
    xs = [top_x, -1.0, height, *(s.x for s in path), *crew_x]
    x0, x1 = min(xs) - 0.6, max(xs) + 1.0
    profile = _profile(path, x0, x1)
    zs = [*(z for _, z in profile), *(s.side[1] for s in path)]
    z0, z1 = min(zs), max(top_z, height, *zs) + 0.3
    rows = 2 if len(path) > 1 else 1
    left_px = 62.0 if options.is_narrow else 84.0
    foot_px = GROUND_PX + rows * ROW_PX
    scale = min(
        (options.width_px - left_px - RIGHT_PX) / (x1 - x0),
        (options.height_px - TOP_PX - foot_px) / (z1 - z0),
    )
    px = 1.0 / scale
    spare = options.width_px * px - (left_px + RIGHT_PX) * px - (x1 - x0)
    bounds = Bounds(x0 - left_px * px - spare / 2, z0 - foot_px * px, x1 + RIGHT_PX * px + spare / 2, z1 + TOP_PX * px)
    profile = _profile(path, bounds.x0, bounds.x1)
    crew = tuple((x, _level(profile, x)) for x in crew_x)
    return SideLayout(
        plan, bounds, px, height, (top_x, top_z), (attach_x, attach_z), (hinge_x, hinge_z),
        path, profile, crew, rows, z0 - GROUND_PX * px,
    )  # fmt: skip


def _ground(at: SideLayout) -> tuple[list[Shape], list[Shape]]:
    floor = at.floor
    earth = Polygon((*at.profile, (at.profile[-1][0], floor), (at.profile[0][0], floor)), "ground")
    return [earth], [Polyline(at.profile, "turf")]


def _reach_end_deg(at: SideLayout) -> float:
    """Angle at which the arc of the fall meets the ground ahead."""
    step = 0.5
    angle = 90.0
    while angle > -60.0:
        x = at.height_m * math.cos(math.radians(angle))
        z = at.height_m * math.sin(math.radians(angle))
        if z <= at.ground_at(x):
            return angle
        angle -= step
    return angle


def _stem(at: SideLayout, figures: PlanFigures) -> list[Shape]:
    tree = at.plan.tree
    left: list[Point] = []
    right: list[Point] = []
    heights = sorted({s.height_m for s in tree.sections} | {k.height_m for k in tree.sweep})
    lean = math.atan2(at.stem_top[0] - at.hinge[0], at.stem_top[1] - at.hinge[1])
    for height in heights:
        half = max(diameter_at(tree, height) / 2, 0.6 * at.px)
        x, _, z = axis_point(tree, height)
        left.append((x - half * math.cos(lean), z + half * math.sin(lean)))
        right.append((x + half * math.cos(lean), z - half * math.sin(lean)))
    shapes: list[Shape] = []
    for lump in tree.crown:
        x, _, z = axis_point(tree, lump.height_m)
        radius = crown_radius_m(lump)
        if radius > 0:
            shapes.append(Circle(x + lump.forward_m, z, radius, "dash"))
    last = tree.sections[-1].height_m
    if at.height_m > last:
        x, _, z = axis_point(tree, last)
        shapes.append(Line(x, z, *at.stem_top, "dash"))
    shapes.append(Polygon((*left, *reversed(right)), "wood"))
    shapes.extend(_notch(at))
    x, _, z = figures.stem.centre_of_gravity_m
    shapes.extend(gravity_mark((x, z + tree.hinge_height_m), 5 * at.px))
    return shapes


def _notch(at: SideLayout) -> list[Shape]:
    """The face notch on the lay side; never smaller than can be seen."""
    tree, hinge = at.plan.tree, at.plan.hinge
    half = max(diameter_at(tree, tree.hinge_height_m) / 2, 0.6 * at.px)
    depth = max(2 * half * hinge.notch_depth_ratio, min(3 * at.px, 1.2 * half))
    x, z = at.hinge
    rise = max(depth * math.tan(math.radians(min(80.0, hinge.notch_opening_deg) / 2)), 1.5 * at.px)
    mouth = x + half + at.px
    apex = (mouth - depth - at.px, z)
    return [
        Polygon(((mouth, z + rise), apex, (mouth, z - rise)), "paper"),
        Polyline(((mouth - at.px, z + rise), apex, (mouth - at.px, z - rise)), "ink"),
    ]


def _line(at: SideLayout) -> list[Shape]:
    """The rope, its redirects, and the tackle on the last leg."""
    legs = at.legs
    (x1, z1), (x2, z2) = legs[-2], legs[-1]
    length = math.hypot(x2 - x1, z2 - z1) or 1.0
    ux, uz = (x2 - x1) / length, (z2 - z1) / length

    def back(distance: float) -> Point:
        return (x2 - ux * distance, z2 - uz * distance)

    fixed_m = min(max(0.5, 11 * at.px), 0.2 * length)
    moving_m = min(max(tackle_length_m(at.plan), fixed_m + 22 * at.px), 0.75 * length)
    moving, fixed = back(moving_m), back(fixed_m)
    shapes: list[Shape] = list(rope([*legs[:-1], moving]))
    for side in (-1.0, 0.0, 1.0):
        dx, dz = -uz * side * 2.6 * at.px, ux * side * 2.6 * at.px
        shapes.append(Line(moving[0] + dx, moving[1] + dz, fixed[0] + dx, fixed[1] + dz, "rope-thin"))
    shapes.append(Line(*fixed, x2, z2, "rope"))
    shapes.extend(Circle(*point, 4.5 * at.px, "plate") for point in (*legs[1:-1], moving, fixed))
    shapes.append(Circle(*at.attach, 4.5 * at.px, "ropefill"))
    return shapes


def _posts(at: SideLayout) -> list[Shape]:
    """What redirects and anchor hang on, from the ground up."""
    shapes: list[Shape] = []
    for number, place in enumerate(at.path, start=1):
        role = "anchor" if number == len(at.path) else f"redirect_anchor_{number}"
        item = at.plan.items.get(role)
        shapes.append(anchor_body(item.kind if item is not None else "stump", (place.x, place.ground), at.px))
    return shapes


def _lever(at: SideLayout) -> tuple[Point, Point] | None:
    """Hinge, and the foot of its perpendicular on the first leg."""
    (x1, z1), (x2, z2) = at.legs[:2]
    dx, dz = x2 - x1, z2 - z1
    part = ((at.hinge[0] - x1) * dx + (at.hinge[1] - z1) * dz) / (dx * dx + dz * dz)
    if not 0.0 < part < 1.0:
        return None
    return at.hinge, (x1 + part * dx, z1 + part * dz)


def side_view(figures: PlanFigures, options: DrawingOptions) -> Scene:
    """Stem, ground, line and crew to one scale in both directions, seen with the lay to the right.

    Heights and distances in m from the inputs; centre of gravity, lever arm and line angle from the topics stem and
    line. A label that finds no free place is left out of the drawing and named in `left_out`.
    """
    at = _layout(figures, options)
    under, turf = _ground(at)
    shapes: list[Shape] = [*under]
    end_deg = _reach_end_deg(at)
    shapes.append(arc((0.0, 0.0), at.height_m, (90.0, end_deg), "dash"))
    lever = _lever(at)
    if lever:
        shapes.append(Line(*lever[0], *lever[1], "dash"))
    shapes.extend([*turf, *_posts(at), *_stem(at, figures), *_line(at)])
    people_m = max(PERSON_M, 13 * at.px)
    for foot in at.crew:
        shapes.extend(person(foot, people_m))
    placer = LabelPlacer(at.bounds, 1.0 / at.px)
    _fence(placer, at, end_deg, people_m)
    shapes.extend(side_labels.draw(placer, at, figures, options, lever=lever, reach_deg=end_deg))
    shapes.extend(placer.placed)
    return Scene(
        "Side view to scale", side_labels.describe(figures, options), at.bounds, 1.0 / at.px,
        tuple(shapes), tuple(placer.left_out),
    )  # fmt: skip


def _fence(placer: LabelPlacer, at: SideLayout, reach_deg: float, people_m: float) -> None:
    """Keep labels off the lines of the drawing."""
    placer.avoid(at.profile, width_px=4)
    placer.avoid(at.legs, width_px=7)
    foot, top = axis_point(at.plan.tree, 0.0), at.stem_top
    wide = max(6.0, at.plan.tree.sections[0].diameter_m / at.px + 4)
    placer.avoid([(foot[0], foot[2]), top], width_px=wide)
    placer.avoid(arc_points((0.0, 0.0), at.height_m, (90.0, reach_deg)), soft=True)
    for x, z in at.crew:
        placer.avoid([(x, z), (x, z + people_m)], width_px=0.5 * people_m / at.px)
    for place in at.path:
        placer.avoid([(place.x, place.ground), place.side], width_px=12)
