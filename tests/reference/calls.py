"""Our functions, called in the units the printed values stand in. Adapters only: no formula of their own."""

import math

from gear.catalogue.classes import BY_CODE, is_named
from gear.models import GearItem, Inspection
from gear.schemes.services import DEFAULT_SCHEMES
from jobs.mechanics.bollard import capstan_ratio
from jobs.mechanics.defaults import DEFAULTS, STANDARD_GRAVITY_M_S2
from jobs.mechanics.errors import Refused
from jobs.mechanics.findings.codes import CODES
from jobs.mechanics.findings.collected import Findings
from jobs.mechanics.hinge import Hinge, rectangle_elastic_modulus, thickness_of
from jobs.mechanics.line import Line, SitePoint, sheave_redirect_efficiency
from jobs.mechanics.plan.checks import check_hinge
from jobs.mechanics.pull import Margins, pull
from jobs.mechanics.rating_data import TERMINATIONS, design_factor
from jobs.mechanics.ratings import Item, bend_efficiency, capacity, choke_ratio, has_small_sheave
from jobs.mechanics.restraint import Restraint, driving_force, restraint
from jobs.mechanics.resultants import hitch_leg, resultant
from jobs.mechanics.situation import situation
from jobs.mechanics.stem import Section, Tree, frustum_centroid, frustum_volume, stem
from jobs.mechanics.tackle import Stage, hauling_ratios, rule_of_thumb_advantage, tackle
from jobs.mechanics.travel import RopeStretch, resets_for, travel
from jobs.mechanics.wind import Wind, dynamic_pressure
from jobs.plans.row_forms import PlaceRow
from jobs.sheets.work_rows import RIGGING_CHECKS
from jobs.stems.species import species

INCH, FOOT, POUND = 0.0254, 0.3048, 0.45359237  # m, m, kg: exact, NIST SP 811 appendix B
POUND_PER_CUBIC_FOOT = POUND / FOOT**3
MILE_PER_HOUR = 0.44704  # m/s, exact, NIST SP 811 appendix B


# Tackle: loads and pulls in whatever unit the book uses, for they are proportional.
def tackle_pull(load, parts, sheave_efficiency=1.0, rove="to_advantage"):
    return tackle([Stage(parts, rove, sheave_efficiency)], load).hauling_force_n


def tackle_advantage(parts, sheave_efficiency, rove="to_advantage", redirects=0):
    turned = sheave_redirect_efficiency(sheave_efficiency, math.pi) ** redirects
    return tackle([Stage(parts, rove, sheave_efficiency)], 1.0).hauling_advantage * turned


def tackle_efficiency_percent(parts, sheave_efficiency):
    return 100 * tackle([Stage(parts, "to_advantage", sheave_efficiency)], 1.0).efficiency


def compound_advantage(parts, parts_of_second):
    stages = [Stage(count, "to_advantage", 1.0) for count in (parts, parts_of_second)]
    return tackle(stages, 1.0).hauling_advantage


def fixed_block_load(load, parts, rove):
    return tackle([Stage(parts, rove, 1.0)], load).stages[0].fixed_block_hauling_load_n


def rule_of_thumb_pull(load, parts, sheaves):
    return load / rule_of_thumb_advantage(parts, sheaves)


def rule_of_thumb_total(load, parts, sheaves):
    """Stress of the hauling part times the parts: load and friction together."""
    return parts * rule_of_thumb_pull(load, parts, sheaves)


def rule_of_thumb_allowance_percent(parts, sheaves):
    """What the rule adds for each sheave, in per cent of the load."""
    return 100 * (rule_of_thumb_total(1.0, parts, sheaves) - 1.0) / sheaves


def share_for_each_sheave(loads, parts):
    """Whether the rule asks for the same share of the load at each sheave, however many there are."""
    shares = {round(rule_of_thumb_allowance_percent(parts, n), 9) for n in range(1, 9)}
    each_load = {round((rule_of_thumb_total(load, parts, 4) / load - 1.0) / 4, 9) for load in loads}
    return "same for every sheave and load" if len(shares) == len(each_load) == 1 else "not the same"


def sheave_ratio(loss_factor):
    """Tension leaving over tension entering one sheave that asks for `loss_factor` times the tension."""
    return hauling_ratios((1 / loss_factor,))[1]


def lead_line_factor(parts, loss_factor):
    return 1.0 / tackle([Stage(parts, "to_disadvantage", 1 / loss_factor)], 1.0).hauling_advantage


