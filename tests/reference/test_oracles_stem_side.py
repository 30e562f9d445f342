"""The stem side against outside numerics: quadrature, roots, vectors, polygons, a section solver, a frame solver.

Nothing here calls the relation it checks on both sides: each expected value comes from integrating, cutting or solving
the same body by other means.
"""

import math
from dataclasses import replace
from functools import partial
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq, minimize_scalar
from shapely.geometry import Point, box

from jobs.mechanics.hinge import hinge_of
from jobs.mechanics.line import Redirect, SitePoint, line
from jobs.mechanics.pull import pull, scan_of
from jobs.mechanics.rotation import Margins
from jobs.mechanics.situation import situation
from jobs.mechanics.stem import CrownLump, SweepKnot, stem
from jobs.mechanics.strip import plastic_modulus, side_second_moment, strip
from jobs.mechanics.tackle import Stage
from jobs.mechanics.uncertainty import input_bases, sampled_body, sampled_tensions
from jobs.mechanics.uncertainty_inputs import drawn_inputs
from jobs.mechanics.wind import Wind, wind
from jobs.mechanics.window import window
from tests.mechanics.rig import HINGE, LINE, WIND, hinge, tree
from tests.mechanics.rig import line as changed_line

G = 9.80665
SWEPT = tree(
    lean_deg=7.0,
    lean_azimuth_deg=215.0,
    sweep=(
        SweepKnot(height_m=1.0, forward_m=0.0, left_m=0.1),
        SweepKnot(height_m=5.0, forward_m=0.3, left_m=-0.2),
        SweepKnot(height_m=9.0, forward_m=0.1, left_m=0.0),
    ),
    crown=(
        CrownLump(mass_kg=60.0, height_m=10.0, forward_m=0.4, left_m=0.7, frontal_area_m2=3.0),
        CrownLump(mass_kg=25.0, height_m=7.0, left_m=-0.9, frontal_area_m2=1.0, drag_coeff=1.0),
    ),
)
ASIDE = changed_line(
    redirects=(Redirect(distance_m=22.0, azimuth_deg=97.0, slope_deg=3.0, height_m=0.4, kind="sheave"),),
    anchor=SitePoint(distance_m=30.0, azimuth_deg=120.0),
)
STRIPS = [(-0.3, 0.12, 0.3), (0.06, 0.12, 0.3), (-0.3, -0.05, 0.3), (-0.02, 0.29, 0.31)]


def diameter(made, height):
    return np.interp(height, [s.height_m for s in made.sections], [s.diameter_m for s in made.sections])


def axis_place(made, height):
    """Point of the swept, leaning stem axis, from angles and knots alone."""
    lean = math.radians(made.lean_deg)
    bearing = math.radians(made.lean_azimuth_deg - made.lay_azimuth_deg)
    along = height - made.hinge_height_m
    knots = [k.height_m for k in made.sweep] or [0.0]
    forward = np.interp(height, knots, [k.forward_m for k in made.sweep] or [0.0])
    left = np.interp(height, knots, [k.left_m for k in made.sweep] or [0.0])
    x = along * math.sin(lean) * math.cos(bearing) + forward
    return np.array([x, -along * math.sin(lean) * math.sin(bearing) + left, along * math.cos(lean)])


def integral(function, made):
    marks = sorted({s.height_m for s in made.sections} | {k.height_m for k in made.sweep})
    top = made.sections[-1].height_m
    inner = [m for m in marks if made.hinge_height_m < m < top]
    return quad(function, made.hinge_height_m, top, points=inner or None, epsabs=1e-12, epsrel=1e-12, limit=200)[0]


@pytest.mark.parametrize("made", [tree(crown=()), replace(SWEPT, crown=())], ids=["straight", "swept"])
def test_mass_and_centre_of_gravity_by_quadrature_over_the_stem(made):
    def slice_mass(height):
        return 900.0 * math.pi * diameter(made, height) ** 2 / 4.0

    mass = integral(slice_mass, made)
    centre = [integral(lambda h, i=i: slice_mass(h) * axis_place(made, h)[i], made) / mass for i in range(3)]
    result = stem(made)
    assert result.total_mass_kg == pytest.approx(mass, rel=1e-9)
    assert result.centre_of_gravity_m == pytest.approx(centre, rel=1e-8, abs=1e-9)


def test_gust_moment_by_quadrature_over_the_stem():
    made = replace(SWEPT, crown=())
    pressure = 0.5 * 1.25 * 81.0
    force = integral(lambda h: pressure * 1.2 * diameter(made, h), made)
    moment = integral(lambda h: pressure * 1.2 * diameter(made, h) * axis_place(made, h)[2], made)
    result = wind(made, Wind(gust_m_s=9.0))
    assert (result.force_n, result.moment_n_m) == pytest.approx((force, moment), rel=1e-9)


