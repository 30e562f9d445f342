"""The strip of a circle between two chords across the lay: area, centroid, second moments.

The chords stand at x = lower and x = upper, the circle has its centre at x = 0, the width at x is 2 sqrt(R^2 - x^2).
Each integral is the difference of its primitive at the two chords.
"""

from dataclasses import dataclass

from scipy.optimize import brentq

from jobs.mechanics.numeric import Real, arcsin, positive_part, sqrt


@dataclass(frozen=True, slots=True)
class Strip:
    """Section properties of a strip; `front_m` and `back_m` are the distances of its outermost fibres."""

    area_m2: Real
    centroid_x_m: Real
    second_moment_m4: Real
    front_m: Real
    back_m: Real


def half_chord(x_m: Real, radius_m: Real) -> Real:
    """Half the width of the circle at x [m].

    sqrt(R^2 - x^2)
    Range: |x| <= R; beyond, 0.
    Source: GEOMETRY-02.
    """
    return sqrt(positive_part(radius_m * radius_m - x_m * x_m))


def area_primitive(x_m: Real, radius_m: Real) -> Real:
    """Primitive of the width [m2]: x s + R^2 asin(x/R).

    Range: |x| <= R, R > 0.
    Source: GEOMETRY-02.
    """
    return x_m * half_chord(x_m, radius_m) + radius_m * radius_m * arcsin(x_m / radius_m)


def first_moment_primitive(x_m: Real, radius_m: Real) -> Real:
    """Primitive of x times the width [m3]: -2 s^3/3.

    Range: |x| <= R.
    Source: GEOMETRY-02.
    """
    return -2.0 / 3.0 * half_chord(x_m, radius_m) ** 3


def second_moment_primitive(x_m: Real, radius_m: Real) -> Real:
    """Primitive of x^2 times the width [m4]: R^4 a/4 - x s (R^2 - 2 x^2)/4.

    Range: |x| <= R, R > 0.
    Source: GEOMETRY-02.
    """
    square = radius_m * radius_m
    bulge = x_m * half_chord(x_m, radius_m) * (square - 2.0 * x_m * x_m)
    return 0.25 * (square * square * arcsin(x_m / radius_m) - bulge)


def side_moment_primitive(x_m: Real, radius_m: Real) -> Real:
    """Primitive of the width cubed over 12 [m4]: 2/3 (x s (5 R^2 - 2 x^2)/8 + 3 R^4 a/8).

    Range: |x| <= R, R > 0.
    Source: GEOMETRY-02.
    """
    square = radius_m * radius_m
    bulge = x_m * half_chord(x_m, radius_m) * (5.0 * square - 2.0 * x_m * x_m)
    return (bulge + 3.0 * square * square * arcsin(x_m / radius_m)) / 12.0


def strip(lower_x_m: Real, upper_x_m: Real, radius_m: Real) -> Strip:
    """Area, centroid and second moment about the centroid of the strip between two chords.

    A = int w, x_c = int x w / A, I = int x^2 w - A x_c^2
    Range: -R <= lower < upper <= R.
    Source: GEOMETRY-02.
    """
    area = area_primitive(upper_x_m, radius_m) - area_primitive(lower_x_m, radius_m)
    first = first_moment_primitive(upper_x_m, radius_m) - first_moment_primitive(lower_x_m, radius_m)
    second = second_moment_primitive(upper_x_m, radius_m) - second_moment_primitive(lower_x_m, radius_m)
    centroid = first / area
    return Strip(area, centroid, second - area * centroid * centroid, upper_x_m - centroid, centroid - lower_x_m)


def circle(radius_m: Real) -> Strip:
    """The uncut section: the strip that is the whole circle.

    A = pi R^2, I = pi R^4/4
    Range: R > 0.
    Source: GEOMETRY-02.
    """
    return strip(-radius_m, radius_m, radius_m)


def side_second_moment(lower_x_m: Real, upper_x_m: Real, radius_m: Real) -> Real:
    """Second moment of the strip for bending sideways, about the x axis [m4].

    I = int w^3/12 dx
    Range: -R <= lower < upper <= R.
    Source: GEOMETRY-02.
    """
    return side_moment_primitive(upper_x_m, radius_m) - side_moment_primitive(lower_x_m, radius_m)


def max_half_width(lower_x_m: float, upper_x_m: float, radius_m: float) -> float:
    """Half the width of the strip where it is widest [m].

    R where the strip holds the centre, else sqrt(R^2 - min|x|^2)
    Range: -R <= lower < upper <= R.
    Source: GEOMETRY-02.
    """
    nearest = 0.0 if lower_x_m <= 0.0 <= upper_x_m else min(abs(lower_x_m), abs(upper_x_m))
    return float(half_chord(nearest, radius_m))


def plastic_modulus(lower_x_m: float, upper_x_m: float, radius_m: float) -> float:
    """Plastic section modulus of the strip [m3].

    Z = int |x - x_p| w dx, x_p halving the area
    Range: -R <= lower < upper <= R.
    Source: BEAM-02.
    """
    low, high = float(area_primitive(lower_x_m, radius_m)), float(area_primitive(upper_x_m, radius_m))
    half = 0.5 * (low + high)
    middle = brentq(lambda x: float(area_primitive(x, radius_m)) - half, lower_x_m, upper_x_m, xtol=1e-14)
    ends = first_moment_primitive(upper_x_m, radius_m) + first_moment_primitive(lower_x_m, radius_m)
    return float(ends - 2.0 * first_moment_primitive(middle, radius_m))