def full_throw_haul(parts, throw):
    rope = RopeStretch(100_000.0, 0.02, 0.2)
    stage = Stage(parts, "to_advantage", extended_length_m=throw + 1.0, two_blocked_length_m=1.0)
    return travel(0.0, 0.0, rope, tip_travel_m=throw, stages=[stage]).stages[0].full_throw_haul_m


def total_haul(parts, tip_travel):
    rope = RopeStretch(100_000.0, 0.02, 0.2)
    stage = Stage(parts, "to_advantage", extended_length_m=50.0, two_blocked_length_m=1.0)
    return travel(0.0, 0.0, rope, tip_travel_m=tip_travel, stages=[stage]).total_haul_m


def throw_from(extended, two_blocked):
    rope = RopeStretch(100_000.0, 0.02, 0.2)
    stage = Stage(5, "to_advantage", extended_length_m=extended, two_blocked_length_m=two_blocked)
    return travel(0.0, 0.0, rope, tip_travel_m=0.1, stages=[stage]).stages[0].throw_m


def resets(need, throw, setback):
    return float(resets_for(need, throw, setback))


def travel_refusal(extended, two_blocked):
    return _refusal(throw_from, extended, two_blocked)


# Bends, blocks, drums
def block_load(tension, included_angle_deg):
    return resultant(tension, tension, included_angle_deg)


def bend_left_percent(bend_ratio):
    return 100 * bend_efficiency(bend_ratio)


def bend_refusal(bend_ratio):
    return _refusal(bend_efficiency, bend_ratio)


def bend_is_noted(bend_ratio):
    return "noted" if has_small_sheave(Item("rope", bend_ratios=(bend_ratio,))) else "not noted"


def drum_low_force(high, friction, turns):
    return high / capstan_ratio(friction, 2 * math.pi * turns)


def drum_high_force(low, friction, turns):
    return low * capstan_ratio(friction, 2 * math.pi * turns)


def drum_ratio(friction, turns):
    return capstan_ratio(friction, 2 * math.pi * turns)


def default(name):
    return DEFAULTS[name].value


def default_in_miles_per_hour(name):
    return DEFAULTS[name].value / MILE_PER_HOUR


# Felling
def hinge_thickness_in(diameter_in):
    return thickness_of(Hinge(rupture_modulus_mean_pa=1.0), diameter_in * INCH) / INCH


def hinge_codes(diameter_in, length_in=None, thickness_in=None, depth_ratio=0.25, opening_deg=70.0):
    """Codes a hinge and its notch are given, joined by a comma; "none" where there are none."""
    hinge = Hinge(
        width_m=None if length_in is None else length_in * INCH,
        thickness_m=None if thickness_in is None else thickness_in * INCH,
        notch_depth_ratio=depth_ratio,
        notch_opening_deg=opening_deg,
        rupture_modulus_mean_pa=50e6,
    )
    findings = Findings()
    check_hinge(findings, situation(_pole(10.0, diameter_in * INCH), hinge, _line_at(7.0, 30.0), Wind(gust_m_s=0.0)))
    return ", ".join(findings.codes) or "none"


def leaning_pull(weight_n, centre_m, back_lean_deg, attach_m, line_below_horizontal_deg):
    """A pole of this weight, hinged at the pith with a hinge that holds nothing, in still air and without margins."""
    diameter_m, height_m = 0.5, 2 * centre_m
    mass_kg = weight_n / STANDARD_GRAVITY_M_S2
    tree = Tree(
        sections=(Section(height_m=0.0, diameter_m=diameter_m), Section(height_m=height_m, diameter_m=diameter_m)),
        green_density_kg_m3=mass_kg / (math.pi * diameter_m**2 / 4 * height_m),
        lean_deg=back_lean_deg,
        lean_azimuth_deg=180.0,
        lay_azimuth_deg=0.0,
        hinge_height_m=0.0,
    )
    lean = math.radians(back_lean_deg)
    level_m = attach_m * math.cos(lean) / math.tan(math.radians(line_below_horizontal_deg))
    line = Line(
        attach_height_m=attach_m,
        anchor=SitePoint(distance_m=level_m - attach_m * math.sin(lean), azimuth_deg=0.0),
    )
    hinge = Hinge(notch_depth_ratio=0.49, thickness_m=0.02 * diameter_m, rupture_modulus_mean_pa=1e-6)
    margins = Margins(adverse_factor=1.0, favourable_factor=1.0)
    return pull(tree, hinge, line, Wind(gust_m_s=0.0), margins=margins)