def width(x, radius):
    return 2.0 * math.sqrt(max(0.0, radius * radius - x * x))


def over(function, lower, upper):
    return quad(function, lower, upper, epsabs=1e-14, epsrel=1e-11, limit=400)[0]


@pytest.mark.parametrize(("lower", "upper", "radius"), STRIPS)
def test_strip_by_quadrature(lower, upper, radius):
    found = strip(lower, upper, radius)
    area = over(lambda x: width(x, radius), lower, upper)
    centroid = over(lambda x: x * width(x, radius), lower, upper) / area
    assert found.area_m2 == pytest.approx(area, rel=1e-8)
    assert found.centroid_x_m == pytest.approx(centroid, rel=1e-8)
    second = over(lambda x: (x - centroid) ** 2 * width(x, radius), lower, upper)
    assert found.second_moment_m4 == pytest.approx(second, rel=1e-7)
    side = over(lambda x: width(x, radius) ** 3 / 12.0, lower, upper)
    assert side_second_moment(lower, upper, radius) == pytest.approx(side, rel=1e-7)


@pytest.mark.parametrize(("lower", "upper", "radius"), STRIPS)
def test_plastic_modulus_is_the_least_first_moment_about_any_axis(lower, upper, radius):
    # The axis that halves the area makes int |x - a| w dx least; found here by search, without halving anything.
    edges = np.linspace(lower, upper, 40_001)
    middles, widths = 0.5 * (edges[1:] + edges[:-1]), np.sqrt(radius**2 - (0.5 * (edges[1:] + edges[:-1])) ** 2) * 2.0
    step = edges[1] - edges[0]
    least = minimize_scalar(
        lambda a: float(np.sum(np.abs(middles - a) * widths) * step), bounds=(lower, upper), method="bounded"
    )
    assert plastic_modulus(lower, upper, radius) == pytest.approx(least.fun, rel=1e-6)


@pytest.mark.parametrize(("lower", "upper", "radius"), STRIPS)
def test_strip_is_what_two_cuts_leave_of_a_round_polygon(lower, upper, radius):
    left = Point(0.0, 0.0).buffer(radius, quad_segs=2048).intersection(box(lower, -1.0, upper, 1.0))
    found = strip(lower, upper, radius)
    assert found.area_m2 == pytest.approx(left.area, rel=1e-5)
    assert found.centroid_x_m == pytest.approx(left.centroid.x, rel=1e-5)


def test_strip_hinge_agrees_with_a_section_solver():
    from sectionproperties.analysis import Section
    from sectionproperties.pre import Geometry

    made = hinge_of(hinge(shape="strip", thickness_m=0.06, notch_depth_ratio=0.30), 0.6)
    round_stem = Point(0.0, 0.0).buffer(0.3, quad_segs=256)
    left = round_stem.intersection(box(made.hinge_back_x_m, -1.0, made.notch_apex_x_m, 1.0))
    geometry = Geometry(left)
    geometry.create_mesh(mesh_sizes=[1e-3])
    section = Section(geometry)
    section.calculate_geometric_properties()
    section.calculate_plastic_properties()
    ixx, iyy, _ = section.get_ic()
    assert made.area_m2 == pytest.approx(section.get_area(), rel=1e-4)
    assert made.fell_second_moment_m4 == pytest.approx(iyy, rel=1e-3)
    assert made.side_second_moment_m4 == pytest.approx(ixx, rel=1e-3)
    zyy_plus, zyy_minus = section.get_z()[2:4]
    assert made.elastic_section_modulus_m3 == pytest.approx(min(zyy_plus, zyy_minus), rel=1e-3)
    assert made.plastic_section_modulus_m3 == pytest.approx(section.get_s()[1], rel=1e-3)


