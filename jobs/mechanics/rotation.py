"""The stem turning on its hinge: moments, lever arm and leg length at any angle of the turn (section 5).

One set of relations serves a single angle, the scan of a pull, a grid of hinge thicknesses and the samples of a study:
pass the cosine and sine of the angle and let NumPy do the rest.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from jobs.mechanics import defaults
from jobs.mechanics.axis import difference, length_of, rotated, tipping_arm
from jobs.mechanics.checks import require_not_negative, require_positive
from jobs.mechanics.numeric import FloatArray, Real, Vector, greater, negative_part, positive_part, sqrt
from jobs.mechanics.wind import Push, gust_moment, resultants

# Keeps a division finite where the line has no lever arm at all; such angles are refused or ask for no tension.
_NO_ARM_M = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class Margins:
    """Factors on the moments of the required tension: on what works against the fall, and on gravity that helps."""

    adverse_factor: float = defaults.ADVERSE_FACTOR
    favourable_factor: float = defaults.FAVOURABLE_FACTOR

    def __post_init__(self) -> None:
        require_positive("adverse_factor", self.adverse_factor)
        require_not_negative("favourable_factor", self.favourable_factor)


@dataclass(frozen=True, slots=True)
class Body:
    """What turns with the stem, relative to the hinge line, and the first fixed point of the line.

    `reach_m` is the distance of the attach point from the hinge line: it does not change with the turn.
    """

    weight_n: Real
    centre: Vector
    attach: Vector
    first_point: Vector
    loads: tuple[Push, ...]
    reach_m: Real


@dataclass(frozen=True, slots=True)
class Turn:
    """Moments about the hinge line [N m], lever arm and first leg [m] at one or many angles."""

    gravity_moment_n_m: Real
    wind_moment_n_m: Real
    lever_arm_m: Real
    leg_m: Real


def body_about(
    hinge_line_x_m: Real,
    centre: Vector,
    attach: Vector,
    first_point: Vector,
    *,
    weight_n: Real,
    loads: Sequence[Push],
    end_deg: float,
) -> Body:
    """Shift everything that turns to the hinge line, and merge the gust's loads for a turn up to `end_deg`.

    Range: a turn of at most 90 degrees.
    Source: GEOMETRY-03.
    """
    hinge = Vector(hinge_line_x_m, 0.0, 0.0)
    rope = difference(attach, hinge)
    shifted = [Push(load.force_n, difference(load.place, hinge)) for load in loads]
    end_rad = math.radians(end_deg)
    return Body(
        weight_n=weight_n,
        centre=difference(centre, hinge),
        attach=rope,
        first_point=difference(first_point, hinge),
        loads=resultants(shifted, math.cos(end_rad), math.sin(end_rad)),
        reach_m=sqrt(rope.x * rope.x + rope.z * rope.z),
    )


def turned(body: Body, cos_ratio: Real, sin_ratio: Real) -> Turn:
    """Moments, lever arm and first leg with the stem tipped by an angle with this cosine and sine.

    M_g = W x'_cg (positive tips forward), M_w = sum F max(0, z'), arm = r_z u_x - r_x u_z with u along the new leg
    Range: 0 to 90 degrees; redirects and anchor stay where they are.
    Source: STATICS-01, GEOMETRY-03.
    """
    rope = rotated(body.attach, cos_ratio, sin_ratio)
    leg = difference(body.first_point, rope)
    length = length_of(leg)
    return Turn(
        gravity_moment_n_m=body.weight_n * rotated(body.centre, cos_ratio, sin_ratio).x,
        wind_moment_n_m=gust_moment(body.loads, cos_ratio, sin_ratio),
        lever_arm_m=tipping_arm(rope, leg) / length,
        leg_m=length,
    )


def moment_demand(gravity_moment_n_m: Real, wind_moment_n_m: Real, hinge_moment_n_m: Real, margins: Margins) -> Real:
    """Moment the line must give [N m]; 0 or less when gravity does it alone.

    N = k_m (max(0, -M_g) + M_w + M_h) - k_a max(0, M_g)
    Range: any.
    Source: STATICS-01, MODEL-01.
    """
    against = negative_part(gravity_moment_n_m) + wind_moment_n_m + hinge_moment_n_m
    return margins.adverse_factor * against - margins.favourable_factor * positive_part(gravity_moment_n_m)


def loses_lever(demand_n_m: Real, lever_arm_m: Real, reach_m: Real) -> Real:
    """Where tension is needed and the line no longer pulls over: true or false [1].

    N > 0 and arm <= 0.05 of the attach point's distance
    Range: any.
    Source: MODEL-01.
    """
    return np.logical_and(np.greater(demand_n_m, 0.0), np.less_equal(lever_arm_m, defaults.MIN_LEVER_RATIO * reach_m))


def tension_for(demand_n_m: Real, lever_arm_m: Real) -> Real:
    """Tension that gives the demanded moment [N]; 0 where none is demanded.

    T = max(0, N)/arm
    Range: arm above 0 wherever N is; where the lever is lost the value means nothing, but is finite.
    Source: STATICS-01.
    """
    return positive_part(demand_n_m) / greater(lever_arm_m, _NO_ARM_M)


@lru_cache(maxsize=32)
def angle_grid(end_deg: float, step_deg: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Angles from 0 to the end in equal steps, both included [deg], with their cosines and sines; read-only.

    Range: 0 < end <= 90, step above 0.
    Source: MODEL-01.
    """
    whole: FloatArray = np.arange(int(np.floor(end_deg / step_deg + 1e-9)) + 1, dtype=np.float64) * step_deg
    angles: FloatArray = whole if whole[-1] >= end_deg - 1e-9 else np.append(whole, end_deg)
    angles[-1] = end_deg
    grid: tuple[FloatArray, FloatArray, FloatArray] = angles, np.cos(np.deg2rad(angles)), np.sin(np.deg2rad(angles))
    for values in grid:
        values.flags.writeable = False
    return grid
