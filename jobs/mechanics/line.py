"""The line from the stem through its redirects to the tackle: geometry, lever arms, friction (section 4)."""

import math
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

from jobs.mechanics import defaults
from jobs.mechanics.axis import (
    axis_point,
    difference,
    length_of,
    scaled,
    side_arm,
    tipping_arm,
    torsion_arm,
)
from jobs.mechanics.bollard import capstan_ratio
from jobs.mechanics.checks import (
    exceeds,
    falls_short,
    require_between,
    require_finite,
    require_not_negative,
    require_positive,
    require_word,
)
from jobs.mechanics.errors import Refused
from jobs.mechanics.hinge import Hinge, HingeResult, hinge_of
from jobs.mechanics.numeric import Real, Vector, arcsin, arctan2, cos, degrees, point_of, radians, sin
from jobs.mechanics.resultants import two_force_resultant
from jobs.mechanics.stem import Tree, diameter_at, stem, stem_axis, sweep_at

_STEEPEST_GROUND_DEG = 89.0

RedirectKind = Literal["sheave", "ring"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SitePoint:
    """A point on the site, seen from the stump centre; the ground rises to it by the slope."""

    distance_m: float
    azimuth_deg: float
    slope_deg: float = 0.0
    height_m: float = 0.0

    def __post_init__(self) -> None:
        require_not_negative("distance_m", self.distance_m)
        require_finite("azimuth_deg", self.azimuth_deg)
        require_between("slope_deg", self.slope_deg, -_STEEPEST_GROUND_DEG, _STEEPEST_GROUND_DEG)
        require_finite("height_m", self.height_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Redirect:
    """A site point where the line is turned, by a sheave or by a ring."""

    distance_m: float
    azimuth_deg: float
    slope_deg: float = 0.0
    height_m: float = 0.0
    kind: RedirectKind
    efficiency: float = defaults.REDIRECT_EFFICIENCY_RATIO
    friction_coeff: float = defaults.RING_FRICTION_COEFF

    def __post_init__(self) -> None:
        require_not_negative("distance_m", self.distance_m)
        require_finite("azimuth_deg", self.azimuth_deg)
        require_between("slope_deg", self.slope_deg, -_STEEPEST_GROUND_DEG, _STEEPEST_GROUND_DEG)
        require_finite("height_m", self.height_m)
        require_word("kind", self.kind, ("sheave", "ring"))
        require_positive("efficiency", self.efficiency, 1.0)
        require_not_negative("friction_coeff", self.friction_coeff)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line fixed to the stem at a height, through redirects in order from the stem, to an anchor."""

    attach_height_m: float
    sound_wood_height_m: float | None = None
    redirects: tuple[Redirect, ...] = ()
    anchor: SitePoint

    def __post_init__(self) -> None:
        require_finite("attach_height_m", self.attach_height_m)
        require_finite("sound_wood_height_m", self.sound_wood_height_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineResult:
    """Geometry of the line with the stem at rest, and what its friction does."""

    attach_point_m: tuple[float, float, float]
    first_point_m: tuple[float, float, float]
    direction: tuple[float, float, float]
    first_leg_length_m: float
    total_length_m: float
    depression_angle_deg: float
    off_axis_angle_deg: float
    lever_arm_m: float
    side_arm_m: float
    torsion_arm_m: float
    compression_ratio: float
    wrap_angles_deg: tuple[float, ...]
    redirect_efficiencies: tuple[float, ...]
    line_efficiency: float
    tackle_to_stem_tension_ratio: float
    redirect_load_ratios: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Route:
    """A line by its corners: legs, wraps, friction. Holds for the pull line and for a side line."""

    attach: Vector
    first_point: Vector
    direction: Vector
    leg_lengths_m: tuple[float, ...]
    wraps_rad: tuple[float, ...]
    efficiencies: tuple[float, ...]
    load_ratios: tuple[float, ...] = field(default=())

    @property
    def efficiency_ratio(self) -> float:
        """Tension on the stem over tension at the tackle while hauling."""
        return math.prod(self.efficiencies)


def site_place(point: SitePoint | Redirect, tree: Tree, distance_factor: Real = 1.0) -> Vector:
    """Place of a site point in the plan's frame [m]; `distance_factor` serves the study of uncertainty.

    (d cos b, -d sin b, d tan(slope) + height - z_h)
    Range: slope under 89 degrees.
    Source: GEOMETRY-03.
    """
    distance = point.distance_m * distance_factor
    bearing = radians(point.azimuth_deg - tree.lay_azimuth_deg)
    rise = math.tan(math.radians(point.slope_deg))
    level = point.height_m - tree.hinge_height_m
    return Vector(distance * cos(bearing), -distance * sin(bearing), distance * rise + level)


def sheave_redirect_efficiency(efficiency_ratio: Real, wrap_rad: Real) -> Real:
    """Tension ratio, stem side over tackle side, of a line hauled round a sheave, at most half a turn [1].

    1 - (1 - eta) sin(phi/2), eta the ratio at half a turn
    Range: 0 <= phi <= pi. Not covered: loss by bending the rope.
    Source: ROPE-02.
    """
    return 1.0 - (1.0 - efficiency_ratio) * sin(0.5 * wrap_rad)


def ring_redirect_efficiency(friction_coeff: Real, wrap_rad: Real) -> Real:
    """Tension ratio, stem side over tackle side, of a line hauled through a ring [1].

    1/exp(mu phi), the capstan equation
    Range: phi >= 0.
    Source: ROPE-01.
    """
    return 1.0 / capstan_ratio(friction_coeff, wrap_rad)


def redirect_load(tension_in_n: Real, tension_out_n: Real, wrap_rad: Real) -> Real:
    """Force a turned line puts on its redirect [N].

    sqrt(T^2 + T'^2 - 2 T T' cos phi); 2 T sin(phi/2) when the tensions are equal
    Range: 0 <= phi <= pi, the angle the line is turned by.
    Source: STATICS-02.
    """
    return two_force_resultant(tension_in_n, tension_out_n, math.pi - wrap_rad)


def angle_between(one: Vector, other: Vector) -> Real:
    """Angle between two directions [rad], exact near 0 and near half a turn.

    atan2(|a x b|, a . b)
    Range: neither of length 0.
    Source: GEOMETRY-03.
    """
    cross = length_of(Vector(side_arm(one, other), tipping_arm(one, other), torsion_arm(one, other)))
    return arctan2(cross, one.x * other.x + one.y * other.y + one.z * other.z)


def attach_place(tree: Tree, attach_height_m: float) -> Vector:
    """Where the line meets the stem axis [m].

    Range: heights on the stem above the hinge.
    Source: MODEL-01.
    """
    forward, left = sweep_at(tree, attach_height_m)
    return axis_point(stem_axis(tree), attach_height_m - tree.hinge_height_m, forward, left)


def refuse_attachment(tree: Tree, line: Line) -> None:
    """Raise the first refusal of section 4 that the attachment meets.

    Range: a tree that `refuse_tree` passes.
    Source: MODEL-01.
    """
    height, top = line.attach_height_m, tree.sections[-1].height_m
    sound = line.sound_wood_height_m
    if sound is not None and exceeds(height, sound):
        raise Refused(
            "attach-above-sound-wood",
            f"Rope at {height:.2f} m; sound wood goes to {sound:.2f} m.",
            {"attach_height_m": height, "limit_m": sound},
        )
    if not exceeds(height, tree.hinge_height_m) or exceeds(height, top):
        raise Refused(
            "attach-outside-stem",
            f"Rope at {height:.2f} m; the stem stands from {tree.hinge_height_m:.2f} to {top:.2f} m.",
            {"attach_height_m": height, "lowest_m": tree.hinge_height_m, "highest_m": top},
        )
    diameter, min_m = diameter_at(tree, height), defaults.MIN_ATTACH_DIAMETER_M
    if falls_short(diameter, min_m):
        raise Refused(
            "attach-too-thin",
            f"Stem of {diameter:.3f} m at the rope; at least {min_m:.2f} m is needed.",
            {"diameter_m": diameter, "limit_m": min_m},
        )


def route_of(tree: Tree, line: Line) -> Route:
    """Legs, wraps and friction of a line; the attachment is checked before.

    Errors: Refused line-geometry where two corners of the line coincide and a leg has no direction.
    Range: straight weightless legs.
    Source: ROPE-01, ROPE-02, STATICS-02.
    """
    attach = attach_place(tree, line.attach_height_m)
    points: tuple[SitePoint | Redirect, ...] = (*line.redirects, line.anchor)
    corners = [attach, *(site_place(point, tree) for point in points)]
    legs = [difference(head, tail) for tail, head in pairwise(corners)]
    lengths = tuple(float(length_of(leg)) for leg in legs)
    if min(lengths) <= 0.0:
        raise Refused("line-geometry", "Two corners of the line coincide.")
    wraps = tuple(float(angle_between(incoming, outgoing)) for incoming, outgoing in pairwise(legs))
    efficiencies, loads, tension = [], [], 1.0
    for redirect, wrap in zip(line.redirects, wraps, strict=True):
        if redirect.kind == "sheave":
            ratio = float(sheave_redirect_efficiency(redirect.efficiency, wrap))
        else:
            ratio = float(ring_redirect_efficiency(redirect.friction_coeff, wrap))
        loads.append(float(redirect_load(tension, tension / ratio, wrap)))
        tension /= ratio
        efficiencies.append(ratio)
    direction = scaled(legs[0], 1.0 / lengths[0])
    return Route(attach, corners[1], direction, lengths, wraps, tuple(efficiencies), tuple(loads))


def depression_deg(direction: Vector) -> Real:
    """Angle by which a leg falls away from the stem [deg], negative when it rises.

    asin(-u_z)
    Range: a unit vector.
    Source: GEOMETRY-03.
    """
    return degrees(arcsin(-direction.z))


def off_axis_deg(direction: Vector) -> Real:
    """Angle between a leg and the lay in plan view [deg], positive to the left.

    atan2(u_y, u_x)
    Range: a leg that is not vertical.
    Source: GEOMETRY-03.
    """
    return degrees(arctan2(direction.y, direction.x))


def line_of(route: Route, hinge_line_x_m: float) -> LineResult:
    """The pull line's result from its route.

    Errors: Refused line-geometry.
    Range: falls by at most 60 degrees, at most 30 off the lay.
    Source: STATICS-01.
    """
    direction = route.direction
    steep, aside = float(depression_deg(direction)), float(off_axis_deg(direction))
    for angle, limit, words in (
        (steep, defaults.STEEPEST_LINE_DEG, "falls at"),
        (abs(aside), defaults.FURTHEST_OFF_AXIS_DEG, "pulls off the lay by"),
    ):
        if exceeds(angle, limit):
            raise Refused(
                "line-geometry",
                f"Line {words} {angle:.1f}°; the model covers {limit:g}°.",
                {"angle_deg": angle, "limit_deg": limit},
            )
    place = Vector(route.attach.x - hinge_line_x_m, route.attach.y, route.attach.z)
    return LineResult(
        attach_point_m=point_of(route.attach),
        first_point_m=point_of(route.first_point),
        direction=point_of(direction),
        first_leg_length_m=route.leg_lengths_m[0],
        total_length_m=sum(route.leg_lengths_m),
        depression_angle_deg=steep,
        off_axis_angle_deg=aside,
        lever_arm_m=float(tipping_arm(place, direction)),
        side_arm_m=float(side_arm(place, direction)),
        torsion_arm_m=float(torsion_arm(place, direction)),
        compression_ratio=-float(direction.z),
        wrap_angles_deg=tuple(math.degrees(wrap) for wrap in route.wraps_rad),
        redirect_efficiencies=route.efficiencies,
        line_efficiency=route.efficiency_ratio,
        tackle_to_stem_tension_ratio=1.0 / route.efficiency_ratio,
        redirect_load_ratios=route.load_ratios,
    )


def line(tree: Tree, line: Line, hinge: Hinge) -> LineResult:
    """Geometry, lever arms and friction of the pull line (section 4).

    Errors: Refused, in this order: the stem's, attach-above-sound-wood, attach-outside-stem, attach-too-thin,
    the hinge's, line-geometry.
    Range: straight weightless legs; tension above about ten times the weight of the rope.
    Source: STATICS-01, STATICS-02, ROPE-01, ROPE-02.
    """
    trunk = stem(tree)
    refuse_attachment(tree, line)
    section: HingeResult = hinge_of(hinge, trunk.hinge_diameter_under_bark_m)
    return line_of(route_of(tree, line), section.hinge_line_x_m)
