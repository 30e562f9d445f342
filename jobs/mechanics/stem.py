"""The stem above the hinge: inputs, and what follows from them: mass, weight, centre of gravity (section 1)."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from jobs.mechanics import defaults
from jobs.mechanics.axis import Lump, axis_direction, centre_of_gravity, interpolated
from jobs.mechanics.checks import (
    exceeds,
    falls_short,
    require_finite,
    require_not_negative,
)
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.numeric import Real, Vector, point_of, radians

# A diameter below a tenth of a millimetre is no measurement.
_THINNEST_M = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Diameter over bark at a height along the stem. Doubtful sections are refused by `stem`, not here."""

    height_m: float
    diameter_m: float

    def __post_init__(self) -> None:
        require_finite("height_m", self.height_m)
        require_finite("diameter_m", self.diameter_m)
        if 0.0 < self.diameter_m < _THINNEST_M:
            raise OutOfRange("diameter_m", self.diameter_m, f"0, or {_THINNEST_M:g}", "any")


@dataclass(frozen=True, slots=True, kw_only=True)
class SweepKnot:
    """Horizontal offset of the stem axis from the straight lean axis at a height."""

    height_m: float
    forward_m: float
    left_m: float

    def __post_init__(self) -> None:
        require_finite("height_m", self.height_m)
        require_finite("forward_m", self.forward_m)
        require_finite("left_m", self.left_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class CrownLump:
    """Part of the crown as one mass and one area facing the wind, at an offset from the stem axis."""

    mass_kg: float
    height_m: float
    forward_m: float = 0.0
    left_m: float = 0.0
    frontal_area_m2: float = 0.0
    drag_coeff: float = defaults.CROWN_DRAG_COEFF

    def __post_init__(self) -> None:
        require_not_negative("mass_kg", self.mass_kg)
        require_not_negative("height_m", self.height_m)
        require_finite("forward_m", self.forward_m)
        require_finite("left_m", self.left_m)
        require_not_negative("frontal_area_m2", self.frontal_area_m2)
        require_not_negative("drag_coeff", self.drag_coeff)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """A stem as measured. Heights run along the stem from the ground at the stump centre."""

    sections: tuple[Section, ...]
    bark_thickness_m: float = defaults.BARK_THICKNESS_M
    green_density_kg_m3: float | None = None
    lean_deg: float = 0.0
    lean_azimuth_deg: float | None = None  # the lay when not given
    lay_azimuth_deg: float
    hinge_height_m: float
    sweep: tuple[SweepKnot, ...] = ()
    crown: tuple[CrownLump, ...] = ()
    tree_height_m: float | None = None
    decay: bool = False

    def __post_init__(self) -> None:
        require_not_negative("bark_thickness_m", self.bark_thickness_m)
        require_not_negative("green_density_kg_m3", self.green_density_kg_m3)
        require_not_negative("lean_deg", self.lean_deg)
        require_finite("lean_azimuth_deg", self.lean_azimuth_deg)
        require_finite("lay_azimuth_deg", self.lay_azimuth_deg)
        require_finite("hinge_height_m", self.hinge_height_m)
        require_not_negative("tree_height_m", self.tree_height_m)
        knots = [knot.height_m for knot in self.sweep]
        if any(upper <= lower for lower, upper in pairwise(knots)):
            raise OutOfRange("sweep", knots, "rising heights", "rising heights")


@dataclass(frozen=True, slots=True, kw_only=True)
class StemResult:
    """Mass and shape of what stands on the hinge."""

    volume_m3: float
    stem_mass_kg: float
    crown_mass_kg: float
    total_mass_kg: float
    weight_n: float
    centre_of_gravity_m: tuple[float, float, float]
    stem_centre_of_gravity_m: tuple[float, float, float]
    hinge_diameter_over_bark_m: float
    hinge_diameter_under_bark_m: float


@dataclass(frozen=True, slots=True)
class Frustum:
    """A piece of the stem with a straight taper; `lower_m` is its lower end, measured along the stem from the hinge."""

    lower_m: float
    length_m: float
    lower_diameter_m: float
    upper_diameter_m: float


def frustum_volume(length_m: Real, lower_diameter_m: Real, upper_diameter_m: Real) -> Real:
    """Volume of a frustum of a cone [m3].

    V = pi l (d1^2 + d1 d2 + d2^2)/12
    Range: length and diameters not negative.
    Source: GEOMETRY-01.
    """
    d1, d2 = lower_diameter_m, upper_diameter_m
    return 0.2617993877991494 * length_m * (d1 * d1 + d1 * d2 + d2 * d2)


def frustum_centroid(length_m: Real, lower_diameter_m: Real, upper_diameter_m: Real) -> Real:
    """Distance of a frustum's centre of mass from its lower end [m].

    l/4 (d1^2 + 2 d1 d2 + 3 d2^2)/(d1^2 + d1 d2 + d2^2)
    Range: length not negative, at least one diameter above 0.
    Source: GEOMETRY-01.
    """
    d1, d2 = lower_diameter_m, upper_diameter_m
    return 0.25 * length_m * (d1 * d1 + 2.0 * d1 * d2 + 3.0 * d2 * d2) / (d1 * d1 + d1 * d2 + d2 * d2)


def diameter_at(tree: Tree, height_m: float) -> float:
    """Diameter over bark at a height along the stem [m], linear between measured sections.

    Range: constant beyond the first and last section; callers keep within them.
    Source: MODEL-01.
    """
    heights = [section.height_m for section in tree.sections]
    return float(interpolated(height_m, heights, [section.diameter_m for section in tree.sections]))


def sweep_at(tree: Tree, height_m: Real) -> tuple[Real, Real]:
    """Offset of the stem axis at a height, forward and to the left [m].

    Linear between knots, constant beyond the first and last.
    Range: any height.
    Source: MODEL-01.
    """
    if not tree.sweep:
        return 0.0, 0.0
    heights = [knot.height_m for knot in tree.sweep]
    forward = interpolated(height_m, heights, [knot.forward_m for knot in tree.sweep])
    return forward, interpolated(height_m, heights, [knot.left_m for knot in tree.sweep])


def total_height(tree: Tree) -> float:
    """Height of the tree for the fall zone [m]: the greater of the last section and the height given.

    Range: a tree with at least one section.
    Source: MODEL-01.
    """
    return max(tree.sections[-1].height_m, tree.tree_height_m or 0.0)


def lean_bearing_deg(tree: Tree) -> float:
    """Direction of the lean, clockwise from the lay [deg].

    Range: any.
    Source: GEOMETRY-03.
    """
    return 0.0 if tree.lean_azimuth_deg is None else tree.lean_azimuth_deg - tree.lay_azimuth_deg


def stem_axis(tree: Tree) -> Vector:
    """Unit vector along the leaning stem.

    Range: lean 0 to 30 degrees.
    Source: GEOMETRY-03.
    """
    return axis_direction(radians(tree.lean_deg), radians(lean_bearing_deg(tree)))


def refuse_tree(tree: Tree) -> None:
    """Raise the first refusal of section 1 that this tree meets.

    Range: any tree.
    Source: MODEL-01.
    """
    if tree.decay:
        raise Refused("decay", "Decay where the strength of the wood matters.")
    if not tree.green_density_kg_m3:
        raise Refused("no-density", "Green density is not known.")
    heights = [section.height_m for section in tree.sections]
    rising = all(upper > lower for lower, upper in pairwise(heights))
    sound = all(section.diameter_m > 0.0 for section in tree.sections[:-1])
    if not heights or not rising or not sound or tree.sections[-1].diameter_m < 0.0:
        raise Refused("bad-sections", "Section heights do not rise or a diameter is not above 0.")
    if falls_short(tree.hinge_height_m, heights[0]) or not falls_short(tree.hinge_height_m, heights[-1]):
        raise Refused(
            "hinge-outside-sections",
            f"Hinge at {tree.hinge_height_m:.2f} m; sections go from {heights[0]:.2f} to {heights[-1]:.2f} m.",
            {"hinge_height_m": tree.hinge_height_m, "lowest_m": heights[0], "highest_m": heights[-1]},
        )
    if exceeds(tree.lean_deg, defaults.MAX_LEAN_DEG):
        raise Refused(
            "lean-too-great",
            f"Lean of {tree.lean_deg:.1f}°; the model covers {defaults.MAX_LEAN_DEG:g}°.",
            {"lean_deg": tree.lean_deg, "limit_deg": defaults.MAX_LEAN_DEG},
        )


def frustums(tree: Tree) -> tuple[Frustum, ...]:
    """The stem above the hinge, split at the hinge, every section and every sweep knot between.

    Range: a tree that `refuse_tree` passes.
    Source: GEOMETRY-01.
    """
    bottom, top = tree.hinge_height_m, tree.sections[-1].height_m
    marks = {section.height_m for section in tree.sections} | {knot.height_m for knot in tree.sweep}
    heights = [bottom, *sorted(height for height in marks if bottom < height < top), top]
    diameters = [diameter_at(tree, height) for height in heights]
    return tuple(
        Frustum(low - bottom, high - low, d1, d2)
        for low, high, d1, d2 in zip(heights, heights[1:], diameters, diameters[1:], strict=False)
    )


def stem_lumps(tree: Tree, pieces: Sequence[Frustum]) -> tuple[Lump, ...]:
    """Each piece of the stem as a mass [kg] at its centre.

    Range: pieces above the hinge.
    Source: GEOMETRY-01.
    """
    density = tree.green_density_kg_m3 or 0.0
    lumps = []
    for piece in pieces:
        size = piece.length_m, piece.lower_diameter_m, piece.upper_diameter_m
        station = piece.lower_m + frustum_centroid(*size)
        forward, left = sweep_at(tree, tree.hinge_height_m + station)
        lumps.append(Lump(density * frustum_volume(*size), station, forward, left))
    return tuple(lumps)


def crown_lumps(tree: Tree) -> tuple[Lump, ...]:
    """Each part of the crown as a mass [kg] at its place.

    Range: any.
    Source: MODEL-01.
    """
    lumps = []
    for part in tree.crown:
        forward, left = sweep_at(tree, part.height_m)
        station = part.height_m - tree.hinge_height_m
        lumps.append(Lump(part.mass_kg, station, forward + part.forward_m, left + part.left_m))
    return tuple(lumps)


def stem_of(tree: Tree, pieces: Sequence[Frustum]) -> StemResult:
    """The stem from its pieces; the tree's refusals are met before.

    Errors: OutOfRange when the bark is thicker than the stem at the hinge.
    Range: lean 0 to 30 degrees, hinge within the measured sections.
    Source: GEOMETRY-01, STATICS-04.
    """
    over_bark = diameter_at(tree, tree.hinge_height_m)
    if over_bark <= 2.0 * tree.bark_thickness_m:
        raise OutOfRange("bark_thickness_m", tree.bark_thickness_m, 0.0, 0.5 * over_bark)
    axis, trunk, crown = stem_axis(tree), stem_lumps(tree, pieces), crown_lumps(tree)
    stem_mass, stem_centre = centre_of_gravity(axis, trunk)
    mass, centre = centre_of_gravity(axis, trunk + crown)
    volume = sum(frustum_volume(piece.length_m, piece.lower_diameter_m, piece.upper_diameter_m) for piece in pieces)
    return StemResult(
        volume_m3=float(volume),
        stem_mass_kg=float(stem_mass),
        crown_mass_kg=sum(part.mass_kg for part in tree.crown),
        total_mass_kg=float(mass),
        weight_n=defaults.STANDARD_GRAVITY_M_S2 * float(mass),
        centre_of_gravity_m=point_of(centre),
        stem_centre_of_gravity_m=point_of(stem_centre),
        hinge_diameter_over_bark_m=over_bark,
        hinge_diameter_under_bark_m=over_bark - 2.0 * tree.bark_thickness_m,
    )


def stem(tree: Tree) -> StemResult:
    """Volume, mass, weight and centre of gravity of what stands on the hinge (section 1).

    Mass = density V for each frustum at its centroid on the axis, crown lumps added; centre of gravity by mass.
    Errors: Refused decay, no-density, bad-sections, hinge-outside-sections, lean-too-great, in this order;
    OutOfRange when the bark is thicker than the stem at the hinge.
    Range: lean 0 to 30 degrees, hinge within the measured sections.
    Source: GEOMETRY-01, STATICS-04, MODEL-01.
    """
    refuse_tree(tree)
    return stem_of(tree, frustums(tree))
