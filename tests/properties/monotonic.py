"""Where physics says that one figure never falls, or never rises, as one input grows: the named list.

Each entry is run over the whole input space of its topic (`test_monotonic.py`). A path may hold `*` for every member of
a list. `put_in` is set first, so that the input is there to grow and nothing else is asked for; `where` keeps the
answers for which the reason holds.
"""

from dataclasses import dataclass, field
from typing import Literal


@dataclass(frozen=True)
class Monotonic:
    """Quantity, input, direction and why; `by` is how the input grows, times up to half as much again or by so much."""

    topic: str
    quantity: str
    input: str
    direction: Literal["rises", "falls"]
    why: str
    by: float | None = None
    put_in: dict = field(default_factory=dict)
    where: str = ""

    @property
    def name(self):
        return f"{self.topic}: {self.quantity} {self.direction} with {self.input}"


PULL, WINDOW, TACKLE, PLAN = "pull", "window", "tackle", "plan"
TENSION, UPRIGHT = "required_tension_n", "required_tension_upright_n"
GUST, MOR = "wind.gust_m_s", "hinge.rupture_modulus_mean_pa"
LOG = {"slip_force_n": None, "slack_m": 0.3}
ONE_STAGE = {"stages": [{"parts": 4, "rove": "to_advantage", "sheave_efficiency": 0.85}]}
PLAIN = {"uncertainty": None}
STUDY = {"distributions": {}, "samples": 60}

