"""Working of the pre-tension window."""

from __future__ import annotations

from jobs.mechanics.hinge import low_value
from jobs.mechanics.plan.result import PlanWorking
from jobs.mechanics.strip import half_chord, strip
from jobs.mechanics.window import section_behind_notch
from jobs.mechanics.window_bounds import gravity_moment_about, lever_arm_about
from jobs.mechanics.working.line import WorkingLine, working_line

WINDOW = "Pre-tension window"


def window_lines(work: PlanWorking) -> tuple[WorkingLine, ...]:
    """Both lower bounds and every upper bound of the pre-tension."""
    upper = work.window.upper_bounds_n
    lines = [_sit_back(work), _pinch(work), _bend(work, upper.bend)]
    if upper.split is not None and upper.shear is not None:
        lines += _back_cut(work, upper.split, upper.shear)
    if upper.strap is not None:
        lines.append(_strap(work, upper.strap))
    return tuple(lines)


def _sit_back(work: PlanWorking) -> WorkingLine:
    options, state = work.plan.window, work.situation
    x = state.section.hinge_line_x_m
    return working_line(
        WINDOW,
        "Least pre-tension: the stem does not sit back",
        "T_sit = [k_s (max(0, -M_g) + M_w) - k_a max(0, M_g)] / arm, not below 0; hinge ignored",
        symbol_name="T_sit",
        result=work.window.sit_back_tension_n,
        unit="N",
        source="STATICS-01",
        terms=[
            ("k_s", options.sit_back_factor, "1"),
            ("k_a", options.favourable_factor, "1"),
            ("M_g", gravity_moment_about(state, x), "N m"),
            ("M_w", state.wind_moment_n_m, "N m"),
            ("arm", lever_arm_about(state, x), "m"),
        ],
        default_names={"sit_back_factor": options.sit_back_factor, "favourable_factor": options.favourable_factor},
    )


def _pinch(work: PlanWorking) -> WorkingLine:
    state = work.situation
    whole = section_behind_notch(state)
    x = float(whole.centroid_x_m)
    return working_line(
        WINDOW,
        "Least pre-tension: the back cut does not close on the saw",
        "T_pinch = [W/A - (M_g - M_w) c_b/I] / [arm c_b/I + u_z/A], about the section's centroid, not below 0",
        symbol_name="T_pinch",
        result=work.window.pinch_tension_n,
        unit="N",
        source="BEAM-01",
        terms=[
            ("W", state.stem.weight_n, "N"),
            ("A", float(whole.area_m2), "m²"),
            ("M_g", gravity_moment_about(state, x), "N m"),
            ("M_w", state.wind_moment_n_m, "N m"),
            ("c_b", float(whole.back_m), "m"),
            ("I", float(whole.second_moment_m4), "m⁴"),
            ("arm", lever_arm_about(state, x), "m"),
            ("u_z", float(state.route.direction.z), "1"),
        ],
    )


def _bend(work: PlanWorking, bound_n: float) -> WorkingLine:
    state, options = work.situation, work.plan.window
    whole = section_behind_notch(state)
    x = float(whole.centroid_x_m)
    return working_line(
        WINDOW,
        "Greatest pre-tension: stress behind the notch",
        "T_bend = lesser of [sigma - W/A - M c_f/I] / [arm c_f/I - u_z/A] and "
        "[sigma + W/A - M c_b/I] / [arm c_b/I + u_z/A], M = M_g + M_w, sigma = a_b MOR_low",
        symbol_name="T_bend",
        result=bound_n,
        unit="N",
        source="BEAM-01",
        terms=[
            ("a_b", options.bending_fraction, "1"),
            ("MOR_low", state.section.rupture_modulus_low_pa, "Pa"),
            ("W", state.stem.weight_n, "N"),
            ("A", float(whole.area_m2), "m²"),
            ("I", float(whole.second_moment_m4), "m⁴"),
            ("c_f", float(whole.front_m), "m"),
            ("c_b", float(whole.back_m), "m"),
            ("M", gravity_moment_about(state, x) + state.wind_moment_n_m, "N m"),
            ("arm", lever_arm_about(state, x), "m"),
            ("u_z", float(state.route.direction.z), "1"),
        ],
        default_names={"bending_fraction": options.bending_fraction},
    )


