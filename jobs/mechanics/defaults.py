"""Every default and every limit of the model, with its unit, its basis and its source.

Input classes take their defaults from here, so a page that lists `DEFAULTS` shows what was used. A basis of
"panel's judgement" must be shown wherever the value is. A company may set stricter values only, never looser ones.
"""

from dataclasses import dataclass
from typing import Final, Literal

Basis = Literal["standard", "handbook", "common practice", "panel's judgement", "from memory", "chosen"]


@dataclass(frozen=True, slots=True)
class Default:
    """One default or limit: what it is, what it rests on."""

    name: str
    value: float
    unit: str
    basis: Basis
    source: str
    note: str


DEFAULTS: dict[str, Default] = {}

STANDARD: Final = "standard"
HANDBOOK: Final = "handbook"
PRACTICE: Final = "common practice"
PANEL: Final = "panel's judgement"
MEMORY: Final = "from memory"
CHOSEN: Final = "chosen"

_SOURCES: dict[Basis, str] = {
    STANDARD: "STANDARD-01",
    HANDBOOK: "HANDBOOK-01",
    PRACTICE: "PRACTICE-01",
    PANEL: "PANEL-01",
    MEMORY: "MEMORY-01",
    CHOSEN: "MODEL-01",
}


def record(name: str, value: float, unit: str, basis: Basis, note: str, source: str = "") -> float:
    """Enter one value in the register and hand it back."""
    DEFAULTS[name] = Default(name, value, unit, basis, source or _SOURCES[basis], note)
    return value


RIG = "PRACTICE-02"

# General
STANDARD_GRAVITY_M_S2 = record("standard_gravity", 9.80665, "m/s2", STANDARD, "acceleration of free fall")
CHARACTERISTIC_FACTOR = record("characteristic_factor", 1.645, "1", STANDARD, "5 % and 95 % points", "STRENGTH-01")

# Stem and hinge (sections 1 and 2)
BARK_THICKNESS_M = record("bark_thickness", 0.0, "m", CHOSEN, "one side; 0 counts all wood as sound")
MAX_LEAN_DEG = record("greatest_lean", 30.0, "deg", CHOSEN, "the model refuses beyond")
NOTCH_DEPTH_RATIO = record("notch_depth", 0.25, "of D", PRACTICE, "1/4 to 1/3")
HINGE_THICKNESS_RATIO = record("hinge_thickness_ratio", 0.10, "of D", PRACTICE, "tenth of the diameter")
MIN_HINGE_THICKNESS_M = record("hinge_thickness_least", 0.025, "m", PRACTICE, "at least this")
RUPTURE_MODULUS_COV = record("rupture_modulus_cov", 0.16, "1", HANDBOOK, "spread of the green modulus of rupture")
SHEAR_STRENGTH_COV = record("shear_strength_cov", 0.14, "1", HANDBOOK, "spread of shear parallel to the grain")
NOTCH_OPENING_DEG = record("notch_opening", 70.0, "deg", PRACTICE, "open face notch")
NOTCH_DEPTH_LOWEST_RATIO = record("notch_depth_lowest", 0.10, "of D", CHOSEN, "the model refuses below")
NOTCH_DEPTH_HIGHEST_RATIO = record("notch_depth_highest", 0.50, "of D", CHOSEN, "the model refuses above")
MIN_HINGE_BACK_RATIO = record("hinge_back_least", 0.05, "of D", CHOSEN, "wood left behind the hinge line")

# Wind (section 3)
AIR_DENSITY_KG_M3 = record("air_density", 1.25, "kg/m3", STANDARD, "from memory")
STEM_DRAG_COEFF = record("stem_drag", 1.2, "1", MEMORY, "cylinder, conservative")
CROWN_DRAG_COEFF = record("crown_drag", 0.8, "1", CHOSEN, "broad-brush")
WORKING_LIMIT_M_S = record("working_limit", 11.0, "m/s", PANEL, "greatest gust for the job")

