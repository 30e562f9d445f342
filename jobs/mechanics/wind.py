"""The gust on stem and crown: dynamic pressure, force, moment about hinge height (section 3)."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from jobs.mechanics import defaults
from jobs.mechanics.axis import Lump, axis_point, rotated
from jobs.mechanics.checks import require_not_negative, require_positive
from jobs.mechanics.errors import Refused
from jobs.mechanics.numeric import Real, Vector, min_of, positive_part
from jobs.mechanics.stem import Frustum, Tree, frustums, refuse_tree, stem_axis, sweep_at


@dataclass(frozen=True, slots=True, kw_only=True)
class Wind:
    """The strongest credible gust at crown height during the job. Not known refuses: there is no default gust."""

    gust_m_s: float | None = None
    air_density_kg_m3: float = defaults.AIR_DENSITY_KG_M3
    stem_drag_coeff: float = defaults.STEM_DRAG_COEFF
    working_limit_m_s: float = defaults.WORKING_LIMIT_M_S

    def __post_init__(self) -> None:
        require_not_negative("gust_m_s", self.gust_m_s)
        require_positive("air_density_kg_m3", self.air_density_kg_m3)
        require_not_negative("stem_drag_coeff", self.stem_drag_coeff)
        require_not_negative("working_limit_m_s", self.working_limit_m_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class WindResult:
    """The gust's push on stem and crown."""

    dynamic_pressure_pa: float
    force_n: float
    moment_n_m: float
    height_m: float


class Push(NamedTuple):
    """A horizontal force [N] of the gust at a place."""

    force_n: Real
    place: Vector


def dynamic_pressure(air_density_kg_m3: Real, gust_m_s: Real) -> Real:
    """Pressure of a gust [Pa].

    q = rho V^2/2
    Range: V not negative.
    Source: WIND-01.
    """
    return 0.5 * air_density_kg_m3 * gust_m_s * gust_m_s


def frustum_area_centroid(length_m: Real, lower_diameter_m: Real, upper_diameter_m: Real) -> Real:
    """Distance of the centre of a frustum's side area from its lower end [m].

    l/3 (d1 + 2 d2)/(d1 + d2)
    Range: at least one diameter above 0.
    Source: GEOMETRY-01.
    """
    d1, d2 = lower_diameter_m, upper_diameter_m
    return length_m / 3.0 * (d1 + 2.0 * d2) / (d1 + d2)


def stem_drag_lumps(tree: Tree, pieces: Sequence[Frustum], stem_drag_coeff: float) -> tuple[Lump, ...]:
    """Each piece of the stem as an area times its drag [m2] at the centre of that area; no reduction for lean.

    cd l (d1 + d2)/2
    Range: pieces above the hinge.
    Source: WIND-01, GEOMETRY-01.
    """
    lumps = []
    for piece in pieces:
        area = 0.5 * piece.length_m * (piece.lower_diameter_m + piece.upper_diameter_m)
        station = piece.lower_m + frustum_area_centroid(piece.length_m, piece.lower_diameter_m, piece.upper_diameter_m)
        forward, left = sweep_at(tree, tree.hinge_height_m + station)
        lumps.append(Lump(stem_drag_coeff * area, station, forward, left))
    return tuple(lumps)


def crown_drag_lumps(tree: Tree) -> tuple[Lump, ...]:
    """Each part of the crown as an area times its drag [m2] at its place.

    cd area
    Range: any.
    Source: WIND-01, MODEL-01.
    """
    lumps = []
    for part in tree.crown:
        forward, left = sweep_at(tree, part.height_m)
        station = part.height_m - tree.hinge_height_m
        drag_area = part.drag_coeff * part.frontal_area_m2
        lumps.append(Lump(drag_area, station, forward + part.forward_m, left + part.left_m))
    return tuple(lumps)


def pushes(axis: Vector, lumps: Iterable[Lump], dynamic_pressure_pa: Real) -> tuple[Push, ...]:
    """The gust's force on each lump, at its place on the leaning stem.

    F = q cd A
    Range: any.
    Source: WIND-01.
    """
    return tuple(
        Push(dynamic_pressure_pa * lump.amount, axis_point(axis, lump.station_m, lump.forward_m, lump.left_m))
        for lump in lumps
    )


def gust_moment(loads: Iterable[Push], cos_ratio: Real = 1.0, sin_ratio: Real = 0.0) -> Real:
    """Moment of the gust about the hinge line [N m], the stem tipped by an angle with this cosine and sine.

    sum F max(0, z')
    Range: places relative to the hinge line.
    Source: STATICS-01.
    """
    total: Real = 0.0
    for load in loads:
        total = total + load.force_n * positive_part(rotated(load.place, cos_ratio, sin_ratio).z)
    return total


def resultants(loads: Sequence[Push], cos_end_ratio: float, sin_end_ratio: float) -> tuple[Push, ...]:
    """The same gust with fewer loads: those above the hinge line during the whole turn become one at their centre.

    A point turns by at most a quarter, so one that is above the hinge line at both ends of the turn is above it all
    the way, and for such points sum F max(0, z') is the moment of their resultant.
    Range: a turn of at most 90 degrees; places relative to the hinge line.
    Source: STATICS-04.
    """
    kept: list[Push] = []
    above: list[Push] = []
    for load in loads:
        lowest = min(min_of(load.place.z), min_of(rotated(load.place, cos_end_ratio, sin_end_ratio).z))
        (above if lowest >= 0.0 else kept).append(load)
    force: Real = 0.0
    x: Real = 0.0
    z: Real = 0.0
    for load in above:
        force = force + load.force_n
        x = x + load.force_n * load.place.x
        z = z + load.force_n * load.place.z
    if len(above) < 2 or min_of(force) <= 0.0:
        return tuple(loads)
    return (*kept, Push(force, Vector(x / force, 0.0, z / force)))


def known_gust(wind: Wind) -> float:
    """The gust [m/s], or the refusal unknown:gust.

    Range: any.
    Source: MODEL-01.
    """
    if wind.gust_m_s is None:
        raise Refused("unknown:gust", "Gust is not known.")
    return wind.gust_m_s


def gust_loads(tree: Tree, wind: Wind, pieces: Sequence[Frustum]) -> tuple[Push, ...]:
    """The gust's forces on stem and crown, at their places above the hinge.

    Errors: Refused unknown:gust.
    Range: uniform gust over the height.
    Source: WIND-01, MODEL-01.
    """
    pressure = dynamic_pressure(wind.air_density_kg_m3, known_gust(wind))
    lumps = stem_drag_lumps(tree, pieces, wind.stem_drag_coeff) + crown_drag_lumps(tree)
    return pushes(stem_axis(tree), lumps, pressure)


def wind(tree: Tree, wind: Wind) -> WindResult:
    """Pressure, force, moment and height of the gust on stem and crown (section 3).

    q = rho V^2/2; F = q cd A at the centre of each area; M = sum F max(0, z); height = M/F, 0 without force
    Errors: Refused, the stem's and unknown:gust.
    Range: uniform gust over the height.
    Source: WIND-01, GEOMETRY-01, MODEL-01.
    """
    refuse_tree(tree)
    loads = gust_loads(tree, wind, frustums(tree))
    force, moment = sum(float(load.force_n) for load in loads), float(gust_moment(loads))
    return WindResult(
        dynamic_pressure_pa=float(dynamic_pressure(wind.air_density_kg_m3, known_gust(wind))),
        force_n=force,
        moment_n_m=moment,
        height_m=moment / force if force > 0.0 else 0.0,
    )
