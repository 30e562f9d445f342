"""Every default as the model states it, section by section: a change of one is a change of the mechanics."""

from jobs.mechanics import defaults
from tests.rows import every_row

# General, stem and hinge (sections 0 to 2)
STEM = {
    "STANDARD_GRAVITY_M_S2": 9.80665,
    "CHARACTERISTIC_FACTOR": 1.645,
    "BARK_THICKNESS_M": 0.0,
    "MAX_LEAN_DEG": 30.0,
    "NOTCH_DEPTH_RATIO": 0.25,
    "HINGE_THICKNESS_RATIO": 0.10,
    "MIN_HINGE_THICKNESS_M": 0.025,
    "RUPTURE_MODULUS_COV": 0.16,
    "SHEAR_STRENGTH_COV": 0.14,
    "NOTCH_OPENING_DEG": 70.0,
    "NOTCH_DEPTH_LOWEST_RATIO": 0.10,
    "NOTCH_DEPTH_HIGHEST_RATIO": 0.50,
    "MIN_HINGE_BACK_RATIO": 0.05,
}
# Wind and line (sections 3 and 4)
LINE = {
    "AIR_DENSITY_KG_M3": 1.25,
    "STEM_DRAG_COEFF": 1.2,
    "CROWN_DRAG_COEFF": 0.8,
    "WORKING_LIMIT_M_S": 11.0,
    "REDIRECT_EFFICIENCY_RATIO": 0.92,
    "RING_FRICTION_COEFF": 0.20,
    "MIN_ATTACH_DIAMETER_M": 0.10,
    "STEEPEST_LINE_DEG": 60.0,
    "FURTHEST_OFF_AXIS_DEG": 30.0,
}
# Required tension and window (sections 5 and 6)
PULL = {
    "ADVERSE_FACTOR": 1.5,
    "FAVOURABLE_FACTOR": 0.9,
    "MIN_LEVER_RATIO": 0.05,
    "PULL_STEP_DEG": 0.1,
    "MAX_ROTATION_DEG": 90.0,
    "SIDE_MOMENT_SHARE_RATIO": 0.50,
    "SIDE_LINE_FACTOR": 1.5,
    "MIN_SIDE_LEVER_RATIO": 0.5,
    "SIDE_HOLD_BACK_RATIO": 0.1,
    "SIT_BACK_FACTOR": 1.25,
    "BENDING_FRACTION": 0.30,
    "SPLIT_FRACTION": 0.70,
    "SHEAR_FRACTION": 0.25,
    "FRACTURE_ENERGY_J_M2": 350.0,
    "BACK_CUT_PROGRESS_RATIO": 0.50,
    "STRAP_THICKNESS_RATIO": 0.10,
    "BORE_CUT_LEAN_DEG": 5.0,
    "BORE_CUT_LEAN_SPLIT_PRONE_DEG": 3.0,
    "LEAN_BANDS_DEG": (3.0, 8.0),
    "DEPTH_BANDS_RATIO": (0.25, 0.20),
    "TENSION_BANDS_RATIO": (0.5, 0.8),
    "MEDIUM_SCORE": 2.0,
    "HIGH_SCORE": 4.0,
    "RAISED_ATTACHMENT_FACTOR": 1.2,
    "SHALLOWER_NOTCH_RATIO": 0.20,
    "LESS_WIND_FACTOR": 0.75,
    "LESS_CROWN_FACTOR": 0.5,
}
# Tackle, travel, crew, bollard, ratings, restraint (sections 7 to 10)
TACKLE = {
    "SHEAVE_EFFICIENCY_RATIO": 0.90,
    "MIN_EFFICIENCY_RATIO": 0.5,
    "TAIL_M": 3.0,
    "SUSTAINED_FORCE_N": 250.0,
    "PEAK_FORCE_N": 600.0,
    "STEADY_FORCE_N": 250.0,
    "BEST_SHEAVE_EFFICIENCY_RATIO": 0.98,
    "GROUP_LOSS_RATIO": 0.05,
    "MIN_GROUP_FACTOR_RATIO": 0.7,
    "MAX_CREW": 12.0,
    "BOLLARD_FRICTION_LOW_COEFF": 0.12,
    "BOLLARD_FRICTION_HIGH_COEFF": 0.25,
    "ROPE_DESIGN_FACTOR": 5.0,
    "SLING_DESIGN_FACTOR": 7.0,
    "ANCHOR_DESIGN_FACTOR": 2.0,
    "SHOCK_DESIGN_FACTOR": 10.0,
    "SHOCK_LIMIT_SHARE_RATIO": 0.5,
    "WET_NYLON_RATIO": 0.80,
    "CHOKER_RATIO": 0.80,
    "CHOKE_ANGLE_DEG": 120.0,
    "SMALLEST_BEND_RATIO": 3.0,
    "SMALL_BEND_RATIO": 4.0,
    "BASKET_HALF_ANGLE_DEG": 60.0,
    "HITCH_SPREAD_DEG": 120.0,
    "ROLLING_RESISTANCE_COEFF": 0.05,
}
# Spread and calibration (sections 11 and 12)
SPREAD = {
    "SAMPLES": 20_000.0,
    "PLAN_SAMPLES": 10_000.0,
    "SEED": 1.0,
    "UNCERTAINTY_STEP_DEG": 0.5,
    "LOST_SHARE_RATIO": 0.01,
    "THINNEST_SAMPLE_M": 0.005,
    "NORMAL_TRUNCATION": 3.0,
    "DENSITY_COV": 0.07,
    "DIAMETER_COV": 0.02,
    "CROWN_MASS_COV": 0.40,
    "CROWN_FORWARD_SD_M": 0.3,
    "LEAN_SD_DEG": 1.0,
    "LEAN_AZIMUTH_SD_DEG": 10.0,
    "GUST_COV": 0.25,
    "ATTACH_HEIGHT_SD_M": 0.25,
    "ANCHOR_DISTANCE_COV": 0.02,
    "HINGE_THICKNESS_SD_M": 0.01,
    "RUPTURE_MODULUS_SAMPLE_COV": 0.16,
    "SHEAVE_EFFICIENCY_LOW_OFFSET": -0.05,
    "SHEAVE_EFFICIENCY_HIGH_OFFSET": 0.04,
    "CONFIDENCE": 0.95,
}
# Plan (section 13)
PLAN = {
    "CREW_ADVERSE_FACTOR": 1.25,
    "CREW_FAVOURABLE_FACTOR": 0.9,
}
# Travel (section 7): typical set-back, its upper ends, as common practice; times of a reset as the panel judged them
RESETS = {
    "SETBACK_UNTENDED_M": 0.30,
    "SETBACK_TENDED_M": 0.10,
    "HAUL_SPEED_M_S": 0.30,
    "EXTEND_TIME_S": 60.0,
    "CLEAT_TIME_S": 10.0,
    "HOLD_TIME_S": 30.0,
}
STATED = STEM | LINE | PULL | TACKLE | SPREAD | PLAN | RESETS


@every_row("name", STATED)
def test_default_is_the_one_the_model_states(name):
    assert getattr(defaults, name) == STATED[name]


def test_no_default_is_left_unstated():
    assert {name for name, value in vars(defaults).items() if isinstance(value, float | tuple)} == set(STATED)