# Line (section 4)
REDIRECT_EFFICIENCY_RATIO = record("redirect_efficiency", 0.92, "1", MEMORY, "sheave at half a turn")
RING_FRICTION_COEFF = record("ring_friction", 0.20, "1", MEMORY, "rope on a ring")
MIN_ATTACH_DIAMETER_M = record("attach_diameter_least", 0.10, "m", CHOSEN, "over bark at the rope")
STEEPEST_LINE_DEG = record("steepest_line", 60.0, "deg", CHOSEN, "the model refuses beyond")
FURTHEST_OFF_AXIS_DEG = record("furthest_off_axis", 30.0, "deg", CHOSEN, "the model refuses beyond")

# Required tension (section 5)
ADVERSE_FACTOR = record("adverse_factor", 1.5, "1", CHOSEN, "on moments against the fall")
FAVOURABLE_FACTOR = record("favourable_factor", 0.9, "1", CHOSEN, "on gravity that helps")
MIN_LEVER_RATIO = record("least_lever", 0.05, "1", CHOSEN, "arm over distance; below it the line has lost its lever")
PULL_STEP_DEG = record("pull_step", 0.1, "deg", CHOSEN, "step of the rotation")
MAX_ROTATION_DEG = record("greatest_rotation", 90.0, "deg", CHOSEN, "end of the rotation")
SIDE_MOMENT_SHARE_RATIO = record("side_moment_share", 0.50, "1", PANEL, "of the hinge's low side moment")
SIDE_LINE_FACTOR = record("side_line_factor", 1.5, "1", PANEL, "on the moment the side line holds")
MIN_SIDE_LEVER_RATIO = record("side_lever_least", 0.5, "1", PANEL, "side arm over distance")
SIDE_HOLD_BACK_RATIO = record("side_hold_back", 0.1, "1", PANEL, "backward arm over side arm")

# Pre-tension window (section 6)
SIT_BACK_FACTOR = record("sit_back_factor", 1.25, "1", CHOSEN, "on moments that sit the stem back")
BENDING_FRACTION = record("bending_fraction", 0.30, "1", CHOSEN, "of the low modulus of rupture")
SPLIT_FRACTION = record("split_fraction", 0.70, "1", CHOSEN, "of the split moment; a judgement with the next but one")
SHEAR_FRACTION = record("shear_fraction", 0.25, "1", CHOSEN, "of the shear moment")
FRACTURE_ENERGY_J_M2 = record("fracture_energy", 350.0, "J/m2", MEMORY, "splitting along the grain")
BACK_CUT_PROGRESS_RATIO = record("back_cut_progress", 0.50, "1", CHOSEN, "back cut at which a split is checked")
STRAP_THICKNESS_RATIO = record("strap_thickness", 0.10, "of D", CHOSEN, "holding strap of a bore cut")
BORE_CUT_LEAN_DEG = record("bore_cut_lean", 5.0, "deg", PANEL, "forward lean that needs a bore cut")
BORE_CUT_LEAN_SPLIT_PRONE_DEG = record("bore_cut_lean_split_prone", 3.0, "deg", PANEL, "same, wood that splits easily")