MONOTONIC = (
    # Stem and hinge
    Monotonic("stem", "total_mass_kg", "green_density_kg_m3", "rises", "mass is density times volume"),
    Monotonic("stem", "volume_m3", "sections.*.diameter_m", "rises", "a thicker stem holds more wood"),
    Monotonic("wind", "moment_n_m", GUST, "rises", "pressure goes with the square of the gust"),
    Monotonic(
        "wind", "force_n", "wind.air_density_kg_m3", "rises", "denser air", put_in={"wind.air_density_kg_m3": 1.2}
    ),
    Monotonic("hinge", "plastic_moment_high_n_m", "thickness_m", "rises", "more wood", put_in={"thickness_m": 0.03}),
    Monotonic("hinge", "elastic_moment_low_n_m", "rupture_modulus_mean_pa", "rises", "stronger wood"),
    Monotonic(
        "hinge",
        "rupture_modulus_low_pa",
        "rupture_modulus_cov",
        "falls",
        "a wider spread has a lower 5 % point",
        put_in={"rupture_modulus_cov": 0.16},
    ),
    # Line
    Monotonic(
        "line",
        "line_efficiency",
        "line.redirects.*.friction_coeff",
        "falls",
        "a rougher ring eats more tension",
        put_in={"line.redirects.*.friction_coeff": 0.2},
    ),
    Monotonic(
        "line",
        "line_efficiency",
        "line.redirects.*.efficiency",
        "rises",
        "a better sheave passes more on",
        put_in={"line.redirects.*.efficiency": 0.6},
    ),
    # Required tension
    Monotonic(PULL, TENSION, GUST, "rises", "the gust is always against the fall"),
    Monotonic(PULL, TENSION, MOR, "rises", "the hinge is always against the fall"),
    Monotonic(
        PULL, TENSION, "margins.adverse_factor", "rises", "a greater margin", put_in={"margins.adverse_factor": 1.2}
    ),
    Monotonic(
        PULL,
        TENSION,
        "margins.favourable_factor",
        "falls",
        "more of the helping weight is counted",
        put_in={"margins.favourable_factor": 0.6},
    ),
    Monotonic(
        PULL,
        UPRIGHT,
        "tree.green_density_kg_m3",
        "rises",
        "a heavier stem that leans back leans back harder",
        put_in={"tree.crown": []},
        where="leans back",
    ),
    Monotonic(PULL, "self_falling_angle_deg", GUST, "rises", "gravity takes over later", where="falls by itself"),
    Monotonic(
        PULL,
        "end_angle_deg",
        "hinge.notch_opening_deg",
        "rises",
        "it closes later",
        put_in={"hinge.notch_opening_deg": 50.0},
    ),
    Monotonic(PULL, "tackle_tension_n", GUST, "rises", "as the tension at the stem"),
    # Pre-tension window
    Monotonic(WINDOW, "sit_back_tension_n", GUST, "rises", "the gust blows backward for the lower bounds"),
    Monotonic(WINDOW, "pinch_tension_n", GUST, "rises", "the gust blows backward for the lower bounds"),
    Monotonic(WINDOW, "highest_tension_n", GUST, "falls", "the gust blows forward for the upper bounds"),
    Monotonic(WINDOW, "gap_n", GUST, "falls", "both ends close in"),
    Monotonic(WINDOW, "highest_tension_n", MOR, "rises", "stronger wood bears more before it cracks"),
    Monotonic(WINDOW, "highest_tension_n", "hinge.elastic_modulus_mean_pa", "rises", "stiffer wood stores less energy"),
    Monotonic(WINDOW, "highest_tension_n", "hinge.shear_strength_mean_pa", "rises", "stronger along the grain"),
    Monotonic(
        WINDOW,
        "highest_tension_n",
        "options.fracture_energy_j_m2",
        "rises",
        "tougher wood splits later",
        put_in={"options.fracture_energy_j_m2": 250.0},
    ),
    Monotonic(
        WINDOW,
        "highest_tension_n",
        "options.bending_fraction",
        "rises",
        "a greater share of the strength is used",
        put_in={"options.bending_fraction": 0.2},
    ),
    Monotonic(
        WINDOW,
        "lowest_tension_n",
        "options.sit_back_factor",
        "rises",
        "a greater margin",
        put_in={"options.sit_back_factor": 1.25},
    ),
    Monotonic(
        WINDOW,
        "split_moment_n_m",
        "options.back_cut_progress_ratio",
        "falls",
        "less wood is left to bend",
        put_in={"options.back_cut_progress_ratio": 0.4, "options.method": "conventional"},
    ),
    Monotonic(
        WINDOW,
        "pre_tension_ratio",
        "options.planned_pre_tension_n",
        "rises",
        "nearer to the upper bound",
        put_in={"options.planned_pre_tension_n": 800.0},
        where="has a ratio",
    ),
    # Tackle, travel, crew
    Monotonic(TACKLE, "hauling_force_n", "load_n", "rises", "the hand holds its share"),
    Monotonic(
        TACKLE,
        "hauling_force_n",
        "stages.*.parts",
        "falls",
        "each further part bears",
        by=1,
        put_in=ONE_STAGE,
    ),
    Monotonic(
        TACKLE,
        "hauling_force_n",
        "stages.*.sheave_efficiency",
        "falls",
        "less is lost in friction",
        put_in={"stages.*.sheave_efficiency": 0.6},
    ),
    Monotonic(
        TACKLE,
        "holding_force_n",
        "stages.*.holding_sheave_efficiency",
        "rises",
        "friction no longer helps to hold",
        put_in={"stages.*.holding_sheave_efficiency": 0.6},
    ),
    Monotonic(TACKLE, "stages.0.fixed_block_design_load_n", "load_n", "rises", "in proportion"),
    Monotonic("travel", "stretch_m", "tension_n", "rises", "a rope gives under load"),
    Monotonic("travel", "total_haul_m", "tip_travel_m", "rises", "more line to take in"),
    Monotonic("travel", "stages.0.resets", "tip_travel_m", "rises", "more line to take in"),
    Monotonic("travel", "stored_energy_j", "line_length_m", "rises", "a longer rope stores more"),
    Monotonic("crew", "overhaul_tension_n", "people", "rises", "more people haul harder", by=1),
    Monotonic("crew", "sustained_tension_n", "people", "rises", "one more never makes the group weaker", by=1),
    Monotonic("crew", "hauling_force_n", "load_n", "rises", "in proportion"),
    # Bollard
    Monotonic("bollard", "holding_hand_force_worst_n", "wraps", "falls", "each wrap holds more", put_in={"wraps": 2.0}),
    Monotonic("bollard", "holding_hand_force_worst_n", "tension_n", "rises", "in proportion", put_in={"wraps": 2.0}),
    Monotonic(
        "bollard", "whole_wraps", "tension_n", "rises", "more to hold with the same hand", put_in={"wraps": None}
    ),
    Monotonic("bollard", "whole_wraps", "hand_force_n", "falls", "a stronger hand", put_in={"wraps": None}),
    Monotonic(
        "bollard",
        "slip_tension_n",
        "friction_low",
        "rises",
        "a rougher drum",
        put_in={"friction_low": 0.1, "wraps": 3.0},
    ),
    # Restraint
    Monotonic("restraint", "static_tension_n", "mass_kg", "rises", "in proportion"),
    Monotonic("restraint", "peak_tension_n", "mass_kg", "rises", "more energy to take up", put_in=LOG),
    Monotonic("restraint", "peak_tension_n", "slope_deg", "rises", "a steeper slope drives harder", by=5.0, put_in=LOG),
    Monotonic("restraint", "peak_tension_n", "slack_m", "rises", "a longer run-up", put_in=LOG),
    Monotonic(
        "restraint",
        "peak_tension_n",
        "stiffness_n_m",
        "rises",
        "a stiffer line stops it shorter",
        put_in=LOG | {"stiffness_n_m": 2e4},
    ),
    Monotonic(
        "restraint",
        "stop_distance_m",
        "stiffness_n_m",
        "falls",
        "a stiffer line stops it shorter",
        put_in=LOG | {"stiffness_n_m": 2e4},
    ),
    Monotonic(
        "restraint",
        "peak_tension_n",
        "rolling_resistance_coeff",
        "falls",
        "the ground holds part of it",
        put_in=LOG | {"rolling_resistance_coeff": 0.05},
    ),
    Monotonic("restraint", "run_out_m", "slip_force_n", "falls", "a tighter bollard", put_in={"slip_force_n": 4e3}),
    # Calibration and spread
    Monotonic(
        "measured_efficiency", "sheave_efficiency", "readings_n.*.1", "rises", "more line for the same hand", by=1.0
    ),
    Monotonic("uncertainty", "required_tension_p95_n", GUST, "rises", "in every sample", put_in=STUDY),
    Monotonic("uncertainty", "crew_tension_p50_n", MOR, "rises", "in every sample", put_in=STUDY),
    Monotonic(
        "uncertainty",
        "hauling_force_p95_n",
        "stages.*.sheave_efficiency",
        "falls",
        "less is lost in friction",
        put_in=STUDY | {"stages.*.sheave_efficiency": 0.6},
    ),
    # Whole plans
    Monotonic(PLAN, "stem_tension_n", GUST, "rises", "all that the gear is sized by grows with the gust", put_in=PLAIN),
    Monotonic(PLAN, "crew_tension_n", GUST, "rises", "the crew's task as well", put_in=PLAIN),
    Monotonic(
        PLAN,
        "thickest_hinge_m",
        "people",
        "rises",
        "more people pull over more wood",
        by=1,
        put_in=PLAIN,
        where="has a thickest",
    ),
    Monotonic(
        PLAN, "overhaul_tension_n", "peak_force_n", "rises", "stronger people", put_in=PLAIN | {"peak_force_n": 500.0}
    ),
    Monotonic(PLAN, "stem_bending_limit_n", MOR, "rises", "stronger wood bears more", put_in=PLAIN),
    Monotonic(PLAN, "proof_tension_limit_n", GUST, "falls", "the gust takes its share of the strength", put_in=PLAIN),
)