def upright_tension_n(**given):
    return leaning_pull(**given).required_tension_upright_n


def lever_arm_m(**given):
    return leaning_pull(**given).lever_arm_m


def backward_moment_n_m(**given):
    return -leaning_pull(**given).gravity_moment_n_m


def hinge_moment_n_m(length_m, thickness_m, rupture_modulus_mpa):
    return rupture_modulus_mpa * 1e6 * rectangle_elastic_modulus(length_m, thickness_m)


def _lacking(said, words):
    return ", ".join(word for word in words if word.casefold() not in said.casefold()) or "none"


def rigging_checks_lack(words):
    """Words that no check of the sheet says, joined by a comma, else "none"."""
    return _lacking(" ".join(RIGGING_CHECKS), words)


def escape_route_lacks(words):
    """Words that the form does not say where it asks for the cutter's escape route."""
    return _lacking(PlaceRow.base_fields["escape_route"].help_text, words)


def codes_that_say(words):
    """Codes whose text holds one of the words, joined by a comma, else "none"."""
    found = [c.name for c in CODES if any(word in f"{c.title} {c.meaning} {c.cure}".casefold() for word in words)]
    return ", ".join(found) or "none"


# Wood and logs
def log_mass_lb(density_lb_ft3, length_ft, diameter_in):
    return log_mass_kg(density_lb_ft3 * POUND_PER_CUBIC_FOOT, length_ft * FOOT, diameter_in * INCH) / POUND


def log_mass_kg(density_kg_m3, length_m, diameter_m):
    return stem(_pole(length_m, diameter_m, density_kg_m3)).stem_mass_kg


def frustum_volume_m3(length_m, lower_diameter_m, upper_diameter_m):
    return frustum_volume(length_m, lower_diameter_m, upper_diameter_m)


def frustum_centroid_m(length_m, lower_diameter_m, upper_diameter_m):
    return frustum_centroid(length_m, lower_diameter_m, upper_diameter_m)


def species_density_lb_ft3(code):
    return species(code).green_density_kg_m3 / POUND_PER_CUBIC_FOOT


def species_rupture_mpa(code):
    return species(code).rupture_modulus_mean_pa / 1e6


def species_elastic_gpa(code):
    return species(code).elastic_modulus_mean_pa / 1e9


def species_shear_mpa(code):
    return species(code).shear_strength_mean_pa / 1e6


# Ratings
def design_factor_of(kind):
    return design_factor(kind)


def working_load(breaking_strength, kind, termination="none"):
    return capacity(Item(kind, breaking_strength_n=breaking_strength, terminations=(termination,))).base_capacity_n


def knot_left_percent(name):
    return 100 * TERMINATIONS[name].remaining_ratio


def weakest_knot_percent():
    return min(knot_left_percent(name) for name in TERMINATIONS)


def material_left_percent(material):
    return 100 * capacity(Item("sling", working_load_limit_n=1.0, material=material)).reduction_ratio


def basket_from_vertical(vertical, half_angle_deg):
    item = Item("sling", working_load_limit_n=vertical, configuration="basket", basket_half_angle_deg=half_angle_deg)
    return capacity(item).capacity_n


def basket_as_printed(basket, half_angle_deg):
    item = Item("sling", basket_rating_n=basket, configuration="basket", basket_half_angle_deg=half_angle_deg)
    return capacity(item).capacity_n


def choker_from_vertical(vertical):
    return capacity(Item("sling", working_load_limit_n=vertical, configuration="choker")).capacity_n


def choker_as_printed(vertical, choker):
    item = Item("sling", vertical_rating_n=vertical, choker_rating_n=choker, configuration="choker")
    return capacity(item).capacity_n


def choke_share(choke_angle_deg):
    return choke_ratio(choke_angle_deg)


def leg_tension_factor(horizontal_angle_deg):
    """Tension of each of two legs over half the load they share, legs rising at this angle from the level."""
    return 2 * hitch_leg(1.0, 180.0 - 2 * horizontal_angle_deg)


def leg_refusal(horizontal_angle_deg):
    return _refusal(leg_tension_factor, horizontal_angle_deg)


def connector_strength_kn(major_minor_kn, loaded):
    """Strength that counts for a connector loaded this way [kN]."""
    major, minor = major_minor_kn
    strengths = {"breaking_strength_n": 1e3 * major, "minor_axis_strength_n": 1e3 * minor}
    item = Item("connector", gate="screw", loaded=loaded, **strengths)
    return capacity(item).base_capacity_n * design_factor("connector") / 1e3


