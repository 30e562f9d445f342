"""Spread of each uncertain input, by itself and by how it was measured, and samples drawn from it (section 11)."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal, get_args

import numpy as np
from scipy.special import ndtr, ndtri

from jobs.mechanics import defaults
from jobs.mechanics.checks import require_finite, require_not_negative, require_word
from jobs.mechanics.defaults import PANEL, record
from jobs.mechanics.errors import OutOfRange
from jobs.mechanics.numeric import FloatArray

# Spread of a figure by the way it was measured: what the application sends with a plan. Agreed on paper, unpublished.
# Where nothing stands here for a way of measuring, the model's own spread (SPREADS) holds.
ATTACH_CLIMBER_M = record("attach_spread_climber", 0.1, "m", PANEL, "height of the line, climber's tape")
ATTACH_CLINOMETER_M = record("attach_spread_clinometer", 0.5, "m", PANEL, "height of the line, clinometer and distance")
ATTACH_STICK_M = record("attach_spread_stick", 1.0, "m", PANEL, "height of the line, stick")
LEAN_PLUMB_DEG = record("lean_spread_plumb", 0.5, "deg", PANEL, "lean, plumb line and offset")
LEAN_PHONE_DEG = record("lean_spread_phone", 1.5, "deg", PANEL, "lean, phone against the stem")
ANCHOR_TAPE_COV = record("anchor_spread_tape", 0.005, "1", PANEL, "distance to the anchor, tape")
ANCHOR_RANGEFINDER_M = record("anchor_spread_rangefinder", 0.5, "m", PANEL, "distance to the anchor, rangefinder")
ANCHOR_PACING_COV = record("anchor_spread_pacing", 0.07, "1", PANEL, "distance to the anchor, paced")
DENSITY_SPECIES_COV = record("density_spread_species", 0.07, "1", PANEL, "density, table of species")
DENSITY_WEIGHED_COV = record("density_spread_weighed", 0.03, "1", PANEL, "density, weighed piece")

InputName = Literal[
    "green_density",
    "diameter",
    "crown_mass",
    "crown_forward",
    "lean",
    "lean_azimuth",
    "gust",
    "attach_height",
    "anchor_distance",
    "hinge_thickness",
    "rupture_modulus",
    "sheave_efficiency",
]
INPUT_NAMES: Final[tuple[InputName, ...]] = get_args(InputName)

Shape = Literal["normal", "lognormal", "triangular", "fixed"]

# Inputs that cannot be 0 or negative, however widely they spread.
_POSITIVE: Final[frozenset[InputName]] = frozenset(
    {"green_density", "diameter", "anchor_distance", "rupture_modulus", "sheave_efficiency"}
)
# Keeps a uniform number off 0 and 1, where the inverse of the distribution function is infinite.
_EDGE = 2.0**-53


@dataclass(frozen=True, slots=True, kw_only=True)
class Distribution:
    """How one input spreads about its base: normal or lognormal by `cov` or `sd`, triangular by offsets, or fixed."""

    distribution: Shape
    cov: float | None = None
    sd: float | None = None
    low_offset: float | None = None
    high_offset: float | None = None

    def __post_init__(self) -> None:
        require_word("distribution", self.distribution, get_args(Shape))
        require_not_negative("cov", self.cov)
        require_not_negative("sd", self.sd)
        require_finite("low_offset", self.low_offset)
        require_finite("high_offset", self.high_offset)
        if self.distribution in ("normal", "lognormal") and (self.cov is None) == (self.sd is None):
            raise OutOfRange("cov", self.cov, "one of cov", "and sd")
        if self.distribution == "triangular":
            if self.low_offset is None or self.low_offset > 0.0:
                raise OutOfRange("low_offset", self.low_offset, "a negative offset", 0.0)
            if self.high_offset is None or self.high_offset < 0.0:
                raise OutOfRange("high_offset", self.high_offset, 0.0, "a positive offset")


SPREADS: Final[Mapping[InputName, Distribution]] = MappingProxyType(
    {
        "green_density": Distribution(distribution="normal", cov=defaults.DENSITY_COV),
        "diameter": Distribution(distribution="normal", cov=defaults.DIAMETER_COV),
        "crown_mass": Distribution(distribution="lognormal", cov=defaults.CROWN_MASS_COV),
        "crown_forward": Distribution(distribution="normal", sd=defaults.CROWN_FORWARD_SD_M),
        "lean": Distribution(distribution="normal", sd=defaults.LEAN_SD_DEG),
        "lean_azimuth": Distribution(distribution="normal", sd=defaults.LEAN_AZIMUTH_SD_DEG),
        "gust": Distribution(distribution="lognormal", cov=defaults.GUST_COV),
        "attach_height": Distribution(distribution="normal", sd=defaults.ATTACH_HEIGHT_SD_M),
        "anchor_distance": Distribution(distribution="normal", cov=defaults.ANCHOR_DISTANCE_COV),
        "hinge_thickness": Distribution(distribution="normal", sd=defaults.HINGE_THICKNESS_SD_M),
        "rupture_modulus": Distribution(distribution="lognormal", cov=defaults.RUPTURE_MODULUS_SAMPLE_COV),
        "sheave_efficiency": Distribution(
            distribution="triangular",
            low_offset=defaults.SHEAVE_EFFICIENCY_LOW_OFFSET,
            high_offset=defaults.SHEAVE_EFFICIENCY_HIGH_OFFSET,
        ),
    }
)
"""Spreads where nothing else is given; panel's judgement."""


