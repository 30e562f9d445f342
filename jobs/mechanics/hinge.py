"""The hinge: its place, its section and the moments it can carry (section 2)."""

from dataclasses import dataclass
from typing import Literal

from jobs.mechanics import defaults
from jobs.mechanics.checks import (
    exceeds,
    falls_short,
    given,
    require_between,
    require_finite,
    require_positive,
    require_word,
)
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.numeric import Real, greater
from jobs.mechanics.strip import half_chord, max_half_width, plastic_modulus, side_second_moment, strip

# A spread so wide that the low value would not be positive is nonsense.
_WIDEST_COV = 0.6
# Sizes that no stem and no saw has; below them the difference of two areas is rounding and nothing else.
_THINNEST_STEM_M, _THICKEST_STEM_M, _THINNEST_HINGE_M = 0.01, 100.0, 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Hinge:
    """The hinge as it will be cut, and the wood it is cut from.

    Not given: the diameter is that under bark at the hinge, the thickness a tenth of it but at least 0.025 m, the
    width the chord at the notch apex. The elastic modulus and the shear strength are needed for the window alone.
    """

    stem_diameter_m: float | None = None
    notch_depth_ratio: float = defaults.NOTCH_DEPTH_RATIO
    thickness_m: float | None = None
    shape: Literal["rectangle", "strip"] = "rectangle"
    width_m: float | None = None
    rupture_modulus_mean_pa: float
    rupture_modulus_cov: float = defaults.RUPTURE_MODULUS_COV
    elastic_modulus_mean_pa: float | None = None
    shear_strength_mean_pa: float | None = None
    shear_strength_cov: float = defaults.SHEAR_STRENGTH_COV
    notch_opening_deg: float = defaults.NOTCH_OPENING_DEG
    split_prone: bool = False

    def __post_init__(self) -> None:
        require_between("stem_diameter_m", self.stem_diameter_m, _THINNEST_STEM_M, _THICKEST_STEM_M)
        require_finite("notch_depth_ratio", self.notch_depth_ratio)
        require_finite("thickness_m", self.thickness_m)
        if self.thickness_m is not None and 0.0 < self.thickness_m < _THINNEST_HINGE_M:
            raise OutOfRange("thickness_m", self.thickness_m, _THINNEST_HINGE_M, "any")
        require_word("shape", self.shape, ("rectangle", "strip"))
        require_positive("width_m", self.width_m)
        require_positive("rupture_modulus_mean_pa", self.rupture_modulus_mean_pa)
        require_between("rupture_modulus_cov", self.rupture_modulus_cov, 0.0, _WIDEST_COV)
        require_positive("elastic_modulus_mean_pa", self.elastic_modulus_mean_pa)
        require_positive("shear_strength_mean_pa", self.shear_strength_mean_pa)
        require_between("shear_strength_cov", self.shear_strength_cov, 0.0, _WIDEST_COV)
        require_positive("notch_opening_deg", self.notch_opening_deg, 180.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class HingeResult:
    """Place, section and moments of a hinge; x is measured from the pith along the lay."""

    notch_apex_x_m: float
    hinge_back_x_m: float
    hinge_line_x_m: float
    width_m: float
    notch_chord_m: float
    area_m2: float
    fell_second_moment_m4: float
    side_second_moment_m4: float
    elastic_section_modulus_m3: float
    plastic_section_modulus_m3: float
    side_section_modulus_m3: float
    rupture_modulus_low_pa: float
    rupture_modulus_high_pa: float
    elastic_moment_low_n_m: float
    elastic_moment_mean_n_m: float
    plastic_moment_mean_n_m: float
    plastic_moment_high_n_m: float
    side_moment_low_n_m: float


@dataclass(frozen=True, slots=True)
class HingeSection:
    """Section properties alone, before the strength of the wood."""

    width_m: float
    area_m2: float
    fell_second_moment_m4: float
    side_second_moment_m4: float
    elastic_section_modulus_m3: float
    plastic_section_modulus_m3: float
    side_section_modulus_m3: float


def low_value(mean_pa: Real, cov_ratio: Real) -> Real:
    """5 % point of a strength [Pa].

    mean (1 - 1.645 COV)
    Range: COV below 0.6.
    Source: STRENGTH-01.
    """
    return mean_pa * (1.0 - defaults.CHARACTERISTIC_FACTOR * cov_ratio)


def high_value(mean_pa: Real, cov_ratio: Real) -> Real:
    """95 % point of a strength [Pa].

    mean (1 + 1.645 COV)
    Range: COV not negative.
    Source: STRENGTH-01.
    """
    return mean_pa * (1.0 + defaults.CHARACTERISTIC_FACTOR * cov_ratio)


def notch_apex(stem_diameter_m: Real, notch_depth_ratio: Real) -> Real:
    """x of the notch apex [m].

    R - f D
    Range: 0.10 <= f <= 0.50.
    Source: MODEL-01.
    """
    return stem_diameter_m * (0.5 - notch_depth_ratio)


def hinge_line(notch_apex_x_m: Real, thickness_m: Real) -> Real:
    """x of the line the stem turns about [m], in the middle of the hinge.

    (x_a + x_b)/2 = x_a - t/2
    Range: t > 0.
    Source: MODEL-01.
    """
    return notch_apex_x_m - 0.5 * thickness_m


def thickness_of(hinge: Hinge, stem_diameter_m: float) -> float:
    """Hinge thickness [m]: as given, else a tenth of the diameter but at least 0.025 m.

    Range: D > 0.
    Source: PRACTICE-01.
    """
    if hinge.thickness_m is not None:
        return hinge.thickness_m
    return max(defaults.HINGE_THICKNESS_RATIO * stem_diameter_m, defaults.MIN_HINGE_THICKNESS_M)


def rectangle_section(width_m: float, thickness_m: float) -> HingeSection:
    """Section of a rectangular hinge.

    A = b t, I = b t^3/12, W = b t^2/6, Z = b t^2/4; sideways t b^3/12 and t b^2/6
    Range: b, t > 0.
    Source: BEAM-01, BEAM-02.
    """
    b, t = width_m, thickness_m
    return HingeSection(
        width_m=b,
        area_m2=b * t,
        fell_second_moment_m4=b * t**3 / 12.0,
        side_second_moment_m4=t * b**3 / 12.0,
        elastic_section_modulus_m3=float(rectangle_elastic_modulus(b, t)),
        plastic_section_modulus_m3=b * t * t / 4.0,
        side_section_modulus_m3=t * b * b / 6.0,
    )


def rectangle_elastic_modulus(width_m: Real, thickness_m: Real) -> Real:
    """Elastic section modulus of a rectangular hinge [m3]: b t^2/6.

    Range: b, t > 0.
    Source: BEAM-01.
    """
    return width_m * thickness_m * thickness_m / 6.0


def strip_elastic_modulus(back_x_m: Real, apex_x_m: float, radius_m: float) -> Real:
    """Elastic section modulus of a hinge that is a strip of the circle [m3]: I over the further fibre.

    I / max(x_a - x_c, x_c - x_b)
    Range: -R <= x_b < x_a <= R.
    Source: BEAM-01, GEOMETRY-02.
    """
    section = strip(back_x_m, apex_x_m, radius_m)
    return section.second_moment_m4 / greater(section.front_m, section.back_m)


def strip_section(back_x_m: float, apex_x_m: float, radius_m: float) -> HingeSection:
    """Section of a hinge that is a strip of the circle between two chords.

    Range: -R <= x_b < x_a <= R.
    Source: BEAM-01, BEAM-02, GEOMETRY-02.
    """
    section = strip(back_x_m, apex_x_m, radius_m)
    half_width = max_half_width(back_x_m, apex_x_m, radius_m)
    side = float(side_second_moment(back_x_m, apex_x_m, radius_m))
    return HingeSection(
        width_m=2.0 * half_width,
        area_m2=float(section.area_m2),
        fell_second_moment_m4=float(section.second_moment_m4),
        side_second_moment_m4=side,
        elastic_section_modulus_m3=float(strip_elastic_modulus(back_x_m, apex_x_m, radius_m)),
        plastic_section_modulus_m3=plastic_modulus(back_x_m, apex_x_m, radius_m),
        side_section_modulus_m3=side / half_width,
    )


def elastic_modulus_for(hinge: Hinge, stem_diameter_m: float, thickness_m: Real) -> Real:
    """Elastic section modulus [m3] of this hinge cut to other thicknesses; takes an array of them.

    For a grid of thicknesses: the crew's hinge moment is this times the high modulus of rupture.
    Range: thicknesses that `refuse_hinge` passes.
    Source: BEAM-01.
    """
    apex, radius = float(notch_apex(stem_diameter_m, hinge.notch_depth_ratio)), 0.5 * stem_diameter_m
    if hinge.shape == "strip":
        return strip_elastic_modulus(apex - thickness_m, apex, radius)
    width = hinge.width_m if hinge.width_m is not None else 2.0 * float(half_chord(apex, radius))
    return rectangle_elastic_modulus(width, thickness_m)


def refuse_hinge(hinge: Hinge, stem_diameter_m: float, thickness_m: float) -> None:
    """Raise hinge-geometry where the model does not cover the notch or the hinge.

    Range: D above 0.
    Source: MODEL-01.
    """
    depth = hinge.notch_depth_ratio
    lowest, highest = defaults.NOTCH_DEPTH_LOWEST_RATIO, defaults.NOTCH_DEPTH_HIGHEST_RATIO
    if falls_short(depth, lowest) or exceeds(depth, highest):
        raise Refused(
            "hinge-geometry",
            f"Notch depth of {depth:.2f} D; the model covers {lowest:.2f} to {highest:.2f} D.",
            {"notch_depth_ratio": depth, "lowest_ratio": lowest, "highest_ratio": highest},
        )
    if thickness_m <= 0.0:
        raise Refused("hinge-geometry", "Hinge thickness is not above 0.", {"thickness_m": thickness_m})
    back = float(notch_apex(stem_diameter_m, depth)) - thickness_m
    limit = stem_diameter_m * (defaults.MIN_HINGE_BACK_RATIO - 0.5)
    if not exceeds(back, limit):
        raise Refused(
            "hinge-geometry",
            f"Hinge of {thickness_m:.3f} m leaves no wood behind it.",
            {"thickness_m": thickness_m, "stem_diameter_m": stem_diameter_m},
        )


def hinge_of(hinge: Hinge, stem_diameter_m: float) -> HingeResult:
    """The hinge in a stem of this under-bark diameter; the hinge's own diameter goes before it.

    Errors: Refused hinge-geometry; OutOfRange for a hinge wider than the stem.
    Range: sound green wood, grain parallel to the axis, no cut corners, above freezing.
    Source: BEAM-01, BEAM-02, STRENGTH-01.
    """
    diameter = hinge.stem_diameter_m if hinge.stem_diameter_m is not None else stem_diameter_m
    thickness = thickness_of(hinge, diameter)
    refuse_hinge(hinge, diameter, thickness)
    if hinge.width_m is not None and exceeds(hinge.width_m, diameter):
        raise OutOfRange("width_m", hinge.width_m, 0.0, diameter)
    radius, apex = 0.5 * diameter, float(notch_apex(diameter, hinge.notch_depth_ratio))
    chord = 2.0 * float(half_chord(apex, radius))
    if hinge.shape == "strip":
        section = strip_section(apex - thickness, apex, radius)
    else:
        section = rectangle_section(hinge.width_m if hinge.width_m is not None else chord, thickness)
    mean = hinge.rupture_modulus_mean_pa
    low = float(low_value(mean, hinge.rupture_modulus_cov))
    high = float(high_value(mean, hinge.rupture_modulus_cov))
    return HingeResult(
        notch_apex_x_m=apex,
        hinge_back_x_m=apex - thickness,
        hinge_line_x_m=float(hinge_line(apex, thickness)),
        width_m=section.width_m,
        notch_chord_m=chord,
        area_m2=section.area_m2,
        fell_second_moment_m4=section.fell_second_moment_m4,
        side_second_moment_m4=section.side_second_moment_m4,
        elastic_section_modulus_m3=section.elastic_section_modulus_m3,
        plastic_section_modulus_m3=section.plastic_section_modulus_m3,
        side_section_modulus_m3=section.side_section_modulus_m3,
        rupture_modulus_low_pa=low,
        rupture_modulus_high_pa=high,
        elastic_moment_low_n_m=low * section.elastic_section_modulus_m3,
        elastic_moment_mean_n_m=mean * section.elastic_section_modulus_m3,
        plastic_moment_mean_n_m=mean * section.plastic_section_modulus_m3,
        plastic_moment_high_n_m=high * section.plastic_section_modulus_m3,
        side_moment_low_n_m=low * section.side_section_modulus_m3,
    )


def hinge(hinge: Hinge) -> HingeResult:
    """Place, section and moments of a hinge (section 2); here its `stem_diameter_m` must be given.

    Errors: Refused hinge-geometry; OutOfRange without a diameter.
    Range: sound green wood, grain parallel to the axis, no cut corners, above freezing.
    Source: BEAM-01, BEAM-02, GEOMETRY-02, STRENGTH-01.
    """
    return hinge_of(hinge, given("stem_diameter_m", hinge.stem_diameter_m))
