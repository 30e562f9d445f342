"""Elementary functions that serve a float and an array alike.

A relation is written once: with floats it runs on `math`, which is many times quicker than NumPy on single numbers and
hands back plain floats; with arrays (angles of a scan, samples of a study) it runs on NumPy.
"""

import math
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
Real: TypeAlias = float | FloatArray


class Vector(NamedTuple):
    """A point [m] or a direction in the frame of the plan: x along the lay, y to its left, z up."""

    x: Real
    y: Real
    z: Real


def sqrt(value: Real) -> Real:
    """Square root."""
    return math.sqrt(value) if isinstance(value, float) else np.sqrt(value)


def sin(angle_rad: Real) -> Real:
    """Sine."""
    return math.sin(angle_rad) if isinstance(angle_rad, float) else np.sin(angle_rad)


def cos(angle_rad: Real) -> Real:
    """Cosine."""
    return math.cos(angle_rad) if isinstance(angle_rad, float) else np.cos(angle_rad)


def arcsin(ratio: Real) -> Real:
    """Arc sine [rad] of a ratio held within -1 and 1."""
    if isinstance(ratio, float):
        return math.asin(min(1.0, max(-1.0, ratio)))
    return np.arcsin(np.clip(ratio, -1.0, 1.0))


def radians(angle_deg: Real) -> Real:
    """Degrees to radians."""
    return angle_deg * (math.pi / 180.0)


def positive_part(value: Real) -> Real:
    """The value where it is positive, else 0."""
    return max(0.0, value) if isinstance(value, float) else np.maximum(value, 0.0)
