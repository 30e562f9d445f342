"""Tree, hinge, line and wind taken together, with everything that does not change from one question to the next.

`pull`, `window` and a plan all start from a `Situation`: it is built once, and building it meets the refusals of
stem, attachment, hinge, line and wind in this order.
"""

from dataclasses import dataclass

from jobs.mechanics.hinge import Hinge, HingeResult, hinge_of
from jobs.mechanics.line import Line, LineResult, Route, line_of, refuse_attachment, route_of
from jobs.mechanics.numeric import Vector
from jobs.mechanics.stem import StemResult, Tree, frustums, refuse_tree, stem_axis, stem_of
from jobs.mechanics.wind import Push, Wind, gust_loads, gust_moment


@dataclass(frozen=True, slots=True)
class Situation:
    """The inputs, the results of sections 1 to 4, and the points and forces they share.

    `diameter_m` is the hinge object's diameter, or that under bark at the hinge; `loads` are the gust's forces with
    their places relative to the origin; `wind_moment_n_m` is M_w with the stem at rest.
    """

    tree: Tree
    hinge: Hinge
    line: Line
    wind: Wind
    stem: StemResult
    section: HingeResult
    route: Route
    geometry: LineResult
    axis: Vector
    diameter_m: float
    loads: tuple[Push, ...]
    wind_moment_n_m: float

    @property
    def centre(self) -> Vector:
        """Centre of gravity of stem and crown."""
        return Vector(*self.stem.centre_of_gravity_m)

    @property
    def radius_m(self) -> float:
        """Radius of the stem at the hinge, under bark."""
        return 0.5 * self.diameter_m


def situation(tree: Tree, hinge: Hinge, line: Line, wind: Wind) -> Situation:
    """Work out stem, hinge, line and gust once.

    Errors: Refused, in this order: the stem's, the attachment's, the hinge's, line-geometry, unknown:gust.
    Range: as stem, hinge, line and wind.
    Source: MODEL-01.
    """
    refuse_tree(tree)
    pieces = frustums(tree)
    trunk = stem_of(tree, pieces)
    refuse_attachment(tree, line)
    diameter = hinge.stem_diameter_m if hinge.stem_diameter_m is not None else trunk.hinge_diameter_under_bark_m
    section = hinge_of(hinge, diameter)
    route = route_of(tree, line)
    geometry = line_of(route, section.hinge_line_x_m)
    loads = gust_loads(tree, wind, pieces)
    return Situation(
        tree=tree,
        hinge=hinge,
        line=line,
        wind=wind,
        stem=trunk,
        section=section,
        route=route,
        geometry=geometry,
        axis=stem_axis(tree),
        diameter_m=diameter,
        loads=loads,
        wind_moment_n_m=float(gust_moment(loads)),
    )
