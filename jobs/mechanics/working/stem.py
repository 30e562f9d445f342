"""Working of the moments about the hinge and of the required tension."""

from __future__ import annotations

import math

from jobs.mechanics.defaults import CREW_ADVERSE_FACTOR, CREW_FAVOURABLE_FACTOR, STANDARD_GRAVITY_M_S2
from jobs.mechanics.plan.result import PlanResult, PlanWorking
from jobs.mechanics.working.line import WorkingLine, working_line

MOMENTS, PULL = "Moments about the hinge", "Required pull"


def moment_lines(work: PlanWorking) -> tuple[WorkingLine, ...]:
    """Weight, gravity, gust and hinge moments with the stem at rest, and the line's lever arm."""
    return (_weight(work), _gravity(work), _gust(work), _hinge(work), _arm(work))


def _weight(work: PlanWorking) -> WorkingLine:
    stem = work.situation.stem
    return working_line(
        MOMENTS,
        "Weight of stem and crown",
        "W = m g",
        symbol_name="W",
        result=stem.weight_n,
        unit="N",
        source="STATICS-04",
        terms=[("m", stem.total_mass_kg, "kg"), ("g", STANDARD_GRAVITY_M_S2, "m/s²")],
    )


def _gravity(work: PlanWorking) -> WorkingLine:
    state = work.situation
    return working_line(
        MOMENTS,
        "Gravity moment, negative where the stem leans back",
        "M_g = W (x_cg - x_H)",
        symbol_name="M_g",
        result=work.pull.gravity_moment_n_m,
        unit="N m",
        source="STATICS-01",
        terms=[
            ("W", state.stem.weight_n, "N"),
            ("x_cg", state.stem.centre_of_gravity_m[0], "m"),
            ("x_H", state.section.hinge_line_x_m, "m"),
        ],
    )


def _gust(work: PlanWorking) -> WorkingLine:
    state = work.situation
    force_n = math.fsum(float(load.force_n) for load in state.loads)
    height_m = state.wind_moment_n_m / force_n if force_n > 0.0 else 0.0
    return working_line(
        MOMENTS,
        "Gust moment",
        "M_w = F z_w, F = sum of rho V²/2 c_d A",
        symbol_name="M_w",
        result=state.wind_moment_n_m,
        unit="N m",
        source="WIND-01",
        terms=[("V", state.wind.gust_m_s or 0.0, "m/s"), ("F", force_n, "N"), ("z_w", height_m, "m")],
        default_names={"air_density": state.wind.air_density_kg_m3, "stem_drag": state.wind.stem_drag_coeff},
    )


def _hinge(work: PlanWorking) -> WorkingLine:
    section = work.situation.section
    return working_line(
        MOMENTS,
        "Hinge moment the pull must break, high and fully plastic",
        "M_h = MOR_high Z_pl",
        symbol_name="M_h",
        result=section.plastic_moment_high_n_m,
        unit="N m",
        source="BEAM-02",
        terms=[
            ("MOR_high", section.rupture_modulus_high_pa, "Pa"),
            ("Z_pl", section.plastic_section_modulus_m3, "m³"),
        ],
        default_names={"rupture_modulus_cov": work.situation.hinge.rupture_modulus_cov},
    )


def _arm(work: PlanWorking) -> WorkingLine:
    route = work.situation.route
    return working_line(
        MOMENTS,
        "Lever arm of the line",
        "arm = z_P u_x - (x_P - x_H) u_z",
        symbol_name="arm",
        result=work.pull.lever_arm_m,
        unit="m",
        source="STATICS-01",
        terms=[
            ("z_P", float(route.attach.z), "m"),
            ("x_P", float(route.attach.x), "m"),
            ("x_H", work.situation.section.hinge_line_x_m, "m"),
            ("u_x", float(route.direction.x), "1"),
            ("u_z", float(route.direction.z), "1"),
        ],
    )


def pull_lines(result: PlanResult, work: PlanWorking) -> tuple[WorkingLine, ...]:
    """Required tension at rest and over the rotation, the tension the gear is sized by, and the crew's task."""
    return (_at_rest(work), _over_rotation(work), _stem_tension(result), _crew_task(result, work))


def _at_rest(work: PlanWorking) -> WorkingLine:
    pulled, margins = work.pull, work.plan.margins
    return working_line(
        PULL,
        "Tension needed with the stem at rest",
        "T_0 = [k_m (max(0, -M_g) + M_w + M_h) - k_a max(0, M_g)] / arm, not below 0",
        symbol_name="T_0",
        result=pulled.required_tension_upright_n,
        unit="N",
        source="STATICS-01",
        terms=[
            ("k_m", margins.adverse_factor, "1"),
            ("k_a", margins.favourable_factor, "1"),
            ("M_g", pulled.gravity_moment_n_m, "N m"),
            ("M_w", pulled.wind_moment_n_m, "N m"),
            ("M_h", pulled.hinge_moment_n_m, "N m"),
            ("arm", pulled.lever_arm_m, "m"),
        ],
        default_names=_margins_used(work),
    )


def _over_rotation(work: PlanWorking) -> WorkingLine:
    return working_line(
        PULL,
        "Greatest tension over the whole rotation",
        "T_req = greatest of T(theta), 0 to theta_end",
        symbol_name="T_req",
        result=work.pull.required_tension_n,
        unit="N",
        source="STATICS-01",
        terms=[("theta_max", work.pull.governing_angle_deg, "°"), ("theta_end", work.pull.end_angle_deg, "°")],
        default_names=_margins_used(work),
    )


def _margins_used(work: PlanWorking) -> dict[str, float]:
    margins = work.plan.margins
    return {"adverse_factor": margins.adverse_factor, "favourable_factor": margins.favourable_factor}


def _stem_tension(result: PlanResult) -> WorkingLine:
    terms = [("T_req", result.required_tension_n, "N"), ("T_lo", result.lowest_tension_n, "N")]
    if result.uncertainty is not None:
        terms.append(("T_p95", result.uncertainty.required_tension_p95_n, "N"))
    return working_line(
        PULL,
        "Tension at the stem the gear is sized by",
        "T_stem = greatest of T_req, T_lo and the 95 % figure of the spread",
        symbol_name="T_stem",
        result=result.stem_tension_n,
        unit="N",
        source="MODEL-01",
        terms=terms,
    )


def _crew_task(result: PlanResult, work: PlanWorking) -> WorkingLine:
    section = work.situation.section
    terms = [
        ("k_m", CREW_ADVERSE_FACTOR, "1"),
        ("k_a", CREW_FAVOURABLE_FACTOR, "1"),
        ("M_h,el", section.rupture_modulus_high_pa * section.elastic_section_modulus_m3, "N m"),
        ("without spread", work.plain_crew_tension_n, "N"),
        ("T_lo", result.lowest_tension_n, "N"),
    ]
    if result.uncertainty is not None:
        terms.append(("T_crew,p95", result.uncertainty.crew_tension_p95_n, "N"))
    return working_line(
        PULL,
        "The crew's task at the stem",
        "T_crew = greatest over the rotation with k_m, k_a and M_h,el = MOR_high W_el; "
        "at least T_lo and the 95 % figure",
        symbol_name="T_crew",
        result=result.crew_tension_n,
        unit="N",
        source="PANEL-01",
        terms=terms,
        default_names={
            "crew_adverse_factor": CREW_ADVERSE_FACTOR,
            "crew_favourable_factor": CREW_FAVOURABLE_FACTOR,
        },
    )
