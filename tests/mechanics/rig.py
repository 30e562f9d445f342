"""One ordinary stem, hinge, line and gust, and changed copies of them."""

from dataclasses import replace

from jobs.mechanics.hinge import Hinge
from jobs.mechanics.line import Line, SitePoint
from jobs.mechanics.stem import CrownLump, Section, Tree
from jobs.mechanics.wind import Wind

SECTIONS = tuple(Section(height_m=h, diameter_m=d) for h, d in ((0.0, 0.5), (1.5, 0.4), (8.0, 0.26), (12.0, 0.16)))
CROWN = (CrownLump(mass_kg=40.0, height_m=11.0, frontal_area_m2=2.0, drag_coeff=0.8),)

TREE = Tree(
    sections=SECTIONS,
    bark_thickness_m=0.01,
    green_density_kg_m3=900.0,
    lean_deg=3.0,
    lean_azimuth_deg=270.0,
    lay_azimuth_deg=90.0,
    hinge_height_m=0.3,
    crown=CROWN,
)
HINGE = Hinge(
    notch_depth_ratio=0.26,
    thickness_m=0.04,
    rupture_modulus_mean_pa=50e6,
    elastic_modulus_mean_pa=9e9,
    shear_strength_mean_pa=7e6,
)
ANCHOR = SitePoint(distance_m=25.0, azimuth_deg=90.0, slope_deg=-4.0, height_m=0.5)
LINE = Line(attach_height_m=8.0, sound_wood_height_m=10.0, anchor=ANCHOR)
WIND = Wind(gust_m_s=6.0)


def tree(**changes):
    return replace(TREE, **changes)


def hinge(**changes):
    return replace(HINGE, **changes)


def line(**changes):
    return replace(LINE, **changes)


def wind(**changes):
    return replace(WIND, **changes)


def pole(*, length_m=10.0, base_m=0.3, top_m=0.3, **changes):
    """A plain upright stem between two diameters, hinge at the ground, no crown."""
    sections = (Section(height_m=0.0, diameter_m=base_m), Section(height_m=length_m, diameter_m=top_m))
    given = {"sections": sections, "green_density_kg_m3": 1000.0, "lay_azimuth_deg": 0.0, "hinge_height_m": 0.0}
    return Tree(**{**given, **changes})
