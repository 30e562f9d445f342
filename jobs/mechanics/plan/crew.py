"""The crew's task: what the haulers must put on for the stem to go, and the thickest hinge they can pull over."""

from __future__ import annotations

import math
from collections.abc import Sequence

from jobs.mechanics.checks import exceeds
from jobs.mechanics.defaults import CREW_ADVERSE_FACTOR, CREW_FAVOURABLE_FACTOR
from jobs.mechanics.errors import Refused
from jobs.mechanics.hinge import hinge_line
from jobs.mechanics.limits import HINGE_TOO_THICK_RATIO, HINGE_TOO_THIN_M, HINGE_TOO_THIN_RATIO
from jobs.mechanics.pull import Scan, max_tension, max_tensions_by_thickness, possible_thicknesses
from jobs.mechanics.rotation import Margins
from jobs.mechanics.situation import Situation
from jobs.mechanics.window import WindowOptions, sit_back_about

CREW_MARGINS = Margins(adverse_factor=CREW_ADVERSE_FACTOR, favourable_factor=CREW_FAVOURABLE_FACTOR)


def crew_tension(scan: Scan, lowest_tension_n: float) -> float:
    """Tension at the stem that is the crew's task [N], without the spread of the inputs.

    greatest over the rotation of N / arm with k_m 1.25, k_a 0.9 and the hinge mor_high W_el, at least T_lo
    Range: refuses line-loses-lever.
    Source: STATICS-01, PANEL-01.
    """
    section = scan.situation.section
    hinge_n_m = section.rupture_modulus_high_pa * section.elastic_section_modulus_m3
    return max(lowest_tension_n, max_tension(scan, hinge_moment_n_m=hinge_n_m, margins=CREW_MARGINS))


def thickness_grid(stem_diameter_m: float) -> tuple[float, ...]:
    """Hinge thicknesses in whole millimetres that are neither too thin nor too thick [m].

    max(0.020, 0.05 D) <= t <= 0.15 D
    Range: any diameter; empty under about 0.13 m.
    Source: PANEL-01.
    """
    min_mm = 1000 * max(HINGE_TOO_THIN_M, HINGE_TOO_THIN_RATIO * stem_diameter_m)
    max_mm = 1000 * HINGE_TOO_THICK_RATIO * stem_diameter_m
    return tuple(mm / 1000 for mm in range(math.ceil(min_mm - 1e-9), math.floor(max_mm + 1e-9) + 1))


def thickest_hinge(
    state: Situation, options: WindowOptions, thicknesses_m: Sequence[float], *, tension_limit_n: float
) -> float | None:
    """Greatest of the hinge thicknesses at which the crew's task does not pass a tension at the stem [m], or None.

    greatest t with T_crew(t) <= limit; of T_lo only the sit-back bound changes with the thickness, and a thickness
    at which the model refuses does not suffice
    Range: rising thicknesses that the hinge may have; the limit is not below the pinch bound.
    Source: STATICS-01, PANEL-01.
    """
    possible = possible_thicknesses(state, thicknesses_m, CREW_MARGINS, tension_limit_n=tension_limit_n)
    for thickness_m in reversed(possible):
        if exceeds(_sit_back(state, options, thickness_m), tension_limit_n):
            continue
        if not exceeds(max_tensions_by_thickness(state, [thickness_m], CREW_MARGINS).item(), tension_limit_n):
            return thickness_m
    return None


def _sit_back(state: Situation, options: WindowOptions, thickness_m: float) -> float:
    try:
        return sit_back_about(state, options, float(hinge_line(state.section.notch_apex_x_m, thickness_m)))
    except Refused:
        return math.inf
