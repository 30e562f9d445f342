"""Where the parts of a plan stand, in metres from the stump: x along the lay, y to its left, z up from the ground.

Only layout: forces, lever arms and angles come from the results.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from jobs.drawing.scene import Point
from jobs.mechanics.line import Line, Redirect, SitePoint
from jobs.mechanics.plan_input import Place, PlanInput, filled_stages
from jobs.mechanics.stem import CrownLump, Tree


@dataclass(frozen=True, slots=True)
class Spot:
    """A point of the site: place in plan, ground level there, height above that ground [m]."""

    x: float
    y: float
    ground: float
    height: float

    @property
    def side(self) -> Point:
        """Seen from the side."""
        return (self.x, self.ground + self.height)

    @property
    def top(self) -> Point:
        """Seen from above, the lay to the right."""
        return (self.x, self.y)


def off_lay_rad(azimuth_deg: float, lay_deg: float) -> float:
    """Direction against the lay, clockwise, between minus pi and pi."""
    return math.radians((azimuth_deg - lay_deg + 180.0) % 360.0 - 180.0)


def spot(point: SitePoint | Redirect | Place, lay_deg: float) -> Spot:
    """An anchor, redirect or place as a spot; a place has no slope of its own and is drawn level with the stump."""
    turn, distance = off_lay_rad(point.azimuth_deg, lay_deg), point.distance_m
    x, y = distance * math.cos(turn), -distance * math.sin(turn)
    if isinstance(point, Place):
        return Spot(x, y, 0.0, 0.0)
    return Spot(x, y, distance * math.tan(math.radians(point.slope_deg)), point.height_m)


def _sweep_at(tree: Tree, height_m: float) -> tuple[float, float]:
    knots = tree.sweep
    if not knots:
        return (0.0, 0.0)
    before, after = knots[0], knots[-1]
    for knot in knots:
        if knot.height_m <= height_m:
            before = knot
        else:
            after = knot
            break
    span = after.height_m - before.height_m
    part = min(1.0, max(0.0, (height_m - before.height_m) / span)) if span > 0 else 0.0
    return (
        (1 - part) * before.forward_m + part * after.forward_m,
        (1 - part) * before.left_m + part * after.left_m,
    )


def lean_turn_rad(tree: Tree) -> float:
    """Direction of the lean against the lay, clockwise; along the lay where none is given."""
    lay_deg, azimuth_deg = tree.lay_azimuth_deg, tree.lean_azimuth_deg
    return off_lay_rad(lay_deg if azimuth_deg is None else azimuth_deg, lay_deg)


def axis_point(tree: Tree, height_m: float) -> tuple[float, float, float]:
    """The stem's axis at a height along it: x, y, and z above the stump's ground."""
    lean, turn = math.radians(tree.lean_deg), lean_turn_rad(tree)
    forward, left = _sweep_at(tree, height_m)
    reach = height_m - tree.hinge_height_m
    return (
        reach * math.sin(lean) * math.cos(turn) + forward,
        -reach * math.sin(lean) * math.sin(turn) + left,
        reach * math.cos(lean) + tree.hinge_height_m,
    )


def lean_words(tree: Tree, angle: str) -> str:
    """How the stem leans, against the lay."""
    if tree.lean_deg <= 0:
        return "stands upright"
    words = ("forward", "forward and right", "right", "back and right", "back", "back and left", "left")
    eighth = round(math.degrees(lean_turn_rad(tree)) / 45.0) % 8
    return f"leans {angle} {(*words, 'forward and left')[eighth]}"


def slope_words(slope_deg: float, angle: str) -> str:
    """How the ground runs from the stump to a point."""
    if abs(slope_deg) < 0.05:
        return "level"
    return f"{'rising' if slope_deg > 0 else 'falling'} {angle}"


def line_path(line: Line, lay_deg: float) -> tuple[Spot, ...]:
    """Redirects in order and the anchor."""
    return (*(spot(point, lay_deg) for point in line.redirects), spot(line.anchor, lay_deg))


def crown_radius_m(lump: CrownLump) -> float:
    """Radius of a round that faces the wind as this part of the crown does."""
    return math.sqrt(lump.frontal_area_m2 / math.pi)


def tackle_length_m(plan: PlanInput) -> float:
    """Extended length of the first stage, 3 m drawn where it is not given."""
    return filled_stages(plan)[0].extended_length_m or 3.0
