"""What must hold for every stem, hinge, line and gust, not for chosen ones."""

import math
from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from jobs.mechanics.errors import Refused
from jobs.mechanics.hinge import Hinge, hinge
from jobs.mechanics.line import Line, Redirect, SitePoint, line
from jobs.mechanics.pull import pull, scan_of
from jobs.mechanics.situation import situation
from jobs.mechanics.stem import CrownLump, Section, SweepKnot, Tree, stem
from jobs.mechanics.strip import strip
from jobs.mechanics.tackle import Stage
from jobs.mechanics.uncertainty import uncertainty
from jobs.mechanics.wind import Wind, wind
from jobs.mechanics.window import WindowOptions, window
from tests.width import wide

FEW = settings(max_examples=wide(50, 12), deadline=None)


def between(low, high):
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


@st.composite
def trees(draw):
    height = draw(between(6.0, 30.0))
    base = draw(between(0.2, 1.2))
    steps = draw(st.lists(between(0.1, 0.9), max_size=3, unique_by=lambda share: round(share, 2)))
    shares = [0.0, *sorted(steps), 1.0]
    taper = draw(between(0.3, 0.9))
    sections = tuple(Section(height_m=height * s, diameter_m=base * (1.0 - taper * s)) for s in shares)
    lumps = st.builds(
        CrownLump,
        mass_kg=between(0.0, 400.0),
        height_m=between(0.5 * height, height),
        forward_m=between(-1.0, 1.0),
        left_m=between(-1.0, 1.0),
        frontal_area_m2=between(0.0, 20.0),
    )
    knots = st.builds(SweepKnot, height_m=between(1.0, height), forward_m=between(-0.3, 0.3), left_m=between(-0.3, 0.3))
    return Tree(
        sections=sections,
        bark_thickness_m=draw(between(0.0, 0.02)),
        green_density_kg_m3=draw(between(500.0, 1200.0)),
        lean_deg=draw(between(0.0, 12.0)),
        lean_azimuth_deg=draw(between(0.0, 360.0)),
        lay_azimuth_deg=draw(between(0.0, 360.0)),
        hinge_height_m=draw(between(0.05, 0.8)),
        sweep=tuple(draw(st.lists(knots, max_size=1))),
        crown=tuple(draw(st.lists(lumps, max_size=2))),
    )


@st.composite
def hinges(draw):
    return Hinge(
        notch_depth_ratio=draw(between(0.20, 0.35)),
        thickness_m=None,
        shape=draw(st.sampled_from(["rectangle", "strip"])),
        rupture_modulus_mean_pa=draw(between(30e6, 100e6)),
        elastic_modulus_mean_pa=draw(between(5e9, 13e9)),
        shear_strength_mean_pa=draw(between(4e6, 12e6)),
        notch_opening_deg=draw(between(45.0, 95.0)),
        split_prone=draw(st.booleans()),
    )


@st.composite
def rigs(draw, redirected=True):
    made = draw(trees())
    top = made.sections[-1].height_m
    distance = draw(between(1.5, 4.0)) * top
    azimuth = made.lay_azimuth_deg + draw(between(-12.0, 12.0))
    slope = between(-12.0, 12.0)
    anchor = SitePoint(
        distance_m=distance, azimuth_deg=azimuth, slope_deg=draw(slope), height_m=draw(between(0.0, 2.0))
    )
    redirects: tuple[Redirect, ...] = ()
    if redirected and draw(st.booleans()):
        first = Redirect(
            distance_m=0.8 * distance,
            azimuth_deg=azimuth,
            slope_deg=draw(slope),
            height_m=draw(between(0.0, 2.0)),
            kind=draw(st.sampled_from(["sheave", "ring"])),
        )
        redirects = (first,)
        anchor = replace(anchor, azimuth_deg=azimuth + draw(between(-60.0, 60.0)))
    attached = Line(attach_height_m=draw(between(0.6, 0.95)) * top, redirects=redirects, anchor=anchor)
    return made, draw(hinges()), attached, Wind(gust_m_s=draw(between(0.0, 15.0)))


