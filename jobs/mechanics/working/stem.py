"""Working of stem, hinge, wind and line: weights, section, gust and geometry."""

from __future__ import annotations

import math
from typing import Final

from jobs.mechanics.defaults import STANDARD_GRAVITY_M_S2
from jobs.mechanics.working.context import Work
from jobs.mechanics.working.rows import Put, Rests, Row, Table


def gust_force(w: Work) -> float:
    return math.fsum(float(load.force_n) for load in w.state.loads)


def gust_height(w: Work) -> float:
    force_n = gust_force(w)
    return w.wind_moment_n_m / force_n if force_n > 0.0 else 0.0


MOMENTS: Final = Table[Work]("Moments about the hinge", (
    Row("W", "Weight of stem and crown", "W = m g", "N",
        source="STATICS-04", result=lambda w: w.stem.weight_n, explains=("stem.weight_n",),
        terms=(Put("m", "kg", lambda w: w.stem.total_mass_kg), Put("g", "m/s²", lambda w: STANDARD_GRAVITY_M_S2))),
    Row("M_g", "Gravity moment, negative where the stem leans back", "M_g = W (x_cg - x_H)", "N m",
        source="STATICS-01", result=lambda w: w.pull.gravity_moment_n_m, explains=("pull.gravity_moment_n_m",),
        terms=(Put("W", "N", lambda w: w.stem.weight_n), Put("x_cg", "m", lambda w: w.stem.centre_of_gravity_m[0]),
        Put("x_H", "m", lambda w: w.hinge.hinge_line_x_m))),
    Row("M_w", "Gust moment", "M_w = F z_w, F = sum of rho V²/2 c_d A", "N m",
        source="WIND-01", result=lambda w: w.wind_moment_n_m, explains=("wind.moment_n_m", "pull.wind_moment_n_m"),
        terms=(Put("V", "m/s", lambda w: w.state.wind.gust_m_s or 0.0), Put("F", "N", gust_force),
        Put("z_w", "m", gust_height)),
        rests=(Rests("air_density", lambda w: w.state.wind.air_density_kg_m3),
        Rests("stem_drag", lambda w: w.state.wind.stem_drag_coeff))),
    Row("M_h", "Hinge moment the pull must break, high and fully plastic", "M_h = MOR_high Z_pl", "N m",
        source="BEAM-02", result=lambda w: w.hinge.plastic_moment_high_n_m,
        explains=("hinge.plastic_moment_high_n_m", "pull.hinge_moment_n_m"),
        terms=(Put("MOR_high", "Pa", lambda w: w.hinge.rupture_modulus_high_pa),
        Put("Z_pl", "m³", lambda w: w.hinge.plastic_section_modulus_m3)),
        rests=(Rests("rupture_modulus_cov", lambda w: w.state.hinge.rupture_modulus_cov),)),
    Row("arm", "Lever arm of the line", "arm = z_P u_x - (x_P - x_H) u_z", "m",
        source="STATICS-01", result=lambda w: w.pull.lever_arm_m, explains=("line.lever_arm_m", "pull.lever_arm_m"),
        terms=(Put("z_P", "m", lambda w: float(w.state.route.attach.z)),
        Put("x_P", "m", lambda w: float(w.state.route.attach.x)), Put("x_H", "m", lambda w: w.hinge.hinge_line_x_m),
        Put("u_x", "1", lambda w: float(w.state.route.direction.x)),
        Put("u_z", "1", lambda w: float(w.state.route.direction.z)))),
))  # fmt: skip

