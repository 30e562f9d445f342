"""Plans to draw: two of the mechanics' worked examples, and variants of them that strain the layout.

The topics stem, line and pull of the variants are worked out here in the plane of the lay, only so that the drawings
have figures to show; the figures themselves are tested with the mechanics.
"""

import copy
import json
import math
from dataclasses import fields
from pathlib import Path

from jobs.drawing.figures import PlanFigures
from jobs.mechanics.convert import from_json
from jobs.mechanics.line import LineResult
from jobs.mechanics.plan_result import PlanResult
from jobs.mechanics.pull import PullResult, PullRow
from jobs.mechanics.stem import StemResult
from jobs.mechanics.tackle import TackleResult, TackleStageResult
from jobs.mechanics.window import WindowResult
from jobs.plans.request_json import read_request

PLANS = Path(__file__).parent / "plans"
GRAVITY = 9.80665


def result_of(kind, **shown):
    """A result with the figures that drawings show; those that none shows are 0."""
    return kind(**{entry.name: 0.0 for entry in fields(kind)} | shown)


def load(name):
    return json.loads((PLANS / f"{name}.json").read_text(encoding="utf-8"))


def _axis(tree, height_m):
    lean = math.radians(tree.get("lean_deg", 0.0))
    turn = math.radians(tree.get("lean_azimuth_deg", tree["lay_azimuth_deg"]) - tree["lay_azimuth_deg"])
    reach = height_m - tree["hinge_height_m"]
    return (
        reach * math.sin(lean) * math.cos(turn),
        -reach * math.sin(lean) * math.sin(turn),
        reach * math.cos(lean),
    )


def _point(tree, point):
    turn = math.radians(point["azimuth_deg"] - tree["lay_azimuth_deg"])
    d = point["distance_m"]
    z = d * math.tan(math.radians(point.get("slope_deg", 0.0))) + point.get("height_m", 0.0) - tree["hinge_height_m"]
    return (d * math.cos(turn), -d * math.sin(turn), z)


def line_topic(plan):
    tree, line = plan["tree"], plan["line"]
    attach = _axis(tree, line["attach_height_m"])
    first = _point(tree, (line.get("redirects") or [line["anchor"]])[0])
    leg = [b - a for a, b in zip(attach, first, strict=True)]
    length = math.dist(attach, first)
    ux, _, uz = (part / length for part in leg)
    return result_of(
        LineResult,
        attach_point_m=attach,
        first_point_m=first,
        first_leg_length_m=length,
        depression_angle_deg=math.degrees(math.asin(-uz)),
        lever_arm_m=attach[2] * ux - (attach[0] - 0.0904) * uz,
    )


def stem_topic(plan):
    tree = plan["tree"]
    top = tree["sections"][-1]["height_m"]
    centre = _axis(tree, tree["hinge_height_m"] + 0.37 * top)
    return result_of(StemResult, total_mass_kg=840.0, centre_of_gravity_m=centre)


def pull_topic(plan, results):
    """Tension over the tipping angle, in the plane of the lay."""
    x_hinge, weight, wind, hinge = 0.0904, 8233.4, 853.0, 10195.0
    gravity = stem_topic(plan).centre_of_gravity_m
    attach, first = line_topic(plan).attach_point_m, line_topic(plan).first_point_m
    table = []
    for tenths in range(0, 701, 20):
        a = math.radians(tenths / 10)
        gx = (gravity[0] - x_hinge) * math.cos(a) + gravity[2] * math.sin(a)
        px = (attach[0] - x_hinge) * math.cos(a) + attach[2] * math.sin(a) + x_hinge
        pz = -(attach[0] - x_hinge) * math.sin(a) + attach[2] * math.cos(a)
        length = math.hypot(first[0] - px, first[2] - pz)
        arm = (pz * (first[0] - px) - (px - x_hinge) * (first[2] - pz)) / length
        moment = weight * gx
        need = 1.5 * (max(0.0, -moment) + wind + hinge) - 0.9 * max(0.0, moment)
        table.append(PullRow(angle_deg=tenths / 10, tension_n=max(0.0, need / arm), lever_arm_m=arm, travel_m=0.0))
    return result_of(
        PullResult,
        required_tension_upright_n=table[0].tension_n,
        required_tension_n=results["required_tension_n"],
        balance_angle_deg=results["balance_angle_deg"],
        self_falling_angle_deg=results["self_falling_angle_deg"],
        end_angle_deg=70.0,
        table=tuple(table),
    )


def window_topic(results):
    low, high = results["lowest_tension_n"], results["highest_tension_n"]
    return result_of(
        WindowResult,
        lowest_tension_n=low,
        highest_tension_n=high,
        is_empty=low > high,
        recommended_tension_n=None if low > high else low + (high - low) / 3,
        governing_bound="split",
        split_risk="low",
    )