def truncated_normal(uniform_ratio: FloatArray, sd_factor: float) -> FloatArray:
    """Normal deviates of mean 0 from uniform numbers, cut off at 3 standard deviations on both sides [unit of sd].

    sd Phi^-1(Phi(-3) + u (Phi(3) - Phi(-3)))
    Range: 0 < u < 1.
    Source: STAT-01.
    """
    tail = float(ndtr(-defaults.NORMAL_TRUNCATION))
    return np.asarray(sd_factor * ndtri(tail + uniform_ratio * (1.0 - 2.0 * tail)))


def lognormal_factor(uniform_ratio: FloatArray, cov_ratio: float) -> FloatArray:
    """Log-normal factors of median 1 from uniform numbers [1].

    exp(s Phi^-1(u)), s^2 = ln(1 + cov^2)
    Range: 0 < u < 1.
    Source: STAT-01.
    """
    return np.asarray(np.exp(np.sqrt(np.log1p(cov_ratio * cov_ratio)) * ndtri(uniform_ratio)))


def triangular_offset(uniform_ratio: FloatArray, low_factor: float, high_factor: float) -> FloatArray:
    """Triangular deviates about a peak at 0 from uniform numbers [unit of the offsets].

    lo + sqrt(u w |lo|) below the peak, hi - sqrt((1 - u) w hi) above it, w = hi - lo
    Range: lo <= 0 <= hi, 0 < u < 1.
    Source: STAT-01.
    """
    width = high_factor - low_factor
    if width <= 0.0:
        return np.zeros_like(uniform_ratio)
    below = low_factor + np.sqrt(uniform_ratio * width * -low_factor)
    above = high_factor - np.sqrt((1.0 - uniform_ratio) * width * high_factor)
    return np.where(uniform_ratio * width < -low_factor, below, above)


def drawn(spread: Distribution, base: float, uniform_ratio: FloatArray) -> FloatArray:
    """Samples of one input about its base, one for each uniform number [unit of the base].

    Range: 0 < u < 1; a cov is of the base, so a base of 0 does not spread by it.
    Source: STAT-01.
    """
    if spread.distribution == "fixed":
        return np.full_like(uniform_ratio, base)
    if spread.distribution == "triangular":
        return base + triangular_offset(uniform_ratio, spread.low_offset or 0.0, spread.high_offset or 0.0)
    if spread.distribution == "normal":
        sd = spread.sd if spread.sd is not None else (spread.cov or 0.0) * abs(base)
        return base + truncated_normal(uniform_ratio, sd)
    if spread.cov is not None:
        return base * lognormal_factor(uniform_ratio, spread.cov)
    return base * lognormal_factor(uniform_ratio, (spread.sd or 0.0) / abs(base) if base else 0.0)


def drawn_inputs(
    bases: Mapping[InputName, float], given: Mapping[InputName, Distribution], *, samples: int, seed: int
) -> dict[InputName, FloatArray]:
    """Samples of every input [unit of the input], each independent: another spread of one leaves the others alone.

    Errors: OutOfRange when an input that must be positive spreads to 0 or below.
    Range: 1 sample or more.
    Source: STAT-01.
    """
    uniforms = np.clip(np.random.default_rng(seed).random((len(INPUT_NAMES), samples)), _EDGE, 1.0 - _EDGE)
    drawn_by_name: dict[InputName, FloatArray] = {}
    for name, uniform in zip(INPUT_NAMES, uniforms, strict=True):
        values = drawn(given.get(name, SPREADS[name]), bases[name], uniform)
        if name in _POSITIVE and float(values.min()) <= 0.0:
            raise OutOfRange(f"distributions.{name}", float(values.min()), "above 0", "any")
        drawn_by_name[name] = values
    return drawn_by_name
