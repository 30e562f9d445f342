"""Parts of a plan worked out again from the inputs alone: vectors, loops over the stem, polygons on the ground."""

import math

import numpy as np
import pytest
from shapely.geometry import LineString, Point, Polygon

from jobs.mechanics.plan.places import is_behind_anchor, is_in_bight
from tests.mechanics.plans import changed, full_inputs, passing_inputs, solved
from tests.rows import every_row

FULL = full_inputs()


def vector(inputs, point):
    """East, north, up from the stump centre at ground level [m]: no frame of the model."""
    azimuth, distance = math.radians(point["azimuth_deg"]), point["distance_m"]
    rise = distance * math.tan(math.radians(point.get("slope_deg", 0.0))) + point.get("height_m", 0.0)
    return np.array([distance * math.sin(azimuth), distance * math.cos(azimuth), rise])


def on_stem(inputs, height_m):
    """East, north, up of a point of the leaning axis; the hinge is straight above the stump centre."""
    tree = inputs["tree"]
    lean, azimuth = math.radians(tree["lean_deg"]), math.radians(tree["lean_azimuth_deg"])
    up = height_m - tree["hinge_height_m"]
    axis = np.array([math.sin(lean) * math.sin(azimuth), math.sin(lean) * math.cos(azimuth), math.cos(lean)])
    return np.array([0.0, 0.0, tree["hinge_height_m"]]) + up * axis


def unit(value):
    return value / np.linalg.norm(value)


def under_bark(tree, height_m):
    heights = [section["height_m"] for section in tree["sections"]]
    diameters = [section["diameter_m"] for section in tree["sections"]]
    return float(np.interp(height_m, heights, diameters)) - 2 * tree["bark_thickness_m"]


def low_strength(inputs):
    return inputs["hinge"]["rupture_modulus_mean_pa"] * (1 - 1.645 * 0.16)


@pytest.mark.parametrize("name", ["redirect_anchor_1", "bollard_anchor"])
def test_anchors_of_one_name_carry_the_length_of_the_summed_vectors(name):
    result = solved(FULL, {f"items.{name}.anchor_name": "oak 1"})
    attach = on_stem(FULL, FULL["line"]["attach_height_m"])
    redirect, anchor = vector(FULL, FULL["line"]["redirects"][0]), vector(FULL, FULL["line"]["anchor"])
    tackle_n, stem_n = result.tackle_tension_n, result.stem_tension_n
    at_anchor = result.loads_n["anchor"] * unit(redirect - anchor)
    at_redirect = stem_n * unit(attach - redirect) + tackle_n * unit(anchor - redirect)
    at_bollard = tackle_n * unit(redirect - anchor)
    other = at_redirect if name.startswith("redirect") else at_bollard
    assert np.linalg.norm(at_redirect) == pytest.approx(result.loads_n["redirect_anchor_1"])
    assert result.utilisations["anchor"].load_n == pytest.approx(np.linalg.norm(at_anchor + other))
    assert result.utilisations[name].load_n == pytest.approx(np.linalg.norm(at_anchor + other))


def test_side_line_holds_half_as_much_again_as_tips_to_its_side():
    result = solved(FULL)
    attach, anchor = on_stem(FULL, 8.5), vector(FULL, FULL["side_line"]["anchor"])
    pull = unit(vector(FULL, FULL["line"]["redirects"][0]) - attach) * result.stem_tension_n
    side = unit(anchor - attach)
    # Lay due east: tipping north is positive; moments about the east axis through the hinge at stump height + 0.3.
    lever = attach - np.array([0.0, 0.0, 0.3])

    def tips_north(force):
        return lever[2] * force[1] - lever[1] * force[2]

    work = result.working
    state = work.situation
    lean_n_m = state.stem.weight_n * state.stem.centre_of_gravity_m[1]  # y is north here: the lay points east
    assert lean_n_m < 0
    toward_south = -lean_n_m + state.wind_moment_n_m + max(0.0, -tips_north(pull))
    assert result.side.side_moment_n_m == pytest.approx(toward_south)
    assert result.side.side_arm_m == pytest.approx(tips_north(side))
    assert result.side.side_tension_n == pytest.approx(1.5 * toward_south / tips_north(side))


