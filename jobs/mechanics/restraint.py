"""A log held on a slope: what its line carries when it comes tight, and where the log stops."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from jobs.mechanics.checks import require_between, require_not_negative, require_positive
from jobs.mechanics.defaults import ROLLING_RESISTANCE_COEFF, STANDARD_GRAVITY_M_S2
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.numeric import Real, cos, radians, sin
from jobs.mechanics.travel import RopeStretch

ROLLING_MASS_FACTOR = 1.5  # solid cylinder rolling without slip: m + I/r^2 = 1.5 m
OMIT = {"omit_none": True}

Attachment = Literal["axis", "top_tangent"]


@dataclass(frozen=True, slots=True)
class Restraint:
    """A log on a slope and its line: a rope of known length, or a stiffness in its place.

    `slack_m` is travel of the log's centre before the line tightens; the lead angle is the line's above the slope.
    """

    mass_kg: float
    slope_deg: float
    attachment: Attachment
    rolling_resistance_coeff: float = ROLLING_RESISTANCE_COEFF
    rope: RopeStretch | None = None
    length_m: float | None = None
    stiffness_n_m: float | None = None
    slack_m: float = 0.0
    lead_angle_deg: float = 0.0
    slip_force_n: float | None = None

    def __post_init__(self) -> None:
        require_positive("mass_kg", self.mass_kg)
        require_between("slope_deg", self.slope_deg, -90.0, 90.0)
        require_not_negative("rolling_resistance_coeff", self.rolling_resistance_coeff)
        require_positive("length_m", self.length_m)
        require_positive("stiffness_n_m", self.stiffness_n_m)
        require_not_negative("slack_m", self.slack_m)
        require_between("lead_angle_deg", self.lead_angle_deg, 0.0, 60.0)
        require_positive("slip_force_n", self.slip_force_n)
        if self.stiffness_n_m is None:
            missing = "rope" if self.rope is None else "length_m" if self.length_m is None else None
            if missing is not None:
                raise OutOfRange(missing, None, "a value", "a value")


@dataclass(frozen=True, slots=True)
class RestraintResult:
    """Stiffness and speed are left out where the slope does not drive the log."""

    driving_force_n: float
    stiffness_n_m: float | None = field(metadata=OMIT)
    static_tension_n: float
    tightening_speed_m_s: float | None = field(metadata=OMIT)
    stretch_m: float
    peak_tension_n: float
    slips: bool
    run_out_m: float
    stop_distance_m: float


def driving_force(mass_kg: Real, slope_deg: Real, rolling_resistance_coeff: Real) -> Real:
    """Force that drives a log down a slope [N]; not above 0 where it stays.

    F = m g (sin gamma - c_rr cos gamma)
    Range: slope -90 (falling the other way) to 90 degrees, straight roll.
    Source: STATICS-01
    """
    slope = radians(slope_deg)
    return mass_kg * STANDARD_GRAVITY_M_S2 * (sin(slope) - rolling_resistance_coeff * cos(slope))


def rope_stiffness(rope: RopeStretch, length_m: Real) -> Real:
    """Stiffness of a rope [N/m] from its elongation at the reference load.

    k = EA / L, EA = frac_ref MBS / elong_ref
    Range: linear rope, length > 0.
    Source: ROPE-03
    """
    return rope.reference_load_ratio * rope.breaking_strength_n / rope.reference_elongation_ratio / length_m


def restraint(line: Restraint) -> RestraintResult:
    """Static and peak tension of a restraint line [N], and how far the log runs [m].

    Energy from rest, no damping: x = (F + sqrt(F^2 + 2 k lam^2 F s)) / (k lam^2), T_peak = k lam x
    Range: linear rope, straight roll, log neither pivots nor jumps, lead angle up to about 15 degrees (60 refused).
    A log that slides: attachment at the axis with its sliding friction. Refuses bollard-runaway.
    Source: ROLL-01
    """
    force_n = float(driving_force(line.mass_kg, line.slope_deg, line.rolling_resistance_coeff))
    if force_n <= 0:
        return RestraintResult(force_n, None, 0.0, None, 0.0, 0.0, slips=False, run_out_m=0.0, stop_distance_m=0.0)
    stiffness_n_m = _stiffness(line)
    take_up = _take_up_ratio(line)
    stretch_m = _stretch(force_n, stiffness_n_m, take_up, line.slack_m)
    peak_n = stiffness_n_m * take_up * stretch_m
    run_out_m = 0.0
    slips = line.slip_force_n is not None and line.slip_force_n < peak_n
    if slips and line.slip_force_n is not None:
        peak_n = line.slip_force_n
        stretch_m = peak_n / (stiffness_n_m * take_up)
        run_m = _run_under_slip(line, force_n, stiffness_n_m, take_up)
        run_out_m = take_up * run_m
    else:
        run_m = 0.0
    return RestraintResult(
        driving_force_n=force_n,
        stiffness_n_m=stiffness_n_m,
        static_tension_n=force_n / (take_up - line.rolling_resistance_coeff * math.sin(_lead_rad(line))),
        tightening_speed_m_s=math.sqrt(2 * force_n * line.slack_m / (ROLLING_MASS_FACTOR * line.mass_kg)),
        stretch_m=stretch_m,
        peak_tension_n=peak_n,
        slips=slips,
        run_out_m=run_out_m,
        stop_distance_m=line.slack_m + stretch_m + run_m,
    )


def _lead_rad(line: Restraint) -> float:
    return math.radians(line.lead_angle_deg)


def _take_up_ratio(line: Restraint) -> float:
    """Line taken up per metre of the log's centre: 1 + cos delta off the top of the log, cos delta at its axis."""
    along = math.cos(_lead_rad(line))
    return 1.0 + along if line.attachment == "top_tangent" else along


def _stiffness(line: Restraint) -> float:
    if line.stiffness_n_m is not None:
        return line.stiffness_n_m
    if line.rope is None or line.length_m is None:  # refused when the line was made
        raise OutOfRange("rope", None, "a value", "a value")
    return float(rope_stiffness(line.rope, line.length_m))


def _stretch(force_n: float, stiffness_n_m: float, take_up: float, slack_m: float) -> float:
    """Travel of the centre while the line stretches [m]: the work of the drive all goes into the rope."""
    effective = stiffness_n_m * take_up**2
    return (force_n + math.sqrt(force_n**2 + 2 * effective * force_n * slack_m)) / effective


def _run_under_slip(line: Restraint, force_n: float, stiffness_n_m: float, take_up: float) -> float:
    """Travel of the centre while the bollard slips at a constant force [m]."""
    slip_n = line.slip_force_n or 0.0
    if take_up * slip_n <= force_n:
        raise Refused(
            "bollard-runaway",
            f"Bollard slips at {slip_n:.0f} N; the log drives with {force_n / take_up:.0f} N.",
            {"slip_force_n": slip_n, "limit_n": force_n / take_up},
        )
    stretch_m = slip_n / (stiffness_n_m * take_up)
    energy_j = force_n * (line.slack_m + stretch_m) - slip_n**2 / (2 * stiffness_n_m)
    return energy_j / (take_up * slip_n - force_n)
