"""What stands on site: power lines within reach, and anchors nobody has looked at."""

import math
from collections.abc import Iterator
from itertools import pairwise

from jobs.mechanics.roles import role_title
from jobs.models import Hazard, HazardKind, PowerLineControl
from jobs.plans.data import PlanData
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter

REACH_HEIGHTS = 2.0  # from the stump and from every rope

Point = tuple[float, float]


def plan_point(distance_m: float, bearing_deg: float) -> Point:
    """East and north of the stump [m]."""
    bearing = math.radians(bearing_deg)
    return distance_m * math.sin(bearing), distance_m * math.cos(bearing)


def distance_to_leg(point: Point, start: Point, end: Point) -> float:
    """Least distance in plan from a point to a leg of rope [m]."""
    (px, py), (ax, ay), (bx, by) = point, start, end
    length2 = (bx - ax) ** 2 + (by - ay) ** 2
    share = 0.0 if length2 == 0 else max(0.0, min(1.0, ((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / length2))
    return math.hypot(px - ax - share * (bx - ax), py - ay - share * (by - ay))


def rope_legs(plan_data: PlanData) -> list[tuple[Point, Point]]:
    """Every leg of rope in plan, where its ends are known."""
    plan, legs = plan_data.plan, []
    stump: Point = (0.0, 0.0)
    if plan.anchor_distance_m is not None and plan.anchor_azimuth_deg is not None:
        path = [stump, *(plan_point(r.distance_m, r.azimuth_deg) for r in plan_data.pull_redirects)]
        path.append(plan_point(plan.anchor_distance_m, plan.anchor_azimuth_deg))
        legs += list(pairwise(path))
    if plan.side_line and plan.side_anchor_distance_m is not None and plan.side_anchor_azimuth_deg is not None:
        path = [stump, *(plan_point(r.distance_m, r.azimuth_deg) for r in plan_data.side_redirects)]
        path.append(plan_point(plan.side_anchor_distance_m, plan.side_anchor_azimuth_deg))
        legs += list(pairwise(path))
    return legs


def total_height_m(plan_data: PlanData) -> float | None:
    """Height of the tree: the greater of the measured total and the last section."""
    known = [s.height_m for s in plan_data.sections]
    if plan_data.stem.tree_height_m is not None:
        known.append(plan_data.stem.tree_height_m)
    return max(known, default=None)


def hazard_findings(plan_data: PlanData, write: UnitFormatter) -> Iterator[Finding]:
    """reach-of-power-line: within two heights of the stump or of any rope, and not yet made safe to work near."""
    height_m = total_height_m(plan_data)
    for hazard in plan_data.hazards:
        if hazard.kind == HazardKind.OVERHEAD_LINE and hazard.power_line_control == PowerLineControl.NONE:
            yield from reach_findings(hazard, plan_data, height_m, write)


def reach_findings(
    hazard: Hazard, plan_data: PlanData, height_m: float | None, write: UnitFormatter
) -> Iterator[Finding]:
    at = plan_point(hazard.distance_m, hazard.bearing_deg)
    nearest_m = min([hazard.distance_m, *(distance_to_leg(at, a, b) for a, b in rope_legs(plan_data))])
    if height_m is not None and nearest_m > REACH_HEIGHTS * height_m + 1e-9:
        return
    limit = write.length(REACH_HEIGHTS * height_m) if height_m is not None else "two heights, which are not known"
    yield Finding(
        code="reach-of-power-line",
        severity="refusal",
        area="site",
        title=f"{hazard.description}: power line within reach",
        text=f"{write.length(nearest_m)} from the stump or a rope, the limit is {limit}.",
        cure="Have the network operator isolate or shroud it, or agree the way of working in writing.",
        field="hazards",
        danger=1,
        facts={"distance_m": nearest_m},
    )


def anchor_findings(plan_data: PlanData) -> Iterator[Finding]:
    """anchor-unchecked: an anchor in the load path whose checks are not all ticked."""
    for role, assignment in sorted(plan_data.in_place().items()):
        anchor = assignment.anchor
        if anchor is None or not anchor.open_checks():
            continue
        yield Finding(
            code="anchor-unchecked",
            subject=role,
            severity="refusal",
            area="gear",
            title=f"{anchor.name}: not looked at",
            text=f"{role_title(role)}, still open: {'; '.join(anchor.open_checks())}.",
            cure="Look at the anchor on site and tick what was found in order, or choose another.",
            item=anchor.name,
            danger=2,
        )
