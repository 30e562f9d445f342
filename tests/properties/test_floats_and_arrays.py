"""Every relation on numbers gives for an array what it gives for each of its numbers, and floats for floats.

`TABLE` names each relation that takes numbers, with the ranges its numbers are drawn from; `test_every_...` walks the
modules, so that a new relation without a row fails.
"""

import importlib
import inspect
import math
import pkgutil
from dataclasses import fields, is_dataclass, replace
from typing import Any, NamedTuple, get_type_hints

import numpy as np
import pytest

import jobs.mechanics
from jobs.mechanics.axis import Lump
from jobs.mechanics.numeric import Vector
from jobs.mechanics.rotation import Body, Margins
from jobs.mechanics.strip import circle, strip
from jobs.mechanics.tackle import Stage
from jobs.mechanics.travel import RopeStretch
from jobs.mechanics.wind import Push
from tests.mechanics.rig import ANCHOR, HINGE, TREE

COUNT = 6


class Between(NamedTuple):
    """Numbers between two bounds."""

    low: float
    high: float


def To(low: float, high: float) -> Any:
    """Stands where an object has a number, until one of those between takes its place."""
    return Between(low, high)


FORCE, FRICTION = To(0.0, 9e3), To(0.1, 0.4)
ROPE = RopeStretch(45_000.0, 0.02, 0.1, stiffening_exponent=1.3)
POINT = Vector(To(-3.0, 9.0), To(-3.0, 3.0), To(0.5, 12.0))
FAR = Vector(To(20.0, 40.0), To(-5.0, 5.0), To(-2.0, 2.0))
LUMP = Lump(To(10.0, 400.0), To(0.5, 9.0), To(-1.0, 1.0), To(-1.0, 1.0))
PUSHES = (Push(To(0.0, 900.0), POINT), Push(To(0.0, 900.0), POINT))
BODY = Body(To(1e3, 1e4), POINT, POINT, FAR, PUSHES, To(3.0, 9.0))
SECTION = {"stress_pa": To(1e6, 2e7), "section": circle(0.2), "lever_arm_m": To(3.0, 9.0), "weight_n": To(1e3, 2e4)}
SECTION |= {"moment_n_m": To(-3e3, 3e3), "rise_ratio": To(-0.5, 0.2)}
CUT, LEFT, WHOLE = strip(-0.2, -0.1, 0.2), strip(-0.1, 0.05, 0.2), strip(-0.2, 0.05, 0.2)
CHORD = {"x_m": To(-0.2, 0.2), "radius_m": To(0.2, 0.4)}
FRUSTUM = {"length_m": To(0.1, 9.0), "lower_diameter_m": To(0.1, 1.0), "upper_diameter_m": To(0.0, 1.0)}
TURN = {"cos_ratio": To(0.0, 1.0), "sin_ratio": To(0.0, 1.0)}

