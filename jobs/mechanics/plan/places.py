"""Where people stand: out of the fall zone, out of the line of the rope, out of its bights."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jobs.mechanics.checks import COMPARISON_SLACK, exceeds, falls_short
from jobs.mechanics.findings.collected import Findings
from jobs.mechanics.limits import IN_LINE_SECTOR_DEG, NEAR_FALL_ZONE_RATIO, TENDER_CLEARANCE_M
from jobs.mechanics.line import Line, Redirect, SitePoint
from jobs.mechanics.plan.input import Place

Spot = tuple[float, float]

HITCH_TENDER = "hitch_tender"
NEEDED_PLACES = ("haulers", "bollard_tender", HITCH_TENDER)
SIDE_TENDER = "side_tender"


def spot(point: Place | SitePoint | Redirect) -> Spot:
    """East and north of a point from the stump [m].

    Range: any distance and azimuth.
    Source: GEOMETRY-03.
    """
    azimuth = math.radians(point.azimuth_deg)
    return point.distance_m * math.sin(azimuth), point.distance_m * math.cos(azimuth)


def rope_path(line: Line) -> tuple[Spot, ...]:
    """Stump, redirects and anchor in plan view [m].

    Range: any line.
    Source: GEOMETRY-03.
    """
    return ((0.0, 0.0), *(spot(redirect) for redirect in line.redirects), spot(line.anchor))


def hitch_tender_spot(line: Line, extended_length_m: float) -> Spot:
    """Where the hitch minder works with the tackle fully extended, in plan view [m].

    extended length + 1 m from the anchor towards the last redirect, or the stump, not beyond it
    Range: extended length >= 0.
    Source: PANEL-01.
    """
    *_, before, anchor = rope_path(line)
    leg_m = math.dist(before, anchor)
    if leg_m == 0.0:
        return anchor
    share = min(1.0, (extended_length_m + TENDER_CLEARANCE_M) / leg_m)
    return anchor[0] + share * (before[0] - anchor[0]), anchor[1] + share * (before[1] - anchor[1])


def is_behind_anchor(where: Spot, path: Sequence[Spot]) -> bool:
    """Whether a place is at the anchor, or within 15 degrees of the last leg prolonged, seen from the anchor.

    Range: a path of two points or more.
    Source: PANEL-01.
    """
    before, anchor = path[-2], path[-1]
    ahead = (anchor[0] - before[0], anchor[1] - before[1])
    there = (where[0] - anchor[0], where[1] - anchor[1])
    if math.hypot(*ahead) <= COMPARISON_SLACK:
        return False
    across = abs(ahead[0] * there[1] - ahead[1] * there[0])
    along = ahead[0] * there[0] + ahead[1] * there[1]
    return not exceeds(math.degrees(math.atan2(across, along)), IN_LINE_SECTOR_DEG)


def is_in_bight(where: Spot, path: Sequence[Spot]) -> bool:
    """Whether a place is inside or on the triangle of a redirect and its two neighbours on the path.

    Range: any path; without a redirect there is no bight.
    Source: PANEL-01.
    """
    return any(_in_triangle(where, *corners) for corners in zip(path, path[1:], path[2:], strict=False))


def _in_triangle(where: Spot, a: Spot, b: Spot, c: Spot) -> bool:
    sides = ((a, b), (b, c), (c, a))
    # Distances to the sides' lines, positive to the left: all of one sign inside. A flat triangle is its longest side.
    turns = [_cross(start, end, where) / (math.dist(start, end) or 1.0) for start, end in sides]
    height_m = abs(_cross(a, b, c)) / (max(math.dist(start, end) for start, end in sides) or 1.0)
    if height_m > COMPARISON_SLACK:
        return min(turns) >= -COMPARISON_SLACK or max(turns) <= COMPARISON_SLACK
    return any(_on_segment(where, start, end) for start, end in sides)


def _cross(start: Spot, end: Spot, where: Spot) -> float:
    return (end[0] - start[0]) * (where[1] - start[1]) - (end[1] - start[1]) * (where[0] - start[0])


def _on_segment(where: Spot, start: Spot, end: Spot) -> bool:
    return math.dist(start, where) + math.dist(where, end) <= math.dist(start, end) + COMPARISON_SLACK


def check_places(
    findings: Findings,
    places: Sequence[Place],
    line: Line,
    *,
    height_m: float,
    extended_length_m: float | None,
    has_side_line: bool,
) -> float | None:
    """Note every place that is missing, in the fall zone, near it, or in line of the rope.

    Returns the hitch minder's distance from the stump [m], worked out from the tackle's length, or None without it.
    Range: height above 0.
    Source: PANEL-01.
    """
    is_computed = extended_length_m is not None
    listed = [place for place in places if not (is_computed and place.place == HITCH_TENDER)]
    _note_missing(findings, {place.place for place in listed}, is_computed=is_computed, has_side_line=has_side_line)
    path = rope_path(line)
    for place in listed:
        if not place.exempt:
            _note_fall_zone(findings, place.place, place.distance_m, height_m)
        where = spot(place)
        if is_behind_anchor(where, path):
            findings.note("in-line-of-rope", place.place, where="behind the anchor")
        elif is_in_bight(where, path):
            findings.note("in-line-of-rope", place.place, where="inside the bight of a redirect")
    if extended_length_m is None:
        return None
    tender_m = math.hypot(*hitch_tender_spot(line, extended_length_m))
    _note_fall_zone(findings, HITCH_TENDER, tender_m, height_m)
    return tender_m


def _note_missing(findings: Findings, listed: set[str], *, is_computed: bool, has_side_line: bool) -> None:
    needed = [*NEEDED_PLACES, SIDE_TENDER] if has_side_line else [*NEEDED_PLACES]
    for name in needed:
        if name not in listed and not (is_computed and name == HITCH_TENDER):
            findings.note("place-missing", name)


def _note_fall_zone(findings: Findings, name: str, distance_m: float, height_m: float) -> None:
    near_m = NEAR_FALL_ZONE_RATIO * height_m
    if falls_short(distance_m, height_m):
        findings.note("crew-in-fall-zone", name, distance_m=distance_m, limit_m=height_m)
    elif falls_short(distance_m, near_m):
        findings.note("crew-near-fall-zone", name, distance_m=distance_m, limit_m=near_m)
