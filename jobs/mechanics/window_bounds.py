"""Bounds of the pre-tension: each is one relation at the hinge height, with the stem at rest (section 6)."""

from jobs.mechanics.axis import tipping_arm
from jobs.mechanics.errors import Refused
from jobs.mechanics.numeric import Real, Vector, min_of, positive_part, sqrt
from jobs.mechanics.rotation import Margins, moment_demand
from jobs.mechanics.situation import Situation
from jobs.mechanics.strip import Strip


def lever_arm_about(state: Situation, x_m: float) -> float:
    """Lever arm of the line about the axis across the lay at x, at hinge height [m].

    P_z u_x - (P_x - x) u_z
    Range: any x.
    Source: STATICS-01.
    """
    attach = state.route.attach
    return float(tipping_arm(Vector(attach.x - x_m, attach.y, attach.z), state.route.direction))


def gravity_moment_about(state: Situation, x_m: float) -> float:
    """Moment of the weight about the axis across the lay at x, positive forward [N m].

    W (x_cg - x)
    Range: any x.
    Source: STATICS-01.
    """
    return state.stem.weight_n * (float(state.centre.x) - x_m)


def tension_from(moment_n_m: Real, lever_arm_m: Real) -> Real:
    """Tension that gives a moment, not below 0 [N].

    max(0, M/arm)
    Errors: Refused line-loses-lever when the line does not pull over about this axis.
    Range: arm above 0.
    Source: STATICS-01.
    """
    if min_of(lever_arm_m) <= 0.0:
        raise Refused("line-loses-lever", "The line does not pull the stem over.")
    return positive_part(moment_n_m / lever_arm_m)


def sit_back_tension(
    gravity_moment_n_m: float, wind_moment_n_m: float, lever_arm_m: float, *, margins: Margins
) -> float:
    """Least tension at which the stem does not sit back, the hinge's strength ignored [N].

    [k_s (max(0, -g) + M_w) - k_a max(0, g)]/arm, not below 0; moments about the hinge line
    Errors: Refused line-loses-lever.
    Range: arm above 0 where tension is needed.
    Source: STATICS-01, MODEL-01.
    """
    demand = float(moment_demand(gravity_moment_n_m, wind_moment_n_m, 0.0, margins))
    return float(tension_from(demand, lever_arm_m)) if demand > 0.0 else 0.0


def back_fibre_tension(
    stress_pa: Real, section: Strip, lever_arm_m: Real, *, weight_n: Real, moment_n_m: Real, rise_ratio: Real
) -> Real:
    """Line tension at which the back fibre of a section reaches a tensile stress [N]; may be negative.

    [sigma + W/A - M c_b/I]/[arm c_b/I + u_z/A], M without the line, forward, about the centroid; u_z = rise_ratio
    With sigma 0 and the gust backward it is the least tension that keeps the saw from being pinched.
    Errors: Refused pull-closes-cut when pulling presses the back shut.
    Range: elastic section, axial force W - T u_z.
    Source: BEAM-01.
    """
    area, stiffness = section.area_m2, section.back_m / section.second_moment_m4
    opening = lever_arm_m * stiffness + rise_ratio / area
    if min_of(opening) <= 0.0:
        raise Refused("pull-closes-cut", "Pulling presses the back cut shut.")
    return (stress_pa + weight_n / area - moment_n_m * stiffness) / opening


def front_fibre_tension(
    stress_pa: Real, section: Strip, lever_arm_m: Real, *, weight_n: Real, moment_n_m: Real, rise_ratio: Real
) -> Real:
    """Line tension at which the front fibre of a section reaches a compressive stress [N]; may be negative.

    [sigma - W/A - M c_f/I]/[arm c_f/I - u_z/A], M without the line, forward, about the centroid; u_z = rise_ratio
    Errors: Refused line-loses-lever when pulling does not press the front.
    Range: elastic section, axial force W - T u_z.
    Source: BEAM-01.
    """
    area, stiffness = section.area_m2, section.front_m / section.second_moment_m4
    pressing = lever_arm_m * stiffness - rise_ratio / area
    if min_of(pressing) <= 0.0:
        raise Refused("line-loses-lever", "The line lifts more than it pulls over.")
    return (stress_pa - weight_n / area - moment_n_m * stiffness) / pressing


def split_moment(
    chord_m: Real, elastic_modulus_pa: Real, fracture_energy_j_m2: Real, *, left: Strip, whole: Strip
) -> Real:
    """Moment at which a split runs up the grain from the end of the back cut [N m].

    sqrt(2 b E G_c/(1/I_r - 1/I_0)), b the chord at the end of the cut
    Range: straight grain, moment dominates (arm/D over 5). Ranks plans; does not predict a split.
    Source: SPLIT-01.
    """
    softening = 1.0 / left.second_moment_m4 - 1.0 / whole.second_moment_m4
    return sqrt(2.0 * chord_m * elastic_modulus_pa * fracture_energy_j_m2 / softening)


def shear_moment(shear_strength_pa: Real, chord_m: Real, stem_diameter_m: Real, *, cut: Strip, whole: Strip) -> Real:
    """Moment at which the tension the cut part carried shears along the grain over one diameter [N m].

    f_v b D I_0/Q, Q = A_c (x_0 - x_c) of the cut part
    Range: straight grain.
    Source: BEAM-03.
    """
    first_moment = cut.area_m2 * (whole.centroid_x_m - cut.centroid_x_m)
    return shear_strength_pa * chord_m * stem_diameter_m * whole.second_moment_m4 / first_moment


def strap_moment(stress_pa: Real, strap_area_m2: Real, strap_lever_m: Real) -> Real:
    """Moment about the hinge line that a holding strap at the back carries in tension [N m].

    sigma A_s (x_H - x_s)
    Range: strap behind the hinge.
    Source: STATICS-01.
    """
    return stress_pa * strap_area_m2 * strap_lever_m