def tackle_topic(parts=5, rove="to_advantage", load_n=2891.0, efficiency=0.92):
    """One stage by the compounded rule: each sheave passes on `efficiency` of its tension."""
    sheaves = parts - 1 if rove == "to_advantage" else parts
    bearing = range(parts) if rove == "to_advantage" else range(1, parts + 1)
    hand = load_n / sum(efficiency**i for i in bearing)
    first, second = ("moving", "fixed") if rove == "to_advantage" else ("fixed", "moving")
    blocks = [first if i % 2 == 0 else second for i in range(sheaves)]
    parts_n = [hand * efficiency**i for i in range(sheaves + 1)]
    fixed = load_n - hand if rove == "to_advantage" else load_n + hand
    stage = result_of(
        TackleStageResult,
        ideal_advantage=parts,
        becket_on="fixed" if blocks[-1] == "moving" else "moving",
        hauling_part_tensions_n=tuple(parts_n),
        holding_part_tensions_n=(),
        cleated_part_tensions_n=(),
        sheave_blocks=tuple(blocks),
        hauling_force_n=hand,
        moving_block_load_n=load_n,
        fixed_block_hauling_load_n=fixed,
    )
    return result_of(TackleResult, stages=(stage,), hauling_force_n=hand)


def figures_of(inputs, results):
    stage = inputs["stages"][0]
    return PlanFigures(
        inputs=read_request(inputs),
        results=from_json(PlanResult, results, "results"),
        stem=stem_topic(inputs),
        line=line_topic(inputs),
        window=window_topic(results),
        tackle=tackle_topic(stage["parts"], stage["rove"], results["tackle_tension_n"]),
        pull=pull_topic(inputs, results),
    )


def one_hauler():
    plan = load("one_hauler")
    return figures_of(plan["inputs"], plan["results"])


def side_line_and_redirect():
    plan = load("side_line_and_redirect")
    return figures_of(plan["inputs"], plan["results"])


def variant(**changes):
    """The first plan with some of its geometry changed: anchor=…, line=…, tree=…, people=…, haulers=…"""
    plan = copy.deepcopy(load("one_hauler"))
    inputs, results = plan["inputs"], plan["results"]
    inputs["line"]["anchor"].update(changes.get("anchor", {}))
    inputs["line"].update(changes.get("line", {}))
    inputs["tree"].update(changes.get("tree", {}))
    inputs["people"] = changes.get("people", inputs["people"])
    for place in inputs["places"]:
        place.update(changes.get(place["place"], {}))
    inputs["items"]["anchor"]["kind"] = changes.get("anchor_kind", "stump")
    results.update(changes.get("results", {}))
    return figures_of(inputs, results)


SHORT_STEM = [
    {"height_m": 0, "diameter_m": 0.42},
    {"height_m": 2, "diameter_m": 0.36},
    {"height_m": 5, "diameter_m": 0.3},
]
TALL_STEM = [
    {"height_m": 0, "diameter_m": 0.9},
    {"height_m": 12, "diameter_m": 0.6},
    {"height_m": 26, "diameter_m": 0.2},
]

ALL = {
    "one hauler": one_hauler,
    "side line and redirect": side_line_and_redirect,
    "steep line": lambda: variant(
        anchor={"distance_m": 9.5, "slope_deg": 0.0},
        haulers={"distance_m": 13.0, "azimuth_deg": 100.0},
        people=4,
    ),
    "anchor uphill": lambda: variant(
        anchor={"distance_m": 30.0, "slope_deg": 18.0}, people=4, haulers={"distance_m": 33.0}, anchor_kind="tree"
    ),
    "anchor far downhill": lambda: variant(
        anchor={"distance_m": 34.0, "slope_deg": -17.0}, people=3, haulers={"distance_m": 36.0}
    ),
    "short stem": lambda: variant(
        tree={"sections": SHORT_STEM, "crown": []},
        line={"attach_height_m": 4.2},
        anchor={"distance_m": 14.0, "slope_deg": 0.0},
        haulers={"distance_m": 17.0},
        people=2,
    ),
    "line of 60 m": lambda: variant(
        anchor={"distance_m": 60.0, "slope_deg": -1.0}, haulers={"distance_m": 63.0}, people=5
    ),
    "tall stem, forward lean": lambda: variant(
        tree={"sections": TALL_STEM, "lean_azimuth_deg": 90.0, "lean_deg": 6.0, "tree_height_m": 29.0},
        line={"attach_height_m": 18.0},
        anchor={"distance_m": 40.0, "slope_deg": 2.0},
        haulers={"distance_m": 45.0},
        people=4,
        anchor_kind="machine",
    ),
    "redirect behind the stump": lambda: variant(
        line={
            "redirects": [
                {"distance_m": 22.0, "azimuth_deg": 92.0, "slope_deg": 1.0, "height_m": 0.4, "kind": "sheave"},
                {"distance_m": 24.0, "azimuth_deg": 150.0, "slope_deg": 0.0, "height_m": 0.4, "kind": "ring"},
            ]
        },
        anchor={"distance_m": 24.0, "azimuth_deg": 200.0, "slope_deg": 0.0},
        haulers={"distance_m": 27.0, "azimuth_deg": 205.0},
        people=3,
    ),
}
