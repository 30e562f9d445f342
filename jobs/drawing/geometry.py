"""Where the parts of a plan stand, in metres from the stump: x along the lay, y to its left, z up from the ground.

Only layout: forces, lever arms and angles come from the results.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from jobs.drawing.scene import Point


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


def spot(point: Mapping[str, Any], lay_deg: float) -> Spot:
    """An anchor, redirect or place as a spot."""
    turn = off_lay_rad(point["azimuth_deg"], lay_deg)
    distance = point["distance_m"]
    ground = distance * math.tan(math.radians(point.get("slope_deg") or 0.0))
    return Spot(distance * math.cos(turn), -distance * math.sin(turn), ground, point.get("height_m") or 0.0)


def total_height_m(tree: Mapping[str, Any]) -> float:
    """Height that the fall reaches: the last section or the tree's height, whichever is more."""
    return float(max(tree["sections"][-1]["height_m"], tree.get("tree_height_m") or 0.0))


def _sweep_at(tree: Mapping[str, Any], height_m: float) -> tuple[float, float]:
    knots: Sequence[Mapping[str, Any]] = tree.get("sweep") or ()
    if not knots:
        return (0.0, 0.0)
    before, after = knots[0], knots[-1]
    for knot in knots:
        if knot["height_m"] <= height_m:
            before = knot
        else:
            after = knot
            break
    span = after["height_m"] - before["height_m"]
    part = min(1.0, max(0.0, (height_m - before["height_m"]) / span)) if span > 0 else 0.0
    forward, left = (
        (1 - part) * (before.get(k) or 0.0) + part * (after.get(k) or 0.0) for k in ("forward_m", "left_m")
    )
    return (forward, left)


def axis_point(tree: Mapping[str, Any], height_m: float) -> tuple[float, float, float]:
    """The stem's axis at a height along it: x, y, and z above the stump's ground."""
    hinge_m = tree["hinge_height_m"]
    lean = math.radians(tree.get("lean_deg") or 0.0)
    lay_deg = tree["lay_azimuth_deg"]
    azimuth_deg = tree.get("lean_azimuth_deg")
    turn = off_lay_rad(lay_deg if azimuth_deg is None else azimuth_deg, lay_deg)
    forward, left = _sweep_at(tree, height_m)
    reach = height_m - hinge_m
    return (
        reach * math.sin(lean) * math.cos(turn) + forward,
        -reach * math.sin(lean) * math.sin(turn) + left,
        reach * math.cos(lean) + hinge_m,
    )


def lean_words(tree: Mapping[str, Any], angle: str) -> str:
    """How the stem leans, against the lay."""
    lean_deg = tree.get("lean_deg") or 0.0
    if lean_deg <= 0:
        return "stands upright"
    azimuth_deg = tree.get("lean_azimuth_deg")
    lay_deg = tree["lay_azimuth_deg"]
    turn_deg = math.degrees(off_lay_rad(lay_deg if azimuth_deg is None else azimuth_deg, lay_deg))
    words = ("forward", "forward and right", "right", "back and right", "back", "back and left", "left")
    eighth = round(turn_deg / 45.0) % 8
    return f"leans {angle} {(*words, 'forward and left')[eighth]}"


def slope_words(slope_deg: float, angle: str) -> str:
    """How the ground runs from the stump to a point."""
    if abs(slope_deg) < 0.05:
        return "level"
    return f"{'rising' if slope_deg > 0 else 'falling'} {angle}"


def pull_path(plan: Mapping[str, Any]) -> list[Spot]:
    """Redirects in order and the anchor."""
    lay_deg = plan["tree"]["lay_azimuth_deg"]
    line = plan["line"]
    return [spot(point, lay_deg) for point in (*(line.get("redirects") or ()), line["anchor"])]


def tackle_length_m(plan: Mapping[str, Any]) -> float:
    """Extended length of the first stage, 3 m drawn where it is not given."""
    stage = plan["stages"][0]
    travel = plan.get("travel") or {}
    return float(stage.get("extended_length_m") or travel.get("extended_length_m") or 3.0)
