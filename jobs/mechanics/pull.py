"""The tension it takes to pull the stem over, over the whole rotation (section 5)."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import brentq

from jobs.mechanics import defaults
from jobs.mechanics.checks import exceeds, require_between
from jobs.mechanics.errors import Refused
from jobs.mechanics.hinge import Hinge, elastic_modulus_for, hinge_line
from jobs.mechanics.line import Line
from jobs.mechanics.numeric import FloatArray, Real, negative_part
from jobs.mechanics.rotation import (
    Body,
    Margins,
    Turn,
    angle_grid,
    body_about,
    loses_lever,
    moment_demand,
    tension_for,
    turned,
)
from jobs.mechanics.situation import Situation, situation
from jobs.mechanics.stem import Tree
from jobs.mechanics.wind import Wind

# Thicknesses scanned at a time: few enough that the arrays stay in the processor's cache.
_BLOCK_ROWS = 16
# Steps of the scan between two angles of a coarse look: 5 degrees.
_COARSE_STEP = 50

__all__ = ["Margins", "PullResult", "PullRow", "Scan", "max_tension", "pull", "pull_of", "scan_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PullRow:
    """Tension, lever arm and line taken in at one angle."""

    angle_deg: float
    tension_n: float
    lever_arm_m: float
    travel_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PullResult:
    """What it takes to pull the stem over; tensions are at the stem unless named otherwise."""

    required_tension_upright_n: float
    required_tension_n: float
    governing_angle_deg: float
    balance_angle_deg: float
    self_falling_angle_deg: float | None
    end_angle_deg: float
    tip_travel_m: float
    balance_travel_m: float
    never_falls_by_itself: bool
    hold_critical: bool
    side_lean_deg: float
    hinge_moment_n_m: float
    wind_moment_n_m: float
    gravity_moment_n_m: float
    lever_arm_m: float
    tackle_tension_n: float
    hinge_compression_n: float
    hinge_axial_stress_pa: float
    side_moment_n_m: float
    side_utilisation_ratio: float
    table: tuple[PullRow, ...] | None = field(default=None, metadata={"omit_none": True})


@dataclass(frozen=True, slots=True)
class Scan:
    """A situation turned through the whole rotation in steps of 0.1 degree: geometry only, no margins, no hinge.

    Made once; other margins and other hinge moments cost a few array operations each (`max_tension`).
    """

    situation: Situation
    body: Body
    angles_deg: FloatArray
    turn: Turn

    @property
    def end_deg(self) -> float:
        """Angle at which the notch closes and the hinge is taken to break."""
        return float(self.angles_deg[-1])


def end_angle_deg(hinge: Hinge) -> float:
    """Angle at which the notch closes [deg].

    min(notch opening, 90)
    Range: opening above 0.
    Source: MODEL-01.
    """
    return min(hinge.notch_opening_deg, defaults.MAX_ROTATION_DEG)


def body_of(state: Situation, hinge_line_x_m: Real) -> Body:
    """What turns in this situation, about a hinge line at x; a column of x serves a grid of hinges.

    Range: a turn of at most 90 degrees.
    Source: GEOMETRY-03.
    """
    return body_about(
        hinge_line_x_m,
        state.centre,
        state.route.attach,
        state.route.first_point,
        weight_n=state.stem.weight_n,
        loads=state.loads,
        end_deg=end_angle_deg(state.hinge),
    )


def scan_of(state: Situation) -> Scan:
    """Turn the situation through its whole rotation.

    Range: 0 degrees to the closing of the notch, 90 at most.
    Source: STATICS-01.
    """
    angles, cosines, sines = angle_grid(end_angle_deg(state.hinge), defaults.PULL_STEP_DEG)
    body = body_of(state, state.section.hinge_line_x_m)
    return Scan(state, body, angles, turned(body, cosines, sines))


def demand_in(turn: Turn, hinge_moment_n_m: Real, margins: Margins) -> Real:
    """Moment the line must give at the angles of a turn [N m].

    Range: any.
    Source: STATICS-01.
    """
    return moment_demand(turn.gravity_moment_n_m, turn.wind_moment_n_m, hinge_moment_n_m, margins)


def tensions(scan: Scan, hinge_moment_n_m: float, margins: Margins) -> tuple[FloatArray, FloatArray]:
    """Demand [N m] and tension [N] at every angle of the scan, for a hinge moment and margins.

    T = 0 where N <= 0, else N/arm
    Errors: Refused line-loses-lever.
    Range: the scan's angles.
    Source: STATICS-01.
    """
    demand = np.asarray(demand_in(scan.turn, hinge_moment_n_m, margins))
    lost = np.asarray(loses_lever(demand, scan.turn.lever_arm_m, scan.body.reach_m))
    if lost.any():
        angle = float(scan.angles_deg[int(lost.argmax())])
        raise Refused(
            "line-loses-lever",
            f"Tension is still needed at {angle:.1f}°, where the line no longer pulls over.",
            {"angle_deg": angle},
        )
    return demand, np.asarray(tension_for(demand, scan.turn.lever_arm_m))


def max_tension(scan: Scan, *, hinge_moment_n_m: float, margins: Margins) -> float:
    """Greatest tension over the rotation for a hinge moment and margins [N]; the crew's task is one such.

    max over theta of N/arm
    Errors: Refused line-loses-lever.
    Range: the scan's angles.
    Source: STATICS-01.
    """
    return float(tensions(scan, hinge_moment_n_m, margins)[1].max())


def max_tensions_by_thickness(
    state: Situation, thicknesses_m: Sequence[float], margins: Margins, *, every: int = 1
) -> FloatArray:
    """Greatest tension [N] for each of a grid of hinge thicknesses, with the crew's hinge moment mor_high W_el.

    Only the hinge line and the hinge moment change with the thickness. A thickness at which the line loses its lever
    gives infinity: a refusal counts as not sufficing. `every` 50 looks at one angle of the scan in fifty, which gives
    a lower bound. Thicknesses must pass `refuse_hinge`.
    Range: thicknesses above 0.
    Source: STATICS-01, BEAM-01.
    """
    grid, rows = np.asarray(thicknesses_m, dtype=np.float64), _BLOCK_ROWS * every
    blocks = [grid[start : start + rows, None] for start in range(0, grid.size, rows)]
    return np.concatenate([_max_tensions(state, block, margins, every) for block in blocks] or [grid])


def _max_tensions(state: Situation, column: FloatArray, margins: Margins, every: int) -> FloatArray:
    """Greatest tension for a column of hinge thicknesses, each over the angles of the turn."""
    _, cosines, sines = angle_grid(end_angle_deg(state.hinge), defaults.PULL_STEP_DEG)
    body = body_of(state, hinge_line(state.section.notch_apex_x_m, column))
    turn = turned(body, cosines[::every], sines[::every])
    moments = state.section.rupture_modulus_high_pa * elastic_modulus_for(state.hinge, state.diameter_m, column)
    demand = np.asarray(demand_in(turn, moments, margins))
    lost = np.asarray(loses_lever(demand, turn.lever_arm_m, body.reach_m)).any(axis=1)
    greatest = np.asarray(tension_for(demand, turn.lever_arm_m)).max(axis=1)
    return np.where(lost, np.inf, greatest)


def possible_thicknesses(
    state: Situation, thicknesses_m: Sequence[float], margins: Margins, *, tension_limit_n: float
) -> tuple[float, ...]:
    """Hinge thicknesses that a coarse look at one angle in fifty does not rule out for a limit of tension [m].

    No tension over the whole turn is below one on part of it: what is ruled out here passes the limit in the full
    scan as well, at a small part of its cost. The hinge moment is the crew's, mor_high W_el.
    Range: thicknesses that `refuse_hinge` passes.
    Source: STATICS-01, BEAM-01.
    """
    coarse = max_tensions_by_thickness(state, thicknesses_m, margins, every=_COARSE_STEP)
    pairs = zip(thicknesses_m, coarse.tolist(), strict=True)
    return tuple(thickness for thickness, tension in pairs if not exceeds(tension, tension_limit_n))


def self_falling_angle_deg(
    scan: Scan, demand_n_m: FloatArray, hinge_moment_n_m: float, margins: Margins
) -> float | None:
    """Angle from which gravity alone carries the stem on [deg]; 0 from the start, None never.

    The root of N after the last angle of the scan with N > 0.
    Range: the scan's angles.
    Source: STATICS-01.
    """
    needed = np.flatnonzero(demand_n_m > 0.0)
    if not needed.size:
        return 0.0
    last = int(needed[-1])
    if last == len(demand_n_m) - 1:
        return None

    def demand_at(angle_deg: float) -> float:
        turn = turn_at(scan, angle_deg)
        return float(demand_in(turn, hinge_moment_n_m, margins))

    low, high = float(scan.angles_deg[last]), float(scan.angles_deg[last + 1])
    if demand_at(low) <= 0.0:
        return low
    return high if demand_at(high) >= 0.0 else float(brentq(demand_at, low, high, xtol=1e-10))


def turn_at(scan: Scan, angle_deg: float) -> Turn:
    """The scan's situation at one angle of the turn.

    Range: 0 to 90 degrees.
    Source: STATICS-01.
    """
    angle_rad = math.radians(angle_deg)
    return turned(scan.body, math.cos(angle_rad), math.sin(angle_rad))


def balance_angle_deg(scan: Scan) -> float:
    """Angle at which the centre of gravity stands over the hinge line [deg]; 0 if it is there from the start.

    max(0, atan2(-x_cg, z_cg)) about the hinge line
    Range: any.
    Source: STATICS-04.
    """
    centre = scan.body.centre
    return max(0.0, math.degrees(math.atan2(-float(centre.x), float(centre.z))))


def side_lean_deg(state: Situation) -> float:
    """Lean of the centre of gravity to the side [deg].

    atan2(|y_cg|, z_cg) about the origin
    Range: any.
    Source: STATICS-04.
    """
    return math.degrees(math.atan2(abs(float(state.centre.y)), float(state.centre.z)))


def side_demand(state: Situation, tension_upright_n: float) -> float:
    """Moment to the side that the hinge must hold with the stem at rest [N m].

    |-W y_cg + T side_arm| + M_w, the gust from the side
    Range: stem at rest.
    Source: STATICS-01.
    """
    static = tension_upright_n * state.geometry.side_arm_m - state.stem.weight_n * float(state.centre.y)
    return abs(static) + state.wind_moment_n_m


def pull_of(scan: Scan, margins: Margins, table_angles_deg: Sequence[float] = ()) -> PullResult:
    """Required tension over the rotation, from a scan.

    Errors: Refused line-loses-lever; OutOfRange for a table angle outside the rotation.
    Range: the scan's angles; quasi-static.
    Source: STATICS-01, STATICS-03, MODEL-01.
    """
    state, turn = scan.situation, scan.turn
    hinge_moment = state.section.plastic_moment_high_n_m
    demand, tension = tensions(scan, hinge_moment, margins)
    legs = np.asarray(turn.leg_m)
    upright, governing = float(tension[0]), int(tension.argmax())
    balance, falling = balance_angle_deg(scan), self_falling_angle_deg(scan, demand, hinge_moment, margins)
    leg_at_rest = float(legs[0])
    gravity, arms = np.asarray(turn.gravity_moment_n_m), np.asarray(turn.lever_arm_m)
    at_end = turn_at(scan, scan.end_deg)
    compression = state.stem.weight_n + upright * state.geometry.compression_ratio
    side_moment = side_demand(state, upright)
    side_limit = defaults.SIDE_MOMENT_SHARE_RATIO * state.section.side_moment_low_n_m
    return PullResult(
        required_tension_upright_n=upright,
        required_tension_n=float(tension[governing]),
        governing_angle_deg=float(scan.angles_deg[governing]),
        balance_angle_deg=balance,
        self_falling_angle_deg=falling,
        end_angle_deg=scan.end_deg,
        tip_travel_m=leg_at_rest - float(turn_at(scan, scan.end_deg if falling is None else falling).leg_m),
        balance_travel_m=leg_at_rest - float(turn_at(scan, min(balance, scan.end_deg)).leg_m),
        never_falls_by_itself=exceeds(float(demand_in(at_end, state.section.elastic_moment_mean_n_m, margins)), 0.0),
        hold_critical=exceeds(
            float(negative_part(float(gravity[0]))) + state.wind_moment_n_m, state.section.elastic_moment_low_n_m
        ),
        side_lean_deg=side_lean_deg(state),
        hinge_moment_n_m=hinge_moment,
        wind_moment_n_m=state.wind_moment_n_m,
        gravity_moment_n_m=float(gravity[0]),
        lever_arm_m=float(arms[0]),
        tackle_tension_n=float(tension[governing]) / state.geometry.line_efficiency,
        hinge_compression_n=compression,
        hinge_axial_stress_pa=compression / state.section.area_m2,
        side_moment_n_m=side_moment,
        side_utilisation_ratio=side_moment / side_limit,
        table=pull_rows(scan, margins, table_angles_deg) if table_angles_deg else None,
    )


def pull_rows(scan: Scan, margins: Margins, table_angles_deg: Sequence[float]) -> tuple[PullRow, ...]:
    """Tension, lever arm and travel at the angles asked for.

    Errors: OutOfRange for an angle outside the rotation: beyond it the hinge is broken and no tension is defined.
    Range: the scan's angles.
    Source: STATICS-01.
    """
    at_rest, rows = turn_at(scan, 0.0), []
    for number, angle in enumerate(table_angles_deg):
        require_between(f"table_angles_deg[{number}]", angle, 0.0, scan.end_deg)
        turn = turn_at(scan, angle)
        demand = float(demand_in(turn, scan.situation.section.plastic_moment_high_n_m, margins))
        row = PullRow(
            angle_deg=angle,
            tension_n=float(tension_for(demand, float(turn.lever_arm_m))),
            lever_arm_m=float(turn.lever_arm_m),
            travel_m=float(at_rest.leg_m) - float(turn.leg_m),
        )
        rows.append(row)
    return tuple(rows)


def pull(
    tree: Tree,
    hinge: Hinge,
    line: Line,
    wind: Wind,
    *,
    margins: Margins | None = None,
    table_angles_deg: Sequence[float] = (),
) -> PullResult:
    """Least tension that pulls the stem over, over the whole rotation (section 5).

    N = k_m (max(0, -M_g) + M_w + M_h) - k_a max(0, M_g); T = N/arm, the greatest from 0 to the closing of the notch
    Errors: Refused, in this order: the stem's, the attachment's, the hinge's, line-geometry, unknown:gust,
    line-loses-lever; OutOfRange for a table angle outside the rotation.
    Range: quasi-static. Not covered: a hung-up tree, a stem that rolls off the hinge, the snatch of a slack line.
    Source: STATICS-01, STATICS-03, MODEL-01.
    """
    scan = scan_of(situation(tree, hinge, line, wind))
    return pull_of(scan, margins if margins is not None else Margins(), table_angles_deg)