def solved(function, *inputs, **options):
    """The answer, or no example where the model refuses."""
    try:
        return function(*inputs, **options)
    except Refused:
        assume(False)


def mirrored(rig):
    """The same case seen in a mirror that holds the lay."""
    made, made_hinge, made_line, made_wind = rig
    lay = made.lay_azimuth_deg

    def flip(azimuth):
        return 2.0 * lay - azimuth

    made = replace(
        made,
        lean_azimuth_deg=flip(made.lean_azimuth_deg),
        sweep=tuple(replace(knot, left_m=-knot.left_m) for knot in made.sweep),
        crown=tuple(replace(part, left_m=-part.left_m) for part in made.crown),
    )
    made_line = replace(
        made_line,
        redirects=tuple(replace(point, azimuth_deg=flip(point.azimuth_deg)) for point in made_line.redirects),
        anchor=replace(made_line.anchor, azimuth_deg=flip(made_line.anchor.azimuth_deg)),
    )
    return made, made_hinge, made_line, made_wind


def numbers(result, path=""):
    if is_dataclass(result):
        for field in fields(result):
            yield from numbers(getattr(result, field.name), f"{path}.{field.name}")
    elif isinstance(result, tuple):
        for place, item in enumerate(result):
            yield from numbers(item, f"{path}[{place}]")
    elif isinstance(result, dict):
        for key, item in result.items():
            yield from numbers(item, f"{path}.{key}")
    elif isinstance(result, float):
        yield path, result


# Change their sign in the mirror; the torsion and side arms are axial vectors, the others components across the lay.
SIGNED = (".off_axis_angle_deg", ".side_arm_m", ".torsion_arm_m", "point_m[1]", "direction[1]", "gravity_m[1]")


@FEW
@given(rigs())
def test_left_and_right_differ_in_sign_and_in_nothing_else(rig):
    other = mirrored(rig)
    made, made_hinge, made_line, _ = rig
    pairs = [
        (solved(stem, made), stem(other[0])),
        (solved(line, made, made_line, made_hinge), line(other[0], other[2], other[1])),
        (solved(pull, *rig), solved(pull, *other)),
        (solved(window, *rig), solved(window, *other)),
    ]
    for here, there in pairs:
        for (path, value), (_, mirror) in zip(numbers(here), numbers(there), strict=True):
            sign = -1.0 if path.endswith(SIGNED) else 1.0
            assert mirror == pytest.approx(sign * value, rel=1e-6, abs=1e-6), path


@FEW
@given(rigs())
def test_every_figure_is_finite(rig):
    made, made_hinge, made_line, made_wind = rig
    answers = [solved(stem, made), solved(wind, made, made_wind), solved(line, made, made_line, made_hinge)]
    answers += [solved(pull, *rig, table_angles_deg=(0.0, 22.0)), solved(window, *rig)]
    found = [number for answer in answers for number in numbers(answer)]
    assert len(found) > 50
    assert [path for path, value in found if not math.isfinite(value)] == []


@FEW
@given(rigs())
def test_line_shortens_by_its_arm(rig):
    scan = scan_of(solved(situation, *rig))
    slope = np.gradient(np.asarray(scan.turn.leg_m), np.deg2rad(scan.angles_deg), edge_order=2)
    # The last step of the grid may be a short one, where a difference quotient is coarse.
    assert slope[:-2] == pytest.approx(-np.asarray(scan.turn.lever_arm_m)[:-2], rel=1e-4, abs=1e-4)


@FEW
@given(rigs(), between(1.0, 1.8))
def test_more_gust_never_lowers_the_tension_and_never_widens_the_window(rig, factor):
    made, made_hinge, made_line, made_wind = rig
    stronger = made, made_hinge, made_line, replace(made_wind, gust_m_s=factor * made_wind.gust_m_s)
    calm, blown = solved(pull, *rig), solved(pull, *stronger)
    assert blown.required_tension_n >= calm.required_tension_n * (1.0 - 1e-9)
    before, after = solved(window, *rig), solved(window, *stronger)
    assert after.lowest_tension_n >= before.lowest_tension_n * (1.0 - 1e-9)
    assert after.highest_tension_n <= before.highest_tension_n * (1.0 + 1e-9)


