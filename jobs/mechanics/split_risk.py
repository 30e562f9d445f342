"""The class of the danger that the stem splits up the grain while the back cut is made (section 6)."""

import math
from typing import Literal

from jobs.mechanics import defaults
from jobs.mechanics.checks import exceeds, falls_short
from jobs.mechanics.situation import Situation

Risk = Literal["low", "medium", "high"]


def forward_lean_deg(state: Situation) -> float:
    """Forward lean of the stem: of its axis or of its centre of gravity, whichever is greater [deg].

    max(atan2(e_x, e_z), atan2(x_cg, z_cg))
    Range: any; negative is back lean.
    Source: MODEL-01.
    """
    axis, centre = state.axis, state.centre
    leans = math.atan2(float(axis.x), float(axis.z)), math.atan2(float(centre.x), float(centre.z))
    return math.degrees(max(leans))


def needs_bore_cut(lean_deg: float, *, conventional: bool, split_prone: bool) -> bool:
    """Whether the forward lean asks for a bore cut with a holding strap.

    lean > 5 degrees, 3 for wood that splits easily, with an ordinary back cut
    Range: any.
    Source: PANEL-01.
    """
    limit = defaults.BORE_CUT_LEAN_SPLIT_PRONE_DEG if split_prone else defaults.BORE_CUT_LEAN_DEG
    return conventional and exceeds(lean_deg, limit)


def risk_score(lean_deg: float, notch_depth_ratio: float, tension_ratio: float | None, *, split_prone: bool) -> int:
    """Points for forward lean, shallow notch, tension near the upper bound and wood that splits easily.

    Range: any; `tension_ratio` None when there is no tension to judge.
    Source: MODEL-01.
    """
    lean = sum(not falls_short(lean_deg, bound) for bound in defaults.LEAN_BANDS_DEG)
    depth = sum(falls_short(notch_depth_ratio, bound) for bound in defaults.DEPTH_BANDS_RATIO)
    tension = 0
    if tension_ratio is not None:
        tension = sum(not falls_short(tension_ratio, bound) for bound in defaults.TENSION_BANDS_RATIO)
    return lean + depth + tension + int(split_prone)


def risk_class(score: int, tension_ratio: float | None, *, bore_cut_needed: bool, is_empty: bool) -> Risk:
    """Class of the danger: high without a usable window, over its upper bound or from 4 points; medium from 2.

    Range: score 0 to 7.
    Source: MODEL-01.
    """
    unusable = bore_cut_needed or is_empty or tension_ratio is None or exceeds(tension_ratio, 1.0)
    if unusable or score >= defaults.HIGH_SCORE:
        return "high"
    return "medium" if score >= defaults.MEDIUM_SCORE else "low"