# Class of the danger of a split, and what is tried on an empty window (section 6)
LEAN_BANDS_DEG = (
    record("risk_lean_first", 3.0, "deg", CHOSEN, "forward lean: one point from here"),
    record("risk_lean_second", 8.0, "deg", CHOSEN, "forward lean: two points from here"),
)
DEPTH_BANDS_RATIO = (
    record("risk_notch_first", 0.25, "of D", CHOSEN, "notch depth: one point below"),
    record("risk_notch_second", 0.20, "of D", CHOSEN, "notch depth: two points below"),
)
TENSION_BANDS_RATIO = (
    record("risk_tension_first", 0.5, "1", CHOSEN, "tension over the upper bound: one point from here"),
    record("risk_tension_second", 0.8, "1", CHOSEN, "tension over the upper bound: two points from here"),
)
MEDIUM_SCORE = record("risk_medium", 2.0, "points", CHOSEN, "medium from here")
HIGH_SCORE = record("risk_high", 4.0, "points", CHOSEN, "high from here")
RAISED_ATTACHMENT_FACTOR = record("change_attachment", 1.2, "1", CHOSEN, "rope higher by this, within sound wood")
SHALLOWER_NOTCH_RATIO = record("change_notch", 0.20, "of D", CHOSEN, "notch no deeper than this")
LESS_WIND_FACTOR = record("change_wind", 0.75, "1", CHOSEN, "share of the gust")
LESS_CROWN_FACTOR = record("change_crown", 0.5, "1", CHOSEN, "share of crown masses and areas")

# Tackle, travel, crew (section 7)
SHEAVE_EFFICIENCY_RATIO = record("sheave_efficiency", 0.90, "1", MEMORY, "tension ratio of one sheave")
MIN_EFFICIENCY_RATIO = record("least_efficiency", 0.5, "1", CHOSEN, "the model refuses below")
TAIL_M = record("tail", 3.0, "m", PRACTICE, "rope beyond the last block", RIG)
SUSTAINED_FORCE_N = record("sustained_force", 250.0, "N", MEMORY, "one person, firm footing")
PEAK_FORCE_N = record("peak_force", 600.0, "N", MEMORY, "one person, for a moment")
STEADY_FORCE_N = record("steady_force", 250.0, "N", PANEL, "one person, feet planted")
BEST_SHEAVE_EFFICIENCY_RATIO = record("best_sheave_efficiency", 0.98, "1", MEMORY, "for over-tension")
GROUP_LOSS_RATIO = record("group_loss", 0.05, "1", PANEL, "for each further person")
MIN_GROUP_FACTOR_RATIO = record("group_factor_least", 0.7, "1", PANEL, "share that is left at least")
MAX_CREW = record("greatest_crew", 12.0, "people", PANEL, "on one tail")

# Resets as a sequence (section 7): what a step takes is nowhere published
SETBACK_UNTENDED_M = record("setback_untended", 0.30, "m", PRACTICE, "line lost at a reset, hitch untended", RIG)
SETBACK_TENDED_M = record("setback_tended", 0.10, "m", PRACTICE, "line lost at a reset, hitch-tending pulley", RIG)
HAUL_SPEED_M_S = record("haul_speed", 0.30, "m/s", PANEL, "rope through the hands of a crew under load")
EXTEND_TIME_S = record("extend_time", 60.0, "s", PANEL, "slide the hitch forward, pull the tackle out to its length")
CLEAT_TIME_S = record("cleat_time", 10.0, "s", PANEL, "cleat the tail and look at it")
HOLD_TIME_S = record("hold_time", 30.0, "s", PANEL, "take the slack into the bollard and let it take the load")

# Bollard (section 8)
BOLLARD_FRICTION_LOW_COEFF = record("bollard_friction_low", 0.12, "1", MEMORY, "rope on smooth metal")
BOLLARD_FRICTION_HIGH_COEFF = record("bollard_friction_high", 0.25, "1", MEMORY, "rope on smooth metal")