class VectorBalance:
    """The moment balance about the hinge line with rotation matrices and cross products."""

    def __init__(self, made, made_hinge, made_line, made_wind, slices=4000):
        result = stem(made)
        section = hinge_of(made_hinge, result.hinge_diameter_under_bark_m)
        geometry = line(made, made_line, made_hinge)
        self.hinge_line = np.array([section.hinge_line_x_m, 0.0, 0.0])
        self.moment = section.plastic_moment_high_n_m
        self.weight, self.centre = result.weight_n, np.array(result.centre_of_gravity_m)
        self.attach, self.fixed = np.array(geometry.attach_point_m), np.array(geometry.first_point_m)
        self.loads = self.gust(made, made_wind, slices)

    @staticmethod
    def gust(made, made_wind, slices):
        """The gust on thin slices of the stem and on the crown: [(force, place)]."""
        pressure = 0.5 * made_wind.air_density_kg_m3 * made_wind.gust_m_s**2
        edges = np.linspace(made.hinge_height_m, made.sections[-1].height_m, slices + 1)
        loads = []
        for low, high in pairwise(edges):
            middle = 0.5 * (low + high)
            force = pressure * made_wind.stem_drag_coeff * diameter(made, middle) * (high - low)
            loads.append((force, axis_place(made, middle)))
        for part in made.crown:
            place = axis_place(made, part.height_m) + np.array([part.forward_m, part.left_m, 0.0])
            loads.append((pressure * part.drag_coeff * part.frontal_area_m2, place))
        return loads

    def turned(self, places, angle):
        c, s = math.cos(angle), math.sin(angle)
        matrix = np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])
        return self.hinge_line + (np.atleast_2d(places) - self.hinge_line) @ matrix.T

    def demand(self, angle_deg, margins):
        angle = math.radians(angle_deg)
        centre = self.turned(self.centre, angle)[0]
        gravity = np.cross(centre - self.hinge_line, [0.0, 0.0, -self.weight])[1]
        heights = self.turned([place for _, place in self.loads], angle)[:, 2]
        gust = sum(force * max(0.0, z) for (force, _), z in zip(self.loads, heights, strict=True))
        against = max(0.0, -gravity) + gust + self.moment
        return margins.adverse_factor * against - margins.favourable_factor * max(0.0, gravity)

    def arm(self, angle_deg):
        attach = self.turned(self.attach, math.radians(angle_deg))[0]
        leg = self.fixed - attach
        return np.cross(attach - self.hinge_line, leg / np.linalg.norm(leg))[1]


@pytest.mark.parametrize(
    ("made", "made_line"), [(tree(), LINE), (SWEPT, ASIDE)], ids=["in the lay", "swept, crowned, redirected"]
)
def test_tension_and_self_falling_angle_by_vectors_and_a_root(made, made_line):
    balance = VectorBalance(made, HINGE, made_line, WIND)
    angles = (0.0, 7.3, 21.0, 34.9, 52.0)
    result = pull(made, HINGE, made_line, WIND, table_angles_deg=angles)
    for row in result.table:
        demand, arm = balance.demand(row.angle_deg, Margins()), balance.arm(row.angle_deg)
        assert row.lever_arm_m == pytest.approx(arm, rel=1e-9)
        assert row.tension_n == pytest.approx(max(0.0, demand / arm), rel=1e-5, abs=1e-6)
    falling = brentq(partial(balance.demand, margins=Margins()), 5.0, 70.0)
    assert result.self_falling_angle_deg == pytest.approx(falling, abs=1e-3)


@pytest.mark.parametrize("made_line", [LINE, ASIDE], ids=["in the lay", "aside"])
def test_line_shortens_by_its_lever_arm_for_each_radian(made_line):
    scan = scan_of(situation(SWEPT, HINGE, made_line, WIND))
    legs, arms = np.asarray(scan.turn.leg_m), np.asarray(scan.turn.lever_arm_m)
    slope = np.gradient(legs, np.deg2rad(scan.angles_deg), edge_order=2)
    assert slope == pytest.approx(-arms, rel=1e-5, abs=1e-5)


def test_fibres_at_the_bend_bound_by_a_stress_field_in_equilibrium():
    # A linear stress over the section that carries the axial force and the moment, solved from integrals of the width.
    state, radius = situation(tree(), HINGE, LINE, WIND), 0.23
    tension, apex = window(tree(), HINGE, LINE, WIND).upper_bounds_n.bend, state.section.notch_apex_x_m
    powers = [over(lambda x, n=n: x**n * width(x, radius), -radius, apex) for n in range(3)]
    attach, u = np.array(state.geometry.attach_point_m), np.array(state.geometry.direction)
    vertical = -state.stem.weight_n + tension * u[2]
    moment = np.cross(attach, tension * u)[1] + state.wind_moment_n_m
    moment += state.stem.weight_n * state.stem.centre_of_gravity_m[0]
    # Tension positive: sum of stress = vertical force; stress at x < 0 gives a forward moment of opposite sign.
    level, slope = np.linalg.solve([[powers[0], powers[1]], [powers[1], powers[2]]], [vertical, -moment])
    extremes = abs(level - slope * radius), abs(level + slope * apex)
    assert max(extremes) == pytest.approx(0.30 * state.section.rupture_modulus_low_pa, rel=1e-6)


