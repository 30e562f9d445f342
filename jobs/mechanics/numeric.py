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
    return np.sqrt(value) if isinstance(value, np.ndarray) else math.sqrt(value)


def sin(angle_rad: Real) -> Real:
    """Sine."""
    return np.sin(angle_rad) if isinstance(angle_rad, np.ndarray) else math.sin(angle_rad)


def cos(angle_rad: Real) -> Real:
    """Cosine."""
    return np.cos(angle_rad) if isinstance(angle_rad, np.ndarray) else math.cos(angle_rad)


def arcsin(ratio: Real) -> Real:
    """Arc sine [rad] of a ratio held within -1 and 1."""
    if isinstance(ratio, np.ndarray):
        return np.arcsin(np.clip(ratio, -1.0, 1.0))
    return math.asin(min(1.0, max(-1.0, ratio)))


def arctan2(across: Real, along: Real) -> Real:
    """Angle [rad] of a direction with these two components, from -pi to pi."""
    if isinstance(across, np.ndarray) or isinstance(along, np.ndarray):
        return np.arctan2(across, along)
    return math.atan2(across, along)


def exp(value: Real) -> Real:
    """Exponential function."""
    return np.exp(value) if isinstance(value, np.ndarray) else math.exp(value)


def log(value: Real) -> Real:
    """Natural logarithm."""
    return np.log(value) if isinstance(value, np.ndarray) else math.log(value)


def radians(angle_deg: Real) -> Real:
    """Degrees to radians."""
    return angle_deg * (math.pi / 180.0)


def degrees(angle_rad: Real) -> Real:
    """Radians to degrees."""
    return angle_rad * (180.0 / math.pi)


def positive_part(value: Real) -> Real:
    """The value where it is positive, else 0."""
    return np.maximum(value, 0.0) if isinstance(value, np.ndarray) else max(0.0, value)


def greater(one: Real, other: Real) -> Real:
    """The greater of two values."""
    if isinstance(one, np.ndarray) or isinstance(other, np.ndarray):
        return np.maximum(one, other)
    return max(one, other)


def min_of(value: Real) -> float:
    """The smallest of an array, or the value itself."""
    return float(value.min()) if isinstance(value, np.ndarray) else value


def max_of(value: Real) -> float:
    """The largest of an array, or the value itself."""
    return float(value.max()) if isinstance(value, np.ndarray) else value


def negative_part(value: Real) -> Real:
    """How far the value is below 0, as a positive number, else 0."""
    return positive_part(-value)


def point_of(vector: Vector) -> tuple[float, float, float]:
    """A vector of floats as the plain triple a result holds."""
    return float(vector.x), float(vector.y), float(vector.z)