# Ratings (section 9)
ROPE_DESIGN_FACTOR = record("rope_design_factor", 5.0, "1", PRACTICE, "ropes, connectors, blocks, rings, cleats", RIG)
SLING_DESIGN_FACTOR = record("sling_design_factor", 7.0, "1", PRACTICE, "slings", RIG)
ANCHOR_DESIGN_FACTOR = record("anchor_design_factor", 2.0, "1", PRACTICE, "on a person's estimate", RIG)
SHOCK_DESIGN_FACTOR = record("shock_design_factor", 10.0, "1", PANEL, "ropes where shock is credible")
SHOCK_LIMIT_SHARE_RATIO = record("shock_limit_share", 0.5, "1", PANEL, "of a rope's working load limit")
WET_NYLON_RATIO = record("wet_nylon", 0.80, "1", CHOSEN, "5 to 25 % published")
CHOKER_RATIO = record("choker", 0.80, "1", STANDARD, "from memory")
CHOKE_ANGLE_DEG = record("choke_angle", 120.0, "deg", STANDARD, "from memory")
SMALLEST_BEND_RATIO = record("smallest_bend", 3.0, "D/d", PRACTICE, "running bend refused below", RIG)
SMALL_BEND_RATIO = record("small_bend", 4.0, "D/d", PANEL, "running bend noted below")
BASKET_HALF_ANGLE_DEG = record("basket_half_angle", 60.0, "deg", PRACTICE, "refused beyond", RIG)
HITCH_SPREAD_DEG = record("hitch_spread", 120.0, "deg", PRACTICE, "refused from here", RIG)

# Restraint (section 10)
ROLLING_RESISTANCE_COEFF = record("rolling_resistance", 0.05, "1", MEMORY, "low is conservative")

# Uncertainty (section 11)
SAMPLES = record("samples", 20_000.0, "samples", CHOSEN, "of the topic")
PLAN_SAMPLES = record("plan_samples", 10_000.0, "samples", CHOSEN, "of a plan")
SEED = record("seed", 1.0, "1", CHOSEN, "same numbers each time")
UNCERTAINTY_STEP_DEG = record("uncertainty_step", 0.5, "deg", CHOSEN, "step of the rotation for samples")
LOST_SHARE_RATIO = record("lost_share", 0.01, "1", CHOSEN, "samples that may lose their lever")
THINNEST_SAMPLE_M = record("thinnest_sample", 0.005, "m", CHOSEN, "hinge as cut")
NORMAL_TRUNCATION = record("normal_truncation", 3.0, "sd", CHOSEN, "both sides")
DENSITY_COV = record("density_cov", 0.07, "1", PANEL, "species table")
DIAMETER_COV = record("diameter_cov", 0.02, "1", PANEL, "tape")
CROWN_MASS_COV = record("crown_mass_cov", 0.40, "1", PANEL, "by eye")
CROWN_FORWARD_SD_M = record("crown_forward_sd", 0.3, "m", PANEL, "by eye")
LEAN_SD_DEG = record("lean_sd", 1.0, "deg", PANEL, "along the lean azimuth")
LEAN_AZIMUTH_SD_DEG = record("lean_azimuth_sd", 10.0, "deg", PANEL, "direction of the lean")
GUST_COV = record("gust_cov", 0.25, "1", PANEL, "forecast")
ATTACH_HEIGHT_SD_M = record("attach_height_sd", 0.25, "m", PANEL, "rope at the stem")
ANCHOR_DISTANCE_COV = record("anchor_distance_cov", 0.02, "1", PANEL, "first redirect if any")
HINGE_THICKNESS_SD_M = record("hinge_thickness_sd", 0.01, "m", PANEL, "as cut")
RUPTURE_MODULUS_SAMPLE_COV = record("rupture_modulus_sample_cov", 0.16, "1", HANDBOOK, "spread for samples")
SHEAVE_EFFICIENCY_LOW_OFFSET = record("sheave_efficiency_low_offset", -0.05, "1", PANEL, "below the base")
SHEAVE_EFFICIENCY_HIGH_OFFSET = record("sheave_efficiency_high_offset", 0.04, "1", PANEL, "above the base")

# Plan (section 13): the crew's task and limits that stand in the plan itself
CREW_ADVERSE_FACTOR = record("crew_adverse_factor", 1.25, "1", PANEL, "the crew's task")
CREW_FAVOURABLE_FACTOR = record("crew_favourable_factor", 0.9, "1", PANEL, "the crew's task")
CONFIDENCE = record("confidence", 0.95, "1", CHOSEN, "calibration interval")