TABLE = {
    "axis.interpolated": {"place_m": To(-1.0, 9.0), "places_m": (0.0, 2.0, 5.0, 8.0), "values_m": (1.0, 0.5, 0.7, 0.1)},
    "axis.axis_direction": {"lean_rad": To(-0.5, 0.5), "bearing_rad": To(-7.0, 7.0)},
    "axis.axis_point": {"axis": POINT, "station_m": To(0.0, 9.0), "forward_m": To(-1.0, 1.0), "left_m": To(-1.0, 1.0)},
    "axis.centre_of_gravity": {"axis": POINT, "lumps": [LUMP, LUMP]},
    "axis.tipping_arm": {"place": POINT, "direction": POINT},
    "axis.side_arm": {"place": POINT, "direction": POINT},
    "axis.torsion_arm": {"place": POINT, "direction": POINT},
    "axis.rotated": {"place": POINT} | TURN,
    "axis.difference": {"head": POINT, "tail": POINT},
    "axis.length_of": {"vector": POINT},
    "axis.scaled": {"vector": POINT, "scale_factor": To(-2.0, 2.0)},
    "bollard.capstan_ratio": {"friction_coeff": FRICTION, "wrap_rad": To(0.0, 25.0)},
    "bollard.wraps_to_hold": {
        "tension_n": To(50.0, 9e3),
        "hand_force_n": To(50.0, 300.0),
        "friction_coeff": FRICTION,
    },
    "hinge.low_value": {"mean_pa": To(1e6, 1e8), "cov_ratio": To(0.0, 0.5)},
    "hinge.high_value": {"mean_pa": To(1e6, 1e8), "cov_ratio": To(0.0, 0.5)},
    "hinge.notch_apex": {"stem_diameter_m": To(0.2, 1.0), "notch_depth_ratio": To(0.1, 0.5)},
    "hinge.hinge_line": {"notch_apex_x_m": To(-0.1, 0.3), "thickness_m": To(0.02, 0.1)},
    "hinge.rectangle_elastic_modulus": {"width_m": To(0.1, 0.9), "thickness_m": To(0.02, 0.1)},
    "hinge.strip_elastic_modulus": {"back_x_m": To(-0.1, 0.05), "apex_x_m": 0.1, "radius_m": 0.2},
    "hinge.elastic_modulus_for": {"hinge": HINGE, "stem_diameter_m": 0.46, "thickness_m": To(0.02, 0.1)},
    "line.site_place": {"point": ANCHOR, "tree": TREE, "distance_factor": To(0.9, 1.1)},
    "line.sheave_redirect_efficiency": {"efficiency_ratio": To(0.8, 1.0), "wrap_rad": To(0.0, math.pi)},
    "line.ring_redirect_efficiency": {"friction_coeff": To(0.1, 0.3), "wrap_rad": To(0.0, math.pi)},
    "line.redirect_load": {"tension_in_n": To(1.0, 9e3), "tension_out_n": To(1.0, 9e3), "wrap_rad": To(0.0, math.pi)},
    "line.angle_between": {"one": POINT, "other": POINT},
    "line.depression_deg": {"direction": Vector(To(0.1, 0.2), To(0.0, 0.1), To(-1.0, 1.0))},
    "line.off_axis_deg": {"direction": POINT},
    "ratings.bend_efficiency": {"bend_ratio": To(3.0, 40.0)},
    "restraint.driving_force": {
        "mass_kg": To(10.0, 2e3),
        "slope_deg": To(-40.0, 60.0),
        "rolling_resistance_coeff": To(0.0, 0.5),
    },
    "restraint.rope_stiffness": {"rope": ROPE, "length_m": To(1.0, 50.0)},
    "resultants.two_force_resultant": {
        "force_1_n": FORCE,
        "force_2_n": FORCE,
        "included_rad": To(0.0, 3.2),
    },
    "resultants.resultant": {
        "tension_1_n": FORCE,
        "tension_2_n": FORCE,
        "included_angle_deg": To(0.0, 180.0),
    },
    "resultants.hitch_leg": {"tension_n": FORCE, "spread_deg": To(0.0, 119.0)},
    "rotation.turned": {"body": BODY} | TURN,
    "rotation.moment_demand": {
        "gravity_moment_n_m": To(-9e3, 9e3),
        "wind_moment_n_m": To(0.0, 3e3),
        "hinge_moment_n_m": To(0.0, 9e3),
        "margins": Margins(),
    },
    "rotation.loses_lever": {"demand_n_m": To(-1e3, 1e3), "lever_arm_m": To(-1.0, 1.0), "reach_m": To(1.0, 9.0)},
    "rotation.tension_for": {"demand_n_m": To(-1e3, 1e3), "lever_arm_m": To(0.5, 9.0)},
    "stem.frustum_volume": FRUSTUM,
    "stem.frustum_centroid": FRUSTUM,
    "stem.sweep_at": {"tree": TREE, "height_m": To(0.0, 12.0)},
    "strip.half_chord": CHORD,
    "strip.area_primitive": CHORD,
    "strip.first_moment_primitive": CHORD,
    "strip.second_moment_primitive": CHORD,
    "strip.side_moment_primitive": CHORD,
    "strip.strip": {"lower_x_m": To(-0.2, 0.0), "upper_x_m": To(0.05, 0.2), "radius_m": To(0.2, 0.4)},
    "strip.circle": {"radius_m": To(0.05, 0.9)},
    "strip.side_second_moment": {"lower_x_m": To(-0.2, 0.0), "upper_x_m": To(0.05, 0.2), "radius_m": To(0.2, 0.4)},
    "tackle.stage_advantage": {"stage": Stage(5, "to_disadvantage"), "sheave_efficiency_ratio": To(0.5, 1.0)},
    "tackle.hauling_ratios": {"efficiencies": [To(0.7, 1.0), To(0.7, 1.0), To(0.7, 1.0)]},
    "tackle.bearing_sum": {"ratios": [To(0.7, 1.0), To(0.7, 1.0), To(0.7, 1.0)], "parts": 2, "rove": "to_disadvantage"},
    "travel.rope_stretch": {"rope": ROPE, "length_m": To(1.0, 50.0), "tension_n": FORCE},
    "wind.dynamic_pressure": {"air_density_kg_m3": To(1.1, 1.3), "gust_m_s": To(0.0, 20.0)},
    "wind.frustum_area_centroid": FRUSTUM,
    "wind.pushes": {"axis": POINT, "lumps": [LUMP, LUMP], "dynamic_pressure_pa": To(0.0, 90.0)},
    "wind.gust_moment": {"loads": PUSHES} | TURN,
    "window_bounds.tension_from": {"moment_n_m": To(-1e3, 1e3), "lever_arm_m": To(0.5, 9.0)},
    "window_bounds.back_fibre_tension": SECTION,
    "window_bounds.front_fibre_tension": SECTION,
    "window_bounds.split_moment": {
        "chord_m": To(0.1, 0.4),
        "elastic_modulus_pa": To(5e9, 1e10),
        "fracture_energy_j_m2": To(100.0, 500.0),
        "left": LEFT,
        "whole": WHOLE,
    },
    "window_bounds.shear_moment": {
        "shear_strength_pa": To(4e6, 9e6),
        "chord_m": To(0.1, 0.4),
        "stem_diameter_m": To(0.3, 0.5),
        "cut": CUT,
        "whole": WHOLE,
    },
    "window_bounds.strap_moment": {
        "stress_pa": To(1e6, 1e7),
        "strap_area_m2": To(0.001, 0.02),
        "strap_lever_m": To(0.1, 0.4),
    },
}

