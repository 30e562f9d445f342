"""The crew's task: what the haulers must put on for the stem to go, and the thickest hinge they can pull over."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from jobs.mechanics.checks import falls_short
from jobs.mechanics.defaults import CREW_ADVERSE_FACTOR, CREW_FAVOURABLE_FACTOR
from jobs.mechanics.errors import Refused
from jobs.mechanics.hinge import hinge_line
from jobs.mechanics.limits import HINGE_TOO_THICK_RATIO, HINGE_TOO_THIN_M, HINGE_TOO_THIN_RATIO
from jobs.mechanics.pull import Scan, greatest_tension, greatest_tensions_by_thickness
from jobs.mechanics.rotation import Margins
from jobs.mechanics.situation import Situation
from jobs.mechanics.window import WindowOptions, WindowResult, sit_back_about

CREW_MARGINS = Margins(adverse_factor=CREW_ADVERSE_FACTOR, favourable_factor=CREW_FAVOURABLE_FACTOR)


def crew_tension(scan: Scan, lowest_tension_n: float) -> float:
    """Tension at the stem that is the crew's task [N], without the spread of the inputs.

    greatest over the rotation of N / arm with k_m 1.25, k_a 0.9 and the hinge mor_high W_el, at least T_lo
    Range: refuses line-loses-lever.
    Source: STATICS-01, PANEL-01.
    """
    section = scan.situation.section
    hinge_n_m = section.rupture_modulus_high_pa * section.elastic_section_modulus_m3
    return max(lowest_tension_n, greatest_tension(scan, hinge_moment_n_m=hinge_n_m, margins=CREW_MARGINS))


def thickness_grid(stem_diameter_m: float) -> tuple[float, ...]:
    """Hinge thicknesses in whole millimetres that are neither too thin nor too thick [m].

    max(0.020, 0.05 D) <= t <= 0.15 D
    Range: any diameter; empty under about 0.13 m.
    Source: PANEL-01.
    """
    least = 1000 * max(HINGE_TOO_THIN_M, HINGE_TOO_THIN_RATIO * stem_diameter_m)
    most = 1000 * HINGE_TOO_THICK_RATIO * stem_diameter_m
    return tuple(mm / 1000 for mm in range(math.ceil(least - 1e-9), math.floor(most + 1e-9) + 1))


def crew_tensions_by_thickness(
    state: Situation, options: WindowOptions, window: WindowResult, thicknesses_m: Sequence[float]
) -> np.ndarray:
    """The crew's task for each of a grid of hinge thicknesses [N]; infinite where the model refuses.

    Only the hinge line and the hinge moment change with the thickness; the pinch bound does not.
    Range: thicknesses the hinge may have.
    Source: STATICS-01, PANEL-01.
    """
    pulls = greatest_tensions_by_thickness(state, thicknesses_m, CREW_MARGINS)
    sits = [_sit_back(state, options, thickness_m) for thickness_m in thicknesses_m]
    return np.maximum(np.maximum(pulls, sits), window.pinch_tension_n)


def _sit_back(state: Situation, options: WindowOptions, thickness_m: float) -> float:
    try:
        return sit_back_about(state, options, float(hinge_line(state.section.notch_apex_x_m, thickness_m)))
    except Refused:
        return math.inf


def thickest_hinge(
    thicknesses_m: Sequence[float], tensions_n: np.ndarray, *, kept_up_n: float, scale_factor: float
) -> float | None:
    """Greatest thickness the crew can pull over [m], or None.

    greatest t with scale T_crew(t) <= what the crew keeps up at the stem
    Range: rising thicknesses, one tension for each.
    Source: PANEL-01.
    """
    for thickness_m, tension_n in zip(reversed(thicknesses_m), reversed(tensions_n.tolist()), strict=True):
        if math.isfinite(tension_n) and not falls_short(kept_up_n, tension_n * scale_factor):
            return thickness_m
    return None
