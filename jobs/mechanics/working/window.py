"""Working of the pre-tension window."""

from __future__ import annotations

from typing import Final

from jobs.mechanics.hinge import low_value
from jobs.mechanics.strip import Strip, half_chord, strip
from jobs.mechanics.window import section_behind_notch
from jobs.mechanics.window_bounds import gravity_moment_about, lever_arm_about
from jobs.mechanics.working.context import Work, column
from jobs.mechanics.working.rows import Put, Rests, Row, Table, asked


def whole(w: Work) -> Strip:
    """The stem behind the finished notch."""
    return section_behind_notch(w.state)


def centre(w: Work) -> float:
    return float(whole(w).centroid_x_m)


def cut(w: Work) -> float:
    return w.window.back_cut_x_m or 0.0


def left(w: Work) -> Strip:
    """What the back cut has left behind the notch, part way."""
    return strip(cut(w), w.hinge.notch_apex_x_m, w.radius_m)


def left_centre(w: Work) -> float:
    return float(left(w).centroid_x_m)


def moment_about(w: Work, x_m: float) -> float:
    return gravity_moment_about(w.state, x_m) + w.wind_moment_n_m


def low_shear_strength(w: Work) -> float:
    hinge = w.state.hinge
    return float(low_value(hinge.shear_strength_mean_pa or 0.0, hinge.shear_strength_cov))


AREA: Final = Put[Work]("A", "m²", lambda w: float(whole(w).area_m2))
SECOND_MOMENT: Final = Put[Work]("I", "m⁴", lambda w: float(whole(w).second_moment_m4))
BACK: Final = Put[Work]("c_b", "m", lambda w: float(whole(w).back_m))
ARM: Final = Put[Work]("arm", "m", lambda w: lever_arm_about(w.state, centre(w)))
DOWN: Final = Put[Work]("u_z", "1", lambda w: float(w.state.route.direction.z))
WEIGHT: Final = Put[Work]("W", "N", lambda w: w.stem.weight_n)
GUST: Final = Put[Work]("M_w", "N m", lambda w: w.wind_moment_n_m)
BENDING: Final = Put[Work]("a_b", "1", lambda w: w.options.bending_fraction)
MOR_LOW: Final = Put[Work]("MOR_low", "Pa", lambda w: w.hinge.rupture_modulus_low_pa)
HINGE_ARM: Final = Put[Work]("arm", "m", lambda w: lever_arm_about(w.state, w.hinge.hinge_line_x_m))
WHOLE_MOMENT: Final = Put[Work]("I_0", "m⁴", lambda w: float(whole(w).second_moment_m4))
PART_WAY: Final = (
    Put[Work]("M", "N m", lambda w: moment_about(w, left_centre(w))),
    Put[Work]("arm", "m", lambda w: lever_arm_about(w.state, left_centre(w))),
    Put[Work]("x_cut", "m", cut),
    Put[Work]("b", "m", lambda w: 2.0 * float(half_chord(cut(w), w.radius_m))),
)
PROGRESS: Final = Rests[Work]("back_cut_progress", lambda w: w.options.back_cut_progress_ratio)
BENDS: Final = Rests[Work]("bending_fraction", lambda w: w.options.bending_fraction)

