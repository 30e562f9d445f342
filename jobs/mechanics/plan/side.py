"""The side line that holds a stem against its side lean."""

from __future__ import annotations

import math

from jobs.mechanics.axis import side_arm, tipping_arm
from jobs.mechanics.checks import falls_short
from jobs.mechanics.defaults import MIN_SIDE_LEVER_RATIO, SIDE_LINE_FACTOR
from jobs.mechanics.line import Line, Route, refuse_attachment, route_of
from jobs.mechanics.numeric import Vector
from jobs.mechanics.plan.result import SideLineResult
from jobs.mechanics.situation import Situation

UPRIGHT_M = 1e-6  # a centre of gravity this near to the middle leans to neither side


def side_route(state: Situation, line: Line) -> Route:
    """Legs and friction of the side line.

    Range: refuses attach-above-sound-wood, attach-outside-stem, attach-too-thin as the pull line does.
    Source: ROPE-01, ROPE-02.
    """
    refuse_attachment(state.tree, line)
    return route_of(state.tree, line)


def side_moment(state: Situation, stem_tension_n: float) -> float:
    """Moment to the lean's side that the side line holds [N m]; the hinge is ignored.

    W |y_cg| + M_w + what the pull line adds on that side
    Range: stem upright, before it moves.
    Source: STATICS-01.
    """
    aside = float(state.centre.y)
    pull = stem_tension_n * state.geometry.side_arm_m
    # A positive moment about x tips to the right, where y is negative.
    toward = abs(pull) if abs(aside) <= UPRIGHT_M else max(0.0, -math.copysign(1.0, aside) * pull)
    return state.stem.weight_n * abs(aside) + state.wind_moment_n_m + toward


def side_line(state: Situation, route: Route, stem_tension_n: float) -> SideLineResult:
    """Tension of the side line at the stem and at its bollard [N]; None where it does not work.

    T_side = 1.5 moment / arm; it works when arm >= 0.5 of the attach point's distance from the hinge in its plane
    Range: straight legs, stem upright.
    Source: STATICS-01, PANEL-01.
    """
    place = Vector(float(route.attach.x) - state.section.hinge_line_x_m, route.attach.y, route.attach.z)
    per_newton = float(side_arm(place, route.direction))
    aside = float(state.centre.y)
    arm = abs(per_newton) if abs(aside) <= UPRIGHT_M else math.copysign(1.0, aside) * per_newton
    moment = side_moment(state, stem_tension_n)
    works = not falls_short(arm, MIN_SIDE_LEVER_RATIO * math.hypot(float(place.y), float(place.z)))
    tension = SIDE_LINE_FACTOR * moment / arm if works else None
    efficiency = route.efficiency_ratio
    return SideLineResult(
        side_moment_n_m=moment,
        side_arm_m=arm,
        forward_arm_m=float(tipping_arm(place, route.direction)),
        side_line_efficiency=efficiency,
        side_tension_n=tension,
        side_bollard_tension_n=None if tension is None else tension / efficiency,
    )
