"""How much pull the stem itself bears: along its height with the hinge cut, and whole before the first cut."""

from __future__ import annotations

import math
from contextlib import suppress

import numpy as np

from jobs.mechanics.errors import Refused
from jobs.mechanics.limits import STEM_STEP_M
from jobs.mechanics.line import Route
from jobs.mechanics.situation import Situation
from jobs.mechanics.strip import circle
from jobs.mechanics.window_bounds import back_fibre_tension, front_fibre_tension, lever_arm_about


def stem_bending_tension(state: Situation, stress_pa: float) -> float:
    """Least line tension at which the stem below the rope reaches a bending stress [N].

    sigma(h) = 32 T cos(alpha) (attach_h - h) / (pi d^3), d under bark, each 0.1 m from the hinge to the rope
    Range: line less than upright; the gust and the stem's own weight are left out.
    Source: BEAM-01.
    """
    tree, attach_m = state.tree, state.line.attach_height_m
    steps = math.ceil((attach_m - tree.hinge_height_m) / STEM_STEP_M - 1e-9)
    heights = tree.hinge_height_m + STEM_STEP_M * np.arange(max(1, steps))
    measured = ([section.height_m for section in tree.sections], [section.diameter_m for section in tree.sections])
    diameters = np.maximum(0.0, np.interp(heights, *measured) - 2.0 * tree.bark_thickness_m)
    return _min_bending_tension(stress_pa, diameters, attach_m - heights, _level_share(state.route))


def _level_share(route: Route) -> float:
    """Cosine of the line's angle to the horizontal."""
    return math.sqrt(max(0.0, 1.0 - float(route.direction.z) ** 2))


def _min_bending_tension(stress_pa: float, diameters_m: np.ndarray, levers_m: np.ndarray, level_ratio: float) -> float:
    tensions = stress_pa * math.pi * diameters_m**3 / (32.0 * level_ratio * levers_m)
    return float(tensions.min())


def uncut_stem_tension(state: Situation, stress_pa: float) -> float:
    """Line tension at which the uncut stem at hinge height reaches a stress at its front or back fibre [N].

    (sigma -+ W/A - M_0 R/I) / (arm_O R/I -+ u_z/A), the smaller, not below 0; M_0 = W |x_cg| + M_w
    Range: full circle under bark, elastic.
    Source: BEAM-01.
    """
    whole, arm = circle(state.radius_m), lever_arm_about(state, 0.0)
    weight, rise = state.stem.weight_n, float(state.route.direction.z)
    moment = weight * abs(float(state.centre.x)) + state.wind_moment_n_m
    bounds = []
    for fibre_tension in (front_fibre_tension, back_fibre_tension):
        # A pull that relieves this fibre cannot overstress it.
        with suppress(Refused):
            bounds.append(
                float(fibre_tension(stress_pa, whole, arm, weight_n=weight, moment_n_m=moment, rise_ratio=rise))
            )
    return max(0.0, min(bounds, default=0.0))