def test_split_moment_by_the_energy_two_lengths_of_cut_differ_by():
    # Strain energy of the bent stem per metre of height, whole and behind the cut, by quadrature of stress squared.
    result, state = window(tree(), HINGE, LINE, WIND), situation(tree(), HINGE, LINE, WIND)
    radius, apex, moment = 0.23, state.section.notch_apex_x_m, result.split_moment_n_m

    def energy_per_metre(lower):
        area = over(lambda x: width(x, radius), lower, apex)
        centre = over(lambda x: x * width(x, radius), lower, apex) / area
        inertia = over(lambda x: (x - centre) ** 2 * width(x, radius), lower, apex)
        return over(lambda x: (moment * (x - centre) / inertia) ** 2 / (2.0 * 9e9) * width(x, radius), lower, apex)

    gained = energy_per_metre(result.back_cut_x_m) - energy_per_metre(-radius)
    assert gained / width(result.back_cut_x_m, radius) == pytest.approx(350.0, rel=1e-6)


def test_moments_at_the_stump_agree_with_a_frame_solver():
    """A clamped stem with a stay to the first fixed point, pushed by the gust: reactions against our lever arms."""
    from Pynite import FEModel3D

    state = situation(SWEPT, HINGE, ASIDE, WIND)
    x, y, z = state.geometry.attach_point_m
    fx, fy, fz = state.geometry.first_point_m
    model = FEModel3D()
    model.add_material("wood", 9e9, 0.6e9, 0.3, 0.0)
    model.add_section("stem", 0.07, 4e-4, 4e-4, 8e-4)
    model.add_section("rope", 1e-4, 1e-12, 1e-12, 1e-12)
    model.add_node("stump", state.section.hinge_line_x_m, 0.0, 0.0)
    model.add_node("attach", x, y, z)
    model.add_node("fixed", fx, fy, fz)
    model.add_member("stem", "stump", "attach", "wood", "stem")
    model.add_member("rope", "attach", "fixed", "wood", "rope")
    model.def_releases("rope", Ryi=True, Rzi=True, Ryj=True, Rzj=True)
    model.def_support("stump", True, True, True, True, True, True)
    model.def_support("fixed", True, True, True, True, True, True)
    push = 900.0
    model.add_node_load("attach", "FX", -push)
    model.analyze_linear()
    tension = -model.members["rope"].axial(0.0)
    stump = model.nodes["stump"]
    assert tension > 100.0
    moments = (
        tension * state.geometry.side_arm_m,
        tension * state.geometry.lever_arm_m - push * z,
        tension * state.geometry.torsion_arm_m + push * y,
    )
    reactions = [-moment["Combo 1"] for moment in (stump.RxnMX, stump.RxnMY, stump.RxnMZ)]
    assert reactions == pytest.approx(moments, rel=1e-6, abs=1e-3)
    lifted = tension * state.geometry.compression_ratio
    assert stump.RxnFZ["Combo 1"] == pytest.approx(lifted, rel=1e-6, abs=1e-3)


def test_samples_one_by_one_with_vectors_agree_with_all_at_once():
    made_hinge, stages = hinge(notch_opening_deg=60.0), (Stage(parts=5, rove="to_advantage"),)
    state = situation(SWEPT, made_hinge, ASIDE, WIND)
    values = drawn_inputs(input_bases(state, stages), {}, samples=30, seed=11)
    strength = values["rupture_modulus"] * np.maximum(values["hinge_thickness"], 0.005) ** 2 / 0.04**2
    moments = strength * state.section.plastic_section_modulus_m3
    (found,), lost = sampled_tensions(sampled_body(state, values), (moments,), 60.0)
    assert not lost.any()
    expected = []
    for number in range(30):
        one = {name: float(sample[number]) for name, sample in values.items()}
        crown = tuple(
            replace(part, mass_kg=part.mass_kg * one["crown_mass"], forward_m=part.forward_m + one["crown_forward"])
            for part in SWEPT.crown
        )
        made = replace(
            SWEPT,
            green_density_kg_m3=one["green_density"] * one["diameter"] ** 2,
            # A lean past upright is a lean the other way.
            lean_deg=abs(one["lean"]),
            lean_azimuth_deg=SWEPT.lean_azimuth_deg + one["lean_azimuth"] + (180.0 if one["lean"] < 0.0 else 0.0),
            crown=crown,
        )
        first = replace(ASIDE.redirects[0], distance_m=ASIDE.redirects[0].distance_m * one["anchor_distance"])
        made_line = replace(ASIDE, attach_height_m=one["attach_height"], redirects=(first,))
        gust = Wind(gust_m_s=one["gust"], stem_drag_coeff=1.2 * one["diameter"])
        balance = VectorBalance(made, made_hinge, made_line, gust, slices=200)
        balance.moment = float(moments[number])
        plain = Margins(adverse_factor=1.0, favourable_factor=1.0)
        coarse = max(balance.demand(angle, plain) / balance.arm(angle) for angle in range(0, 61, 5))
        expected.append(max(0.0, coarse))
    # The outside search looks every 5 degrees, ours every half: at most a little lower, never higher.
    assert (np.array(expected) <= found * (1.0 + 1e-4) + 1e-6).all()
    assert found == pytest.approx(expected, rel=5e-3)