STEM: Final = Table[Work]("Stem", (
    Row("stem.volume_m3", "Volume of the stem", "V = sum of pi l (d1² + d1 d2 + d2²) / 12", "m³",
        source="GEOMETRY-01", result=lambda w: w.stem.volume_m3,
        terms=(Put("z_h", "m", lambda w: w.plan.tree.hinge_height_m),)),
    Row("stem.stem_mass_kg", "Mass of the stem", "m_s = rho V", "kg",
        source="STATICS-04", result=lambda w: w.stem.stem_mass_kg,
        terms=(Put("rho", "kg/m³", lambda w: w.plan.tree.green_density_kg_m3),
        Put("V", "m³", lambda w: w.stem.volume_m3))),
    Row("stem.crown_mass_kg", "Mass of the crown", "m_c = sum of the lumps above the hinge", "kg",
        source="STATICS-04", result=lambda w: w.stem.crown_mass_kg,
        terms=(Put("z_h", "m", lambda w: w.plan.tree.hinge_height_m),)),
    Row("stem.total_mass_kg", "Mass of stem and crown", "m = m_s + m_c", "kg",
        source="STATICS-04", result=lambda w: w.stem.total_mass_kg,
        terms=(Put("m_s", "kg", lambda w: w.stem.stem_mass_kg), Put("m_c", "kg", lambda w: w.stem.crown_mass_kg))),
    Row("stem.centre_of_gravity_m", "Centre of gravity (forward, left, up)", "sum(m r) / sum(m)", "m",
        source="STATICS-04", result=lambda w: w.stem.centre_of_gravity_m,
        terms=(Put("m", "kg", lambda w: w.stem.total_mass_kg),)),
    Row("stem.stem_centre_of_gravity_m", "Centre of gravity of the stem alone",
        "sum(m r) / sum(m), each frustum at l/4 (d1² + 2 d1 d2 + 3 d2²) / (d1² + d1 d2 + d2²)", "m",
        source="GEOMETRY-01", result=lambda w: w.stem.stem_centre_of_gravity_m,
        terms=(Put("m_s", "kg", lambda w: w.stem.stem_mass_kg),)),
    Row("stem.hinge_diameter_over_bark_m", "Diameter at the hinge over bark", "linear between the measured sizes", "m",
        source="GEOMETRY-01", result=lambda w: w.stem.hinge_diameter_over_bark_m,
        terms=(Put("z_h", "m", lambda w: w.plan.tree.hinge_height_m),)),
    Row("stem.hinge_diameter_under_bark_m", "Diameter at the hinge under bark", "d = d_over - 2 bark", "m",
        source="GEOMETRY-01", result=lambda w: w.stem.hinge_diameter_under_bark_m,
        terms=(Put("d_over", "m", lambda w: w.stem.hinge_diameter_over_bark_m),
        Put("bark", "m", lambda w: w.plan.tree.bark_thickness_m))),
))  # fmt: skip

LENGTH: Final = Put[Work]("b", "m", lambda w: w.hinge.width_m)
THICKNESS: Final = Put[Work]("t", "m", lambda w: w.thickness_m)
MOR: Final = Put[Work]("MOR", "Pa", lambda w: w.plan.hinge.rupture_modulus_mean_pa)