@pytest.mark.parametrize("inputs", [passing_inputs(), FULL], ids=["plain", "full"])
def test_stem_bends_first_where_a_walk_down_the_stem_says(inputs):
    result = solved(inputs)
    tree, attach_m = inputs["tree"], inputs["line"]["attach_height_m"]
    first = inputs["line"].get("redirects", [inputs["line"]["anchor"]])[0]
    leg = unit(vector(inputs, first) - on_stem(inputs, attach_m))
    level = math.hypot(leg[0], leg[1])
    least, step = math.inf, 0
    while tree["hinge_height_m"] + 0.1 * step < attach_m - 1e-9:
        height = tree["hinge_height_m"] + 0.1 * step
        section_modulus = math.pi * under_bark(tree, height) ** 3 / 32
        least = min(least, 0.30 * low_strength(inputs) * section_modulus / (level * (attach_m - height)))
        step += 1
    assert result.stem_bending_limit_n == pytest.approx(least)
    assert result.stem_snapping_tension_n == pytest.approx(least / 0.30)


def test_proof_pull_is_stopped_by_the_uncut_stem_where_it_hardly_tapers():
    pole = [{"height_m": h, "diameter_m": d} for h, d in ((0, 0.36), (1.5, 0.35), (8, 0.34), (12, 0.3))]
    inputs = changed(passing_inputs(), {"tree.sections": pole, "tree.lean_deg": 5.0})
    result = solved(inputs)
    state = result.working.situation
    radius = under_bark(inputs["tree"], 0.3) / 2
    area, fibre = math.pi * radius**2, 4 / (math.pi * radius**3)
    moment = state.stem.weight_n * abs(state.stem.centre_of_gravity_m[0]) + state.wind_moment_n_m
    attach, leg = np.array(state.geometry.attach_point_m), np.array(state.geometry.direction)
    arm = attach[2] * leg[0] - attach[0] * leg[2]

    def fibre_stress(tension, side):
        axial = (state.stem.weight_n - tension * leg[2]) / area  # compression positive
        return moment * fibre + tension * arm * fibre - side * axial

    sigma = 0.30 * low_strength(inputs)
    limit = result.proof_tension_limit_n * state.geometry.line_efficiency
    assert limit < result.stem_bending_limit_n
    # At the limit one fibre is just at its stress and the other below: tension at the back, compression in front.
    assert max(fibre_stress(limit, 1.0), fibre_stress(limit, -1.0)) == pytest.approx(sigma)


PATHS = {
    "one redirect": ((0.0, 0.0), (20.0, 0.0), (27.0, 12.0)),
    "two redirects": ((0.0, 0.0), (15.0, 3.0), (22.0, -9.0), (35.0, -4.0)),
    "no redirect": ((0.0, 0.0), (25.0, 5.0)),
}


@pytest.mark.parametrize("path", PATHS.values(), ids=PATHS.keys())
def test_bights_agree_with_polygons(path):
    bights = [Polygon(corners) for corners in zip(path, path[1:], path[2:], strict=False)]
    rng = np.random.default_rng(3)
    for x, y in rng.uniform([-5.0, -15.0], [40.0, 20.0], (400, 2)).tolist():
        inside = any(bight.intersects(Point(x, y)) for bight in bights)
        assert is_in_bight((x, y), path) == inside, (x, y)
    for corner in path:
        assert is_in_bight(corner, path) == any(bight.intersects(Point(corner)) for bight in bights)


@pytest.mark.parametrize("path", PATHS.values(), ids=PATHS.keys())
def test_sector_behind_the_anchor_agrees_with_a_cone_drawn_out(path):
    before, anchor = np.array(path[-2]), np.array(path[-1])
    ahead = unit(anchor - before)
    rng = np.random.default_rng(5)
    for x, y in rng.uniform([-5.0, -25.0], [60.0, 30.0], (400, 2)).tolist():
        there = np.array([x, y]) - anchor
        angle = math.degrees(math.acos(float(np.clip(unit(there) @ ahead, -1.0, 1.0))))
        assert is_behind_anchor((x, y), path) == (angle <= 15.0), (x, y)


def test_flat_bight_is_the_rope_itself():
    path = ((0.0, 0.0), (20.0, 0.0), (30.0, 0.0))
    rope = LineString(path)
    for x, y in ((5.0, 0.0), (30.0, 0.0), (31.0, 0.0), (-0.1, 0.0), (10.0, 0.01)):
        assert is_in_bight((x, y), path) == rope.intersects(Point(x, y))