# Restraint, slope, wind
def impact_factor(drop_over_static_stretch):
    """A weight falling this many static stretches onto a linear rope, against the weight at rest."""
    return _hung(weight_n=1_000.0, stiffness_n_m=1_000.0, drop_m=drop_over_static_stretch).peak_tension_n / 1_000.0


def peak_tension_n(weight_n, stiffness_n_m, drop_m):
    return _hung(weight_n, stiffness_n_m, drop_m).peak_tension_n


def peak_stress_mpa(weight_n, stiffness_n_m, drop_m, area_mm2):
    return peak_tension_n(weight_n, stiffness_n_m, drop_m) / area_mm2


def greatest_stretch(weight, stiffness, drop):
    return _hung(weight, stiffness, drop).stretch_m


def slope_force_kgf(mass_kg, rise_over_run, rolling_resistance=0.0):
    slope_deg = math.degrees(math.atan(rise_over_run))
    return driving_force(mass_kg, slope_deg, rolling_resistance) / STANDARD_GRAVITY_M_S2


def slope_share_of_weight(slope_deg):
    return driving_force(1.0, slope_deg, 0.0) / STANDARD_GRAVITY_M_S2


def rolling_resistance_kgf(mass_kg, coefficient):
    return -driving_force(mass_kg, 0.0, coefficient) / STANDARD_GRAVITY_M_S2


def restraint_static_n(mass_kg, slope_deg, attachment):
    line = Restraint(mass_kg, slope_deg, attachment, rolling_resistance_coeff=0.0, stiffness_n_m=1.0)
    return restraint(line).static_tension_n


def drag_n(air_density_kg_m3, drag_coeff, area_m2, speed_m_s):
    return dynamic_pressure(air_density_kg_m3, speed_m_s) * drag_coeff * area_m2


def pressure_ratio(speed_ratio):
    return dynamic_pressure(1.25, 10.0 * speed_ratio) / dynamic_pressure(1.25, 10.0)


# Gear
def reasons_without_a_point(gear_class, reasons):
    """Reasons for removal that no point of the class's checklist speaks of, joined by a comma, else "none"."""
    said = " ".join(f"{point.words} {point.hint}" for point in BY_CODE[gear_class].checklist.points).casefold()
    return ", ".join(reason for reason in reasons if reason.casefold() not in said) or "none"


def wear_limit_percent(gear_class, measure):
    return 100 * next(m.max_value for m in BY_CODE[gear_class].measures if m.name == measure)


def life_years(gear_class):
    return BY_CODE[gear_class].life.years_from_manufacture


def months_between_examinations(scheme, use, gear_class):
    rules = next(default.rules for default in DEFAULT_SCHEMES if default.name.startswith(scheme))
    return min(r.months for r in rules if r.use == use and is_named(gear_class, r.gear_classes))


def particulars_without_a_place(particulars):
    """Particulars of a report that no field of the item or its inspection holds, joined by a comma, else "none"."""
    fields = {field.name for model in (GearItem, Inspection) for field in model._meta.get_fields()}
    return ", ".join(what for what, name in particulars.items() if name not in fields) or "none"


def _hung(weight_n, stiffness_n_m, drop_m):
    """A restraint line on a slope of 90 degrees without rolling resistance: a weight hung from a linear rope."""
    mass_kg = weight_n / STANDARD_GRAVITY_M_S2
    line = Restraint(mass_kg, 90.0, "axis", rolling_resistance_coeff=0.0, stiffness_n_m=stiffness_n_m, slack_m=drop_m)
    return restraint(line)


def _pole(height_m, diameter_m, density_kg_m3=900.0):
    ends = (Section(height_m=0.0, diameter_m=diameter_m), Section(height_m=height_m, diameter_m=diameter_m))
    return Tree(sections=ends, green_density_kg_m3=density_kg_m3, lay_azimuth_deg=0.0, hinge_height_m=0.0)


def _line_at(attach_m, anchor_m):
    return Line(attach_height_m=attach_m, anchor=SitePoint(distance_m=anchor_m, azimuth_deg=0.0))


def _refusal(function, *given):
    """Code a function refuses with, or "none"."""
    try:
        function(*given)
    except Refused as refusal:
        return refusal.code
    return "none"


CALLS = {
    name: each
    for name, each in globals().items()
    if getattr(each, "__module__", "") == __name__ and not name.startswith("_") and name != "leaning_pull"
}
