"""Points on and beside the leaning stem axis, directions by compass, rotation about the hinge line, lever arms.

Frame: origin on the stem axis at hinge height, x along the lay, y to its left, z up. Every function serves floats and
arrays.
"""

from bisect import bisect_right
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from jobs.mechanics.numeric import Real, Vector, cos, sin, sqrt


class Lump(NamedTuple):
    """A mass [kg], or an area with its drag [m2], at a station along the stem from the hinge, beside the lean axis."""

    amount: Real
    station_m: Real
    forward_m: Real
    left_m: Real


def interpolated(place_m: Real, places_m: Sequence[float], values_m: Sequence[float]) -> Real:
    """Value at a place, linear between the rising places it is known at, constant beyond both ends [m].

    Range: any place.
    Source: MODEL-01.
    """
    if isinstance(place_m, np.ndarray):
        return np.interp(place_m, places_m, values_m)
    above = bisect_right(places_m, place_m)
    if above == 0 or above == len(places_m):
        return values_m[0] if above == 0 else values_m[-1]
    share = (place_m - places_m[above - 1]) / (places_m[above] - places_m[above - 1])
    return values_m[above - 1] + share * (values_m[above] - values_m[above - 1])


def axis_direction(lean_rad: Real, bearing_rad: Real) -> Vector:
    """Unit vector along a stem that leans by `lean_rad` towards `bearing_rad`, clockwise from the lay.

    (sin L cos b, -sin L sin b, cos L)
    Range: any angle; a negative lean points the other way.
    Source: GEOMETRY-03.
    """
    out = sin(lean_rad)
    return Vector(out * cos(bearing_rad), -out * sin(bearing_rad), cos(lean_rad))


def axis_point(axis: Vector, station_m: Real, forward_m: Real, left_m: Real) -> Vector:
    """Point at a distance along the lean axis, shifted horizontally [m].

    r = s e + (forward, left, 0)
    Range: any.
    Source: GEOMETRY-03.
    """
    return Vector(station_m * axis.x + forward_m, station_m * axis.y + left_m, station_m * axis.z)


def centre_of_gravity(axis: Vector, lumps: Sequence[Lump]) -> tuple[Real, Vector]:
    """Total of the amounts, and their weighted mean place [m].

    r = sum(m r)/sum(m)
    Range: a total above 0.
    Source: STATICS-04.
    """
    total: Real = 0.0
    x: Real = 0.0
    y: Real = 0.0
    z: Real = 0.0
    for lump in lumps:
        point = axis_point(axis, lump.station_m, lump.forward_m, lump.left_m)
        total = total + lump.amount
        x = x + lump.amount * point.x
        y = y + lump.amount * point.y
        z = z + lump.amount * point.z
    return total, Vector(x / total, y / total, z / total)


def tipping_arm(place: Vector, direction: Vector) -> Real:
    """Lever arm about the y axis per newton along `direction` at `place`, positive tipping forward [m].

    r_z u_x - r_x u_z
    Range: any.
    Source: STATICS-01.
    """
    return place.z * direction.x - place.x * direction.z


def side_arm(place: Vector, direction: Vector) -> Real:
    """Lever arm about the x axis per newton along `direction` at `place` [m].

    r_y u_z - r_z u_y
    Range: any.
    Source: STATICS-01.
    """
    return place.y * direction.z - place.z * direction.y


def torsion_arm(place: Vector, direction: Vector) -> Real:
    """Lever arm about the z axis per newton along `direction` at `place` [m].

    r_x u_y - r_y u_x
    Range: any.
    Source: STATICS-01.
    """
    return place.x * direction.y - place.y * direction.x


def rotated(place: Vector, cos_ratio: Real, sin_ratio: Real) -> Vector:
    """Place after tipping forward about the y axis through the origin, by an angle with this cosine and sine [m].

    x' = x cos + z sin, z' = -x sin + z cos, y unchanged
    Range: any.
    Source: GEOMETRY-03.
    """
    return Vector(place.x * cos_ratio + place.z * sin_ratio, place.y, place.z * cos_ratio - place.x * sin_ratio)


def difference(head: Vector, tail: Vector) -> Vector:
    """Vector from tail to head.

    Range: any.
    Source: GEOMETRY-03.
    """
    return Vector(head.x - tail.x, head.y - tail.y, head.z - tail.z)


def length_of(vector: Vector) -> Real:
    """Length of a vector, in the unit of its components [m; 1 for a direction].

    Range: any.
    Source: GEOMETRY-03.
    """
    return sqrt(vector.x * vector.x + vector.y * vector.y + vector.z * vector.z)


def scaled(vector: Vector, scale_factor: Real) -> Vector:
    """Vector times a number.

    Range: any.
    Source: GEOMETRY-03.
    """
    return Vector(vector.x * scale_factor, vector.y * scale_factor, vector.z * scale_factor)