def test_line_that_doubles_back_on_itself_is_its_longest_reach():
    path = ((0.0, 0.0), (20.0, 0.0), (8.0, 0.0))
    assert is_in_bight((15.0, 0.0), path)
    assert not is_in_bight((21.0, 0.0), path)


def test_thickest_hinge_is_the_one_found_by_trying_every_millimetre():
    result = solved(passing_inputs(), {"people": 2})
    passing = [
        mm
        for mm in range(23, 70)
        if "too-few-people" not in solved(passing_inputs(), {"people": 2, "hinge.thickness_m": mm / 1000}).codes
    ]
    assert result.thickest_hinge_m == max(passing) / 1000


def turns(count, azimuth_deg, step_deg):
    """Redirects one after the other, each further round."""
    return [
        {"distance_m": 20.0 + 3 * k, "azimuth_deg": azimuth_deg + step_deg * k, "height_m": 0.5, "kind": kind}
        for k, kind in zip(range(count), ("sheave", "ring", "sheave"), strict=False)
    ]


def test_each_of_several_redirects_carries_its_own_two_legs():
    inputs = changed(
        FULL,
        {
            "line.redirects": turns(3, 90.0, 12.0),
            "line.anchor": {"distance_m": 33.0, "azimuth_deg": 150.0, "height_m": 0.5},
            "side_line.redirects": turns(2, 5.0, -15.0),
            "side_line.anchor": {"distance_m": 30.0, "azimuth_deg": 320.0, "height_m": 0.5},
        },
    )
    result = solved(inputs)
    for prefix, line, attach_m, tension in (
        ("redirect", inputs["line"], 8.5, result.stem_tension_n),
        ("side_redirect", inputs["side_line"], 8.5, result.side.side_tension_n),
    ):
        corners = [on_stem(inputs, attach_m), *(vector(inputs, point) for point in line["redirects"])]
        corners.append(vector(inputs, line["anchor"]))
        for number, redirect in enumerate(line["redirects"], start=1):
            before, here, after = corners[number - 1 : number + 2]
            bend = math.acos(float(unit(here - before) @ unit(after - here)))
            ratio = 1 - 0.08 * math.sin(bend / 2) if redirect["kind"] == "sheave" else math.exp(-0.2 * bend)
            load = np.linalg.norm(tension * unit(before - here) + tension / ratio * unit(after - here))
            tension /= ratio
            for role in ("block", "sling", "anchor"):
                assert result.loads_n[f"{prefix}_{role}_{number}"] == pytest.approx(load), (prefix, number)
    assert result.side.side_bollard_tension_n == pytest.approx(tension)


@every_row("azimuth_deg", range(0, 360, 15))
def test_side_line_works_where_its_arm_is_half_the_distance_or_more(azimuth_deg):
    result = solved(FULL, {"side_line.anchor.azimuth_deg": float(azimuth_deg)})
    anchor = {"distance_m": 20.0, "azimuth_deg": azimuth_deg, "height_m": 0.4}
    attach = on_stem(FULL, 8.5)
    side, lever = unit(vector(FULL, anchor) - attach), attach - np.array([0.0, 0.0, 0.3])
    arm = lever[2] * side[1] - lever[1] * side[2]  # tips north, against the lean to the south
    assert result.side.side_arm_m == pytest.approx(arm)
    works = arm >= 0.5 * math.hypot(lever[1], lever[2])
    assert (result.side.side_tension_n is not None) == works
    assert ("side-line-ineffective" in result.codes) == (not works)


@pytest.mark.parametrize("azimuth_deg", [0.0, 180.0])
def test_stem_without_side_lean_may_be_held_from_either_side(azimuth_deg):
    changes = {"side_line": FULL["side_line"], "side_line.anchor.azimuth_deg": azimuth_deg}
    result = solved(changed(passing_inputs(), changes), {"line.anchor.azimuth_deg": 92.0})
    state = result.working.situation
    pull = abs(result.stem_tension_n * state.geometry.side_arm_m)
    assert pull > 0
    assert result.side.side_moment_n_m == pytest.approx(state.wind_moment_n_m + pull, rel=1e-6)
    assert result.side.side_tension_n == pytest.approx(1.5 * result.side.side_moment_n_m / result.side.side_arm_m)