# Take a whole situation rather than numbers; with arrays they are the study's samples and the grid of thicknesses.
# Work on samples alone, or serve the relations.
SAMPLES = {"uncertainty_inputs", "uncertainty", "numeric"}
WHOLES = {"pull.body_of", "pull.demand_in", "pull.self_falling_angle_deg", "rotation.body_about", "wind.resultants"}


def each(value, change):
    """The same structure with every leaf changed: points, lumps, bodies, lists of them."""
    if isinstance(value, Between) or (not isinstance(value, tuple | list) and not isinstance(value, Body)):
        return change(value)
    if isinstance(value, Body):
        return replace(value, **{field.name: each(getattr(value, field.name), change) for field in fields(value)})
    items = [each(item, change) for item in value]
    return type(value)(*items) if hasattr(value, "_fields") else type(value)(items)


def numbers(value):
    """Every number of a result, in order."""
    if is_dataclass(value):
        return [number for field in fields(value) for number in numbers(getattr(value, field.name))]
    if isinstance(value, tuple | list):
        return [number for item in value for number in numbers(item)]
    return [value]


def relation(name):
    module, function = name.split(".")
    return getattr(importlib.import_module(f"jobs.mechanics.{module}"), function)


@pytest.mark.parametrize("name", TABLE)
def test_arrays_give_what_each_of_their_numbers_gives(name):
    rng = np.random.default_rng(len(name))
    drawn = {
        key: each(spec, lambda leaf: rng.uniform(leaf.low, leaf.high, COUNT) if isinstance(leaf, Between) else leaf)
        for key, spec in TABLE[name].items()
    }
    together = numbers(relation(name)(**drawn))
    for place in range(COUNT):
        one = {
            key: each(value, lambda leaf: float(leaf[place]) if isinstance(leaf, np.ndarray) else leaf)  # noqa: B023
            for key, value in drawn.items()
        }
        alone = numbers(relation(name)(**one))
        assert all(isinstance(number, float | bool | np.bool_) for number in alone)
        found = [float(np.broadcast_to(number, COUNT)[place]) for number in together]
        assert found == pytest.approx([float(number) for number in alone], rel=1e-12, abs=1e-12)


def takes_numbers(function):
    hints = get_type_hints(function)
    hints.pop("return", None)
    return any(
        any(kind in repr(hint) for kind in ("NDArray", "ndarray", "numeric.Vector", "axis.Lump", "wind.Push", "~Ratio"))
        for hint in hints.values()
    )


def test_every_relation_on_numbers_has_a_row():
    found = set()
    for info in pkgutil.walk_packages(jobs.mechanics.__path__, "jobs.mechanics."):
        module, topic = importlib.import_module(info.name), info.name.removeprefix("jobs.mechanics.")
        for name, function in inspect.getmembers(module, inspect.isfunction):
            own = function.__module__ == module.__name__ and not name.startswith("_")
            if own and topic not in SAMPLES and takes_numbers(function):
                found.add(f"{topic}.{name}")
    assert found == set(TABLE) | WHOLES