WINDOW: Final = Table[Work]("Pre-tension window", (
    Row("T_sit", "Least pre-tension: the stem does not sit back",
        "T_sit = [k_s (max(0, -M_g) + M_w) - k_a max(0, M_g)] / arm, not below 0; hinge ignored", "N",
        source="STATICS-01", result=lambda w: w.window.sit_back_tension_n, explains=("window.sit_back_tension_n",),
        terms=(Put("k_s", "1", lambda w: w.options.sit_back_factor),
        Put("k_a", "1", lambda w: w.options.favourable_factor),
        Put("M_g", "N m", lambda w: gravity_moment_about(w.state, w.hinge.hinge_line_x_m)), GUST, HINGE_ARM),
        rests=(Rests("sit_back_factor", lambda w: w.options.sit_back_factor),
        Rests("favourable_factor", lambda w: w.options.favourable_factor))),
    Row("T_pinch", "Least pre-tension: the back cut does not close on the saw",
        "T_pinch = [W/A - (M_g - M_w) c_b/I] / [arm c_b/I + u_z/A], about the section's centroid, not below 0", "N",
        source="BEAM-01", result=lambda w: w.window.pinch_tension_n, explains=("window.pinch_tension_n",),
        terms=(WEIGHT, AREA, Put("M_g", "N m", lambda w: gravity_moment_about(w.state, centre(w))), GUST, BACK,
        SECOND_MOMENT, ARM, DOWN)),
    Row("T_bend", "Greatest pre-tension: stress behind the notch",
        "T_bend = lesser of [sigma - W/A - M c_f/I] / [arm c_f/I - u_z/A] and "
        "[sigma + W/A - M c_b/I] / [arm c_b/I + u_z/A], M = M_g + M_w, sigma = a_b MOR_low", "N",
        source="BEAM-01", result=lambda w: w.window.upper_bounds_n.bend, explains=("window.upper_bounds_n.bend",),
        terms=(BENDING, MOR_LOW, WEIGHT, AREA, SECOND_MOMENT, Put("c_f", "m", lambda w: float(whole(w).front_m)), BACK,
        Put("M", "N m", lambda w: moment_about(w, centre(w))), ARM, DOWN), rests=(BENDS,)),
    Row("T_split", "Greatest pre-tension: split from the back cut (ranks plans, does not predict a split)",
        "T_split = [a_split M_split - M] / arm, M_split = sqrt(2 b E G_c / (1/I_r - 1/I_0)), not below 0", "N",
        source="SPLIT-01", result=lambda w: asked(w.window.upper_bounds_n.split),
        explains=("window.upper_bounds_n.split", "window.split_moment_n_m"),
        terms=(Put("a_split", "1", lambda w: w.options.split_fraction),
        Put("M_split", "N m", lambda w: w.window.split_moment_n_m or 0.0), *PART_WAY,
        Put("E", "Pa", lambda w: w.state.hinge.elastic_modulus_mean_pa or 0.0),
        Put("G_c", "J/m²", lambda w: w.options.fracture_energy_j_m2),
        Put("I_r", "m⁴", lambda w: float(left(w).second_moment_m4)), WHOLE_MOMENT),
        rests=(Rests("split_fraction", lambda w: w.options.split_fraction),
        Rests("fracture_energy", lambda w: w.options.fracture_energy_j_m2), PROGRESS)),
    Row("T_shear", "Greatest pre-tension: shear from the back cut",
        "T_shear = [a_s M_shear - M] / arm, M_shear = f_v,low b D I_0 / Q, not below 0", "N",
        source="BEAM-03", result=lambda w: asked(w.window.upper_bounds_n.shear),
        explains=("window.upper_bounds_n.shear", "window.shear_moment_n_m"),
        terms=(Put("a_s", "1", lambda w: w.options.shear_fraction),
        Put("M_shear", "N m", lambda w: w.window.shear_moment_n_m or 0.0), *PART_WAY,
        Put("f_v,low", "Pa", low_shear_strength), Put("D", "m", lambda w: w.diameter_m), WHOLE_MOMENT),
        rests=(Rests("shear_fraction", lambda w: w.options.shear_fraction),
        Rests("shear_strength_cov", lambda w: w.state.hinge.shear_strength_cov), PROGRESS)),
    Row("T_strap", "Greatest pre-tension: holding strap",
        "T_strap = [a_b MOR_low A_s (x_H - x_s) - M] / arm, M = M_g + M_w, not below 0", "N",
        source="STATICS-01", result=lambda w: asked(w.window.upper_bounds_n.strap),
        explains=("window.upper_bounds_n.strap", "window.strap_area_m2", "window.strap_lever_m"),
        terms=(BENDING, MOR_LOW, Put("A_s", "m²", lambda w: w.window.strap_area_m2 or 0.0),
        Put("x_H - x_s", "m", lambda w: w.window.strap_lever_m or 0.0),
        Put("M", "N m", lambda w: moment_about(w, w.hinge.hinge_line_x_m)), HINGE_ARM),
        rests=(BENDS, Rests("strap_thickness", lambda w: w.options.strap_thickness_ratio))),
))  # fmt: skip

T_HI: Final = Put[Work]("T_hi", "N", lambda w: w.window.highest_tension_n)
T_LO: Final = Put[Work]("T_lo", "N", lambda w: w.window.lowest_tension_n)
GAP: Final = Put[Work]("gap", "N", lambda w: w.window.gap_n)