@FEW
@given(rigs(), between(1.0, 1.5))
def test_stronger_hinge_never_lowers_the_tension(rig, factor):
    made, made_hinge, made_line, made_wind = rig
    tougher = replace(made_hinge, rupture_modulus_mean_pa=factor * made_hinge.rupture_modulus_mean_pa)
    weak, strong = solved(pull, *rig), solved(pull, made, tougher, made_line, made_wind)
    assert strong.required_tension_n >= weak.required_tension_n * (1.0 - 1e-9)


@FEW
@given(rigs(), between(1.0, 1.5))
def test_stricter_factors_never_widen_the_window(rig, factor):
    plain = WindowOptions()
    stricter = WindowOptions(
        sit_back_factor=plain.sit_back_factor * factor,
        favourable_factor=plain.favourable_factor / factor,
        bending_fraction=plain.bending_fraction / factor,
        split_fraction=plain.split_fraction / factor,
        shear_fraction=plain.shear_fraction / factor,
        fracture_energy_j_m2=plain.fracture_energy_j_m2 / factor,
    )
    assert solved(window, *rig, stricter).gap_n <= solved(window, *rig, plain).gap_n + 1e-6


@FEW
@given(rigs(), between(0.0, 360.0))
def test_compass_direction_does_not_matter(rig, turn):
    made, made_hinge, made_line, made_wind = rig
    elsewhere = (
        replace(made, lay_azimuth_deg=made.lay_azimuth_deg + turn, lean_azimuth_deg=made.lean_azimuth_deg + turn),
        made_hinge,
        replace(
            made_line,
            redirects=tuple(replace(p, azimuth_deg=p.azimuth_deg + turn) for p in made_line.redirects),
            anchor=replace(made_line.anchor, azimuth_deg=made_line.anchor.azimuth_deg + turn),
        ),
        made_wind,
    )
    here, there = solved(pull, *rig), solved(pull, *elsewhere)
    for (path, value), (_, other) in zip(numbers(here), numbers(there), strict=True):
        assert other == pytest.approx(value, rel=1e-6, abs=1e-5), path


def enlarged(rig, s):
    """The same case s times as large; density over s, gust times root s, strengths times s keep all ratios."""
    made, made_hinge, made_line, made_wind = rig

    def longer(point):
        return replace(point, distance_m=s * point.distance_m, height_m=s * point.height_m)

    made = replace(
        made,
        sections=tuple(Section(height_m=s * c.height_m, diameter_m=s * c.diameter_m) for c in made.sections),
        bark_thickness_m=s * made.bark_thickness_m,
        hinge_height_m=s * made.hinge_height_m,
        sweep=tuple(
            SweepKnot(height_m=s * k.height_m, forward_m=s * k.forward_m, left_m=s * k.left_m) for k in made.sweep
        ),
        crown=tuple(
            replace(
                part,
                mass_kg=s**3 * part.mass_kg,
                height_m=s * part.height_m,
                forward_m=s * part.forward_m,
                left_m=s * part.left_m,
                frontal_area_m2=s**2 * part.frontal_area_m2,
            )
            for part in made.crown
        ),
    )
    made_hinge = replace(made_hinge, rupture_modulus_mean_pa=s * made_hinge.rupture_modulus_mean_pa)
    made_line = replace(
        made_line,
        attach_height_m=s * made_line.attach_height_m,
        redirects=tuple(longer(point) for point in made_line.redirects),
        anchor=longer(made_line.anchor),
    )
    return made, made_hinge, made_line, replace(made_wind, gust_m_s=math.sqrt(s) * made_wind.gust_m_s)


