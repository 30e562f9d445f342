"""What each role of the load path carries, and what anchors that are one and the same carry together."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from jobs.mechanics.axis import difference, length_of, scaled
from jobs.mechanics.line import Line, Redirect, Route, SitePoint, site_place
from jobs.mechanics.numeric import Vector
from jobs.mechanics.plan.input import PlanInput, TensionGauge
from jobs.mechanics.plan.result import SideLineResult
from jobs.mechanics.resultants import hitch_leg
from jobs.mechanics.roles import ROLES, Role, find_role
from jobs.mechanics.stem import Tree
from jobs.mechanics.tackle import TackleResult


@dataclass(frozen=True, slots=True, kw_only=True)
class PathForces:
    """The figures the loads of the roles are made from; side and restraint are None where there is no such line."""

    stem_tension_n: float
    tackle_tension_n: float
    hitch_spread_deg: float
    tackle: TackleResult
    tension_gauge: TensionGauge
    redirect_load_ratios: tuple[float, ...]
    side: SideLineResult | None
    side_redirect_load_ratios: tuple[float, ...]
    restraint_peak_n: float | None

    @property
    def has_side(self) -> bool:
        """Whether a side line works and so loads its roles."""
        return self.side is not None and self.side.side_tension_n is not None

    @property
    def has_restraint(self) -> bool:
        """Whether a restraint line is loaded."""
        return self.restraint_peak_n is not None and self.restraint_peak_n > 0


def role_loads(forces: PathForces) -> dict[str, float]:
    """Own load of every role of this plan's path, optional ones included [N], in the order of the list.

    Range: non-negative tensions; refuses hitch-spread.
    Source: STATICS-02.
    """
    loads: dict[str, float] = {}
    for role in ROLES:
        for number in range(1, _count(role, forces) + 1):
            loads[role.numbered(number)] = _load(role, number, forces)
    return loads


def _count(role: Role, forces: PathForces) -> int:
    match role.need:
        case "always" | "optional":
            return 1
        case "gauge" | "gauge_optional":
            return int(forces.tension_gauge != "none")
        case "redirect":
            return len(forces.redirect_load_ratios)
        case "side":
            return int(forces.has_side)
        case "side_redirect":
            return len(forces.side_redirect_load_ratios) if forces.has_side else 0
        case "restraint":
            return int(forces.has_restraint)


def _load(role: Role, number: int, forces: PathForces) -> float:
    first = forces.tackle.stages[0]
    side_n = forces.side.side_tension_n if forces.side is not None else None
    bollard_n = forces.side.side_bollard_tension_n if forces.side is not None else None
    match role.load:
        case "stem_tension":
            return forces.stem_tension_n
        case "tackle_tension":
            return forces.tackle_tension_n
        case "hitch_leg":
            return float(hitch_leg(forces.tackle_tension_n, forces.hitch_spread_deg))
        case "fixed_block_design":
            return first.fixed_block_design_load_n
        case "greatest_part":
            return first.greatest_part_tension_n
        case "cleat_design":
            return first.cleat_design_force_n
        case "redirect":
            return forces.redirect_load_ratios[number - 1] * forces.stem_tension_n
        case "gauge":
            in_line = forces.tension_gauge == "in_line"
            return forces.tackle_tension_n if in_line else forces.tackle.hauling_force_n
        case "side_tension":
            return side_n or 0.0
        case "side_bollard_tension":
            return bollard_n or 0.0
        case "side_redirect":
            return forces.side_redirect_load_ratios[number - 1] * (side_n or 0.0)
        case "restraint_peak":
            return forces.restraint_peak_n or 0.0


def anchor_directions(tree: Tree, line: Line, route: Route) -> tuple[tuple[Vector, ...], Vector]:
    """Force on each redirect per newton at the stem, and the unit vector from the anchor along the last leg.

    T (towards the corner before) + T' (towards the corner after), T' = T / eta
    Range: a line with legs of some length.
    Source: STATICS-02.
    """
    points: list[Redirect | SitePoint] = [*line.redirects, line.anchor]
    corners = [route.attach, *(site_place(point, tree) for point in points)]
    units = []
    for tail, head in pairwise(corners):
        leg = difference(tail, head)
        units.append(scaled(leg, 1.0 / float(length_of(leg))))
    tension, pulls = 1.0, []
    for (before, after), ratio in zip(pairwise(units), route.efficiencies, strict=True):
        pulls.append(difference(scaled(before, tension), scaled(after, tension / ratio)))
        tension /= ratio
    return tuple(pulls), units[-1]


def shared_anchor_loads(
    plan_input: PlanInput,
    loads_n: Mapping[str, float],
    *,
    pull_route: Route,
    side_route: Route | None,
    stem_tension_n: float,
    side_tension_n: float | None,
) -> dict[str, float]:
    """Load of each anchor role [N], summed as vectors over the anchor roles whose items bear the same name.

    |sum of the vectors| + restraint_anchor's load, whose direction is not known
    Range: anchors of the path with an item; a name that is not given is no name.
    Source: STATICS-02.
    """
    vectors = _pull_vectors(plan_input, loads_n, pull_route, stem_tension_n)
    if plan_input.side_line is not None and side_route is not None and side_tension_n is not None:
        vectors |= _side_vectors(plan_input, plan_input.side_line, loads_n, route=side_route, tension_n=side_tension_n)
    anchors = [name for name in loads_n if _is_anchor(name) and name in plan_input.items]
    sums = {}
    for name in anchors:
        own_name = plan_input.items[name].anchor_name
        together = [other for other in anchors if own_name and plan_input.items[other].anchor_name == own_name]
        sums[name] = _sum_length(together, vectors, loads_n) if len(together) > 1 else loads_n[name]
    return sums


def _is_anchor(name: str) -> bool:
    role = find_role(name)
    return role is not None and role.is_anchor


def _pull_vectors(
    plan_input: PlanInput, loads_n: Mapping[str, float], route: Route, stem_tension_n: float
) -> dict[str, Vector]:
    redirects, towards_stem = anchor_directions(plan_input.tree, plan_input.line, route)
    vectors = {name: scaled(towards_stem, loads_n[name]) for name in ("anchor", "bollard_anchor")}
    for number, pull in enumerate(redirects, start=1):
        vectors[f"redirect_anchor_{number}"] = scaled(pull, stem_tension_n)
    return vectors


def _side_vectors(
    plan_input: PlanInput, line: Line, loads_n: Mapping[str, float], *, route: Route, tension_n: float
) -> dict[str, Vector]:
    redirects, towards_stem = anchor_directions(plan_input.tree, line, route)
    vectors = {"side_anchor": scaled(towards_stem, loads_n["side_anchor"])}
    for number, pull in enumerate(redirects, start=1):
        vectors[f"side_redirect_anchor_{number}"] = scaled(pull, tension_n)
    return vectors


def _sum_length(names: Sequence[str], vectors: Mapping[str, Vector], loads_n: Mapping[str, float]) -> float:
    known = [vectors[name] for name in names if name in vectors]
    length = math.hypot(
        math.fsum(float(vector.x) for vector in known),
        math.fsum(float(vector.y) for vector in known),
        math.fsum(float(vector.z) for vector in known),
    )
    return length + math.fsum(loads_n[name] for name in names if name not in vectors)