WINDOW_IN_FULL: Final = Table[Work]("Pre-tension window in full", (
    Row("window.lowest_tension_n", "Least pre-tension", "greater of T_sit and T_pinch", "N",
        source="STATICS-01", result=lambda w: w.window.lowest_tension_n,
        terms=(Put("T_sit", "N", lambda w: w.window.sit_back_tension_n),
        Put("T_pinch", "N", lambda w: w.window.pinch_tension_n))),
    Row("window.highest_tension_n", "Greatest pre-tension", "least of the upper bounds", "N",
        source="MODEL-01", result=lambda w: w.window.highest_tension_n,
        terms=(Put("T_bend", "N", lambda w: w.window.upper_bounds_n.bend),
        Put("T_split", "N", lambda w: w.window.upper_bounds_n.split),
        Put("T_shear", "N", lambda w: w.window.upper_bounds_n.shear),
        Put("T_strap", "N", lambda w: w.window.upper_bounds_n.strap))),
    Row("window.governing_bound", "Which bound governs", "the least of them", "1",
        source="MODEL-01", result=lambda w: w.window.governing_bound,
        terms=(T_HI,)),
    Row("window.is_empty", "Nothing fits", "T_lo > T_hi", "1",
        source="MODEL-01", result=lambda w: w.window.is_empty,
        terms=(T_LO, T_HI)),
    Row("window.recommended_tension_n", "Aim for", "T_lo + (T_hi - T_lo) / 3", "N",
        source="MODEL-01", result=lambda w: w.window.recommended_tension_n,
        terms=(T_LO, T_HI)),
    Row("window.gap_n", "Width of the window", "T_hi - T_lo", "N",
        source="MODEL-01", result=lambda w: w.window.gap_n,
        terms=(T_LO, T_HI)),
    Row("window.forward_lean_deg", "Forward lean", "greater of atan2(e_x, e_z) and atan2(x_cg, z_cg)", "°",
        source="STATICS-01", result=lambda w: w.window.forward_lean_deg,
        terms=(Put("x_cg", "m", lambda w: w.stem.centre_of_gravity_m[0]),
        Put("z_cg", "m", lambda w: w.stem.centre_of_gravity_m[2]))),
    Row("window.bore_cut_needed", "Needs a bore cut", "conventional cut and lean over 5°, 3° if it splits easily", "1",
        source="PANEL-01", result=lambda w: w.window.bore_cut_needed,
        terms=(Put("lean", "°", lambda w: w.window.forward_lean_deg),)),
    Row("window.risk_score", "Points of the danger of a split", "lean + notch + tension + splits easily", "1",
        source="MODEL-01", result=lambda w: w.window.risk_score,
        terms=(Put("lean", "°", lambda w: w.window.forward_lean_deg),
        Put("f", "1", lambda w: w.plan.hinge.notch_depth_ratio),
        Put("ratio", "1", lambda w: w.window.pre_tension_ratio))),
    Row("window.split_risk", "Class of the danger of a split", "low under 2 points, high from 4", "1",
        source="MODEL-01", result=lambda w: w.window.split_risk,
        terms=(Put("points", "1", lambda w: w.window.risk_score),)),
    Row("window.pre_tension_ratio", "Tension over the upper bound", "(planned or aimed tension) / T_hi", "1",
        source="MODEL-01", result=lambda w: w.window.pre_tension_ratio,
        terms=(Put("aim", "N", lambda w: w.window.recommended_tension_n), T_HI)),
    Row("window.back_cut_x_m", "Back cut as far as", "x_k = -R + progress (x_b + R)", "m",
        source="GEOMETRY-02", result=lambda w: asked(w.window.back_cut_x_m),
        terms=(Put("R", "m", lambda w: w.radius_m),
        Put("progress", "1", lambda w: w.plan.window.back_cut_progress_ratio),
        Put("x_b", "m", lambda w: w.hinge.hinge_back_x_m))),
    Row("window.changes.code", "Change that would widen the window", "each tried alone", "1",
        source="MODEL-01", result=lambda w: column(w.window.changes, lambda row: row.code),
        terms=(GAP,)),
    Row("window.changes.gap_n", "Width with that change", "T_hi - T_lo with it", "N",
        source="MODEL-01", result=lambda w: column(w.window.changes, lambda row: row.gap_n),
        terms=(GAP,)),
    Row("window.changes.opens", "Whether it opens the window", "gap >= 0", "1",
        source="MODEL-01", result=lambda w: column(w.window.changes, lambda row: row.opens),
        terms=(GAP,)),
))  # fmt: skip