@FEW
@given(rigs(), st.sampled_from([1.25, 2.0]))
def test_case_s_times_as_large_needs_s_cubed_the_tension(rig, s):
    # Weight goes with s^3; gust pressure and strengths are raised by s so that their moments go with s^4 as well.
    made, made_hinge, made_line, made_wind = rig
    thickness = 0.1 * (stem(made).hinge_diameter_under_bark_m)
    assume(thickness > 0.03)
    small = made, replace(made_hinge, thickness_m=thickness), made_line, made_wind
    large = enlarged(small, s)
    large = (large[0], replace(large[1], thickness_m=s * thickness), large[2], large[3])
    one, other = solved(pull, *small), solved(pull, *large)
    assert other.required_tension_n == pytest.approx(s**3 * one.required_tension_n, rel=1e-6, abs=1e-6)
    assert other.tip_travel_m == pytest.approx(s * one.tip_travel_m, rel=1e-4, abs=1e-5)
    assert other.balance_angle_deg == pytest.approx(one.balance_angle_deg, rel=1e-6, abs=1e-6)


@FEW
@given(rigs())
def test_tension_covers_every_angle_of_the_rotation(rig):
    end = min(rig[1].notch_opening_deg, 90.0)
    result = solved(pull, *rig, table_angles_deg=tuple(round(end * k / 7.0, 1) for k in range(7)))
    assert max(row.tension_n for row in result.table) <= result.required_tension_n * (1.0 + 1e-9)
    assert 0.0 <= result.governing_angle_deg <= result.end_angle_deg


@FEW
@given(rigs())
def test_friction_of_redirects_asks_more_of_the_tackle_never_less(rig):
    result = solved(line, rig[0], rig[2], rig[1])
    assert 0.0 < result.line_efficiency <= 1.0
    for wrap, load in zip(result.wrap_angles_deg, result.redirect_load_ratios, strict=True):
        assert load >= 2.0 * math.sin(math.radians(wrap) / 2.0) - 1e-9


@FEW
@given(between(0.1, 0.6), between(-0.95, 0.9), between(0.01, 0.9))
def test_two_strips_make_the_strip_they_share(radius, low_share, step):
    low, high = low_share * radius, min(0.999, low_share + step) * radius
    middle = 0.5 * (low + high)
    below, above, whole = strip(low, middle, radius), strip(middle, high, radius), strip(low, high, radius)
    assert below.area_m2 + above.area_m2 == pytest.approx(whole.area_m2, rel=1e-6)
    moved = sum(
        part.second_moment_m4 + part.area_m2 * (part.centroid_x_m - whole.centroid_x_m) ** 2 for part in (below, above)
    )
    assert moved == pytest.approx(whole.second_moment_m4, rel=1e-4)
    assert low < whole.centroid_x_m < high


@FEW
@given(between(0.2, 1.0), between(0.20, 0.35), between(0.02, 0.15), st.sampled_from(["rectangle", "strip"]))
def test_plastic_moment_is_never_below_the_elastic(diameter, depth, share, shape):
    made = Hinge(
        stem_diameter_m=diameter,
        notch_depth_ratio=depth,
        thickness_m=share * diameter,
        shape=shape,
        rupture_modulus_mean_pa=50e6,
    )
    result = hinge(made)
    assert result.plastic_section_modulus_m3 >= result.elastic_section_modulus_m3
    assert result.hinge_back_x_m < result.hinge_line_x_m < result.notch_apex_x_m


@settings(max_examples=wide(15, 6), deadline=None)
@given(rigs(), st.integers(0, 1000))
def test_spread_is_ordered_and_finite(rig, seed):
    result = solved(uncertainty, *rig, (Stage(parts=5, rove="to_advantage"),), samples=300, seed=seed)
    assert 0.0 <= result.required_tension_p50_n <= result.required_tension_p95_n
    assert 0.0 <= result.crew_tension_p50_n <= result.crew_tension_p95_n <= result.required_tension_p95_n
    assert all(math.isfinite(value) for _, value in numbers(result))
    assert all(-1.0 <= value <= 1.0 for value in result.rank_correlations.values())