def _back_cut(work: PlanWorking, split_n: float, shear_n: float) -> list[WorkingLine]:
    """Split and shear bounds with the back cut part way."""
    state, options, window = work.situation, work.plan.window, work.window
    radius, x_cut = state.radius_m, window.back_cut_x_m or 0.0
    left = strip(x_cut, state.section.notch_apex_x_m, radius)
    x = float(left.centroid_x_m)
    common = [
        ("M", gravity_moment_about(state, x) + state.wind_moment_n_m, "N m"),
        ("arm", lever_arm_about(state, x), "m"),
        ("x_cut", x_cut, "m"),
        ("b", 2.0 * float(half_chord(x_cut, radius)), "m"),
    ]
    whole_i = float(section_behind_notch(state).second_moment_m4)
    hinge = state.hinge
    progress = {"back_cut_progress": options.back_cut_progress_ratio}
    return [
        working_line(
            WINDOW,
            "Greatest pre-tension: split from the back cut (ranks plans, does not predict a split)",
            "T_split = [a_split M_split - M] / arm, M_split = sqrt(2 b E G_c / (1/I_r - 1/I_0)), not below 0",
            symbol_name="T_split",
            result=split_n,
            unit="N",
            source="SPLIT-01",
            terms=[
                ("a_split", options.split_fraction, "1"),
                ("M_split", window.split_moment_n_m or 0.0, "N m"),
                *common,
                ("E", hinge.elastic_modulus_mean_pa or 0.0, "Pa"),
                ("G_c", options.fracture_energy_j_m2, "J/m²"),
                ("I_r", float(left.second_moment_m4), "m⁴"),
                ("I_0", whole_i, "m⁴"),
            ],
            default_names={
                "split_fraction": options.split_fraction,
                "fracture_energy": options.fracture_energy_j_m2,
                **progress,
            },
        ),
        working_line(
            WINDOW,
            "Greatest pre-tension: shear from the back cut",
            "T_shear = [a_s M_shear - M] / arm, M_shear = f_v,low b D I_0 / Q, not below 0",
            symbol_name="T_shear",
            result=shear_n,
            unit="N",
            source="BEAM-03",
            terms=[
                ("a_s", options.shear_fraction, "1"),
                ("M_shear", window.shear_moment_n_m or 0.0, "N m"),
                *common,
                ("f_v,low", float(low_value(hinge.shear_strength_mean_pa or 0.0, hinge.shear_strength_cov)), "Pa"),
                ("D", state.diameter_m, "m"),
                ("I_0", whole_i, "m⁴"),
            ],
            default_names={
                "shear_fraction": options.shear_fraction,
                "shear_strength_cov": hinge.shear_strength_cov,
                **progress,
            },
        ),
    ]


def _strap(work: PlanWorking, bound_n: float) -> WorkingLine:
    state, options, window = work.situation, work.plan.window, work.window
    x = state.section.hinge_line_x_m
    return working_line(
        WINDOW,
        "Greatest pre-tension: holding strap",
        "T_strap = [a_b MOR_low A_s (x_H - x_s) - M] / arm, M = M_g + M_w, not below 0",
        symbol_name="T_strap",
        result=bound_n,
        unit="N",
        source="STATICS-01",
        terms=[
            ("a_b", options.bending_fraction, "1"),
            ("MOR_low", state.section.rupture_modulus_low_pa, "Pa"),
            ("A_s", window.strap_area_m2 or 0.0, "m²"),
            ("x_H - x_s", window.strap_lever_m or 0.0, "m"),
            ("M", gravity_moment_about(state, x) + state.wind_moment_n_m, "N m"),
            ("arm", lever_arm_about(state, x), "m"),
        ],
        default_names={
            "bending_fraction": options.bending_fraction,
            "strap_thickness": options.strap_thickness_ratio,
        },
    )