HINGE: Final = Table[Work]("Hinge", (
    Row("hinge.notch_apex_x_m", "Apex of the notch", "x_a = D (1/2 - f)", "m",
        source="MODEL-01", result=lambda w: w.hinge.notch_apex_x_m,
        terms=(Put("D", "m", lambda w: w.diameter_m), Put("f", "1", lambda w: w.plan.hinge.notch_depth_ratio))),
    Row("hinge.hinge_back_x_m", "Back of the hinge", "x_b = x_a - t", "m",
        source="MODEL-01", result=lambda w: w.hinge.hinge_back_x_m,
        terms=(Put("x_a", "m", lambda w: w.hinge.notch_apex_x_m), THICKNESS)),
    Row("hinge.hinge_line_x_m", "Hinge line", "x_H = (x_a + x_b) / 2", "m",
        source="MODEL-01", result=lambda w: w.hinge.hinge_line_x_m,
        terms=(Put("x_a", "m", lambda w: w.hinge.notch_apex_x_m), Put("x_b", "m", lambda w: w.hinge.hinge_back_x_m))),
    Row("hinge.notch_chord_m", "Chord at the apex", "c = 2 sqrt(R² - x_a²)", "m",
        source="GEOMETRY-02", result=lambda w: w.hinge.notch_chord_m,
        terms=(Put("R", "m", lambda w: w.radius_m), Put("x_a", "m", lambda w: w.hinge.notch_apex_x_m))),
    Row("hinge.width_m", "Length of the hinge across the stem", "as measured, or the chord", "m",
        source="GEOMETRY-02", result=lambda w: w.hinge.width_m,
        terms=(Put("c", "m", lambda w: w.hinge.notch_chord_m),)),
    Row("hinge.area_m2", "Area of the hinge", "A = b t (rectangle), or of the strip", "m²",
        source="GEOMETRY-02", result=lambda w: w.hinge.area_m2,
        terms=(LENGTH, THICKNESS)),
    Row("hinge.fell_second_moment_m4", "Second moment in the lay", "I = b t³ / 12 (rectangle)", "m⁴",
        source="BEAM-01", result=lambda w: w.hinge.fell_second_moment_m4,
        terms=(LENGTH, THICKNESS)),
    Row("hinge.side_second_moment_m4", "Second moment sideways", "I_side = t b³ / 12 (rectangle)", "m⁴",
        source="BEAM-01", result=lambda w: w.hinge.side_second_moment_m4,
        terms=(LENGTH, THICKNESS)),
    Row("hinge.elastic_section_modulus_m3", "Elastic section modulus", "W_el = b t² / 6 (rectangle)", "m³",
        source="BEAM-01", result=lambda w: w.hinge.elastic_section_modulus_m3,
        terms=(LENGTH, THICKNESS)),
    Row("hinge.plastic_section_modulus_m3", "Plastic section modulus", "Z_pl = b t² / 4 (rectangle)", "m³",
        source="BEAM-02", result=lambda w: w.hinge.plastic_section_modulus_m3,
        terms=(LENGTH, THICKNESS)),
    Row("hinge.side_section_modulus_m3", "Section modulus sideways", "W_side = t b² / 6 (rectangle)", "m³",
        source="BEAM-01", result=lambda w: w.hinge.side_section_modulus_m3,
        terms=(LENGTH, THICKNESS)),
    Row("hinge.rupture_modulus_low_pa", "Rupture modulus, low", "MOR (1 - 1.645 COV)", "Pa",
        source="STRENGTH-01", result=lambda w: w.hinge.rupture_modulus_low_pa,
        terms=(MOR, Put("COV", "1", lambda w: w.plan.hinge.rupture_modulus_cov))),
    Row("hinge.rupture_modulus_high_pa", "Rupture modulus, high", "MOR (1 + 1.645 COV)", "Pa",
        source="STRENGTH-01", result=lambda w: w.hinge.rupture_modulus_high_pa,
        terms=(MOR, Put("COV", "1", lambda w: w.plan.hinge.rupture_modulus_cov))),
    Row("hinge.elastic_moment_low_n_m", "Moment the hinge surely holds", "M = MOR_low W_el", "N m",
        source="BEAM-01", result=lambda w: w.hinge.elastic_moment_low_n_m,
        terms=(Put("MOR_low", "Pa", lambda w: w.hinge.rupture_modulus_low_pa),
        Put("W_el", "m³", lambda w: w.hinge.elastic_section_modulus_m3))),
    Row("hinge.elastic_moment_mean_n_m", "Moment at which it breaks, mean", "M = MOR W_el", "N m",
        source="BEAM-01", result=lambda w: w.hinge.elastic_moment_mean_n_m,
        terms=(MOR, Put("W_el", "m³", lambda w: w.hinge.elastic_section_modulus_m3))),
    Row("hinge.plastic_moment_mean_n_m", "Plastic moment, mean", "M = MOR Z_pl", "N m",
        source="BEAM-02", result=lambda w: w.hinge.plastic_moment_mean_n_m,
        terms=(MOR, Put("Z_pl", "m³", lambda w: w.hinge.plastic_section_modulus_m3))),
    Row("hinge.side_moment_low_n_m", "Side moment it surely holds", "M = MOR_low W_side", "N m",
        source="BEAM-01", result=lambda w: w.hinge.side_moment_low_n_m,
        terms=(Put("MOR_low", "Pa", lambda w: w.hinge.rupture_modulus_low_pa),
        Put("W_side", "m³", lambda w: w.hinge.side_section_modulus_m3))),
))  # fmt: skip

WIND: Final = Table[Work]("Wind", (
    Row("wind.dynamic_pressure_pa", "Pressure of the gust", "q = rho V² / 2", "Pa",
        source="WIND-01", result=lambda w: w.wind.dynamic_pressure_pa,
        terms=(Put("rho", "kg/m³", lambda w: w.plan.wind.air_density_kg_m3),
        Put("V", "m/s", lambda w: w.plan.wind.gust_m_s))),
    Row("wind.force_n", "Force of the gust", "F = sum of q c_d A", "N",
        source="WIND-01", result=lambda w: w.wind.force_n,
        terms=(Put("q", "Pa", lambda w: w.wind.dynamic_pressure_pa),
        Put("c_d", "1", lambda w: w.plan.wind.stem_drag_coeff))),
    Row("wind.height_m", "Height at which it acts", "z_w = M_w / F", "m",
        source="STATICS-04", result=lambda w: w.wind.height_m,
        terms=(Put("M_w", "N m", lambda w: w.wind.moment_n_m), Put("F", "N", lambda w: w.wind.force_n))),
))  # fmt: skip
