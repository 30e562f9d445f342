"""A refusal says the figure it turns on and what the model covers."""

from dataclasses import replace

import pytest

from jobs.mechanics.errors import Refused
from jobs.mechanics.hinge import hinge
from jobs.mechanics.line import line
from jobs.mechanics.measured import measured_efficiency
from jobs.mechanics.numeric import arcsin
from jobs.mechanics.ratings import Item, capacity
from jobs.mechanics.stem import Section, Tree, stem
from jobs.mechanics.tackle import Stage, tackle
from jobs.mechanics.travel import resets_for
from tests.given import Given
from tests.mechanics.rig import ANCHOR, HINGE, LINE, TREE
from tests.rows import every_row

UPRIGHT = replace(TREE, lean_deg=0.0)
FIVE = Stage(parts=5, rove="to_advantage")
WIDE = replace(HINGE, stem_diameter_m=0.4)


def on(**changes):
    return lambda: line(UPRIGHT, replace(LINE, **changes), HINGE)


def item(**changes):
    given: Given = {"kind": "sling", "breaking_strength_n": 70000.0} | changes
    return lambda: capacity(Item(**given))


REFUSALS = [
    ("hinge-outside-sections", lambda: stem(replace(TREE, hinge_height_m=12.0)), (12.0, 0.0, 12.0)),
    (
        "hinge-outside-sections",
        lambda: stem(replace(TREE, sections=TREE.sections[1:], hinge_height_m=1.4)),
        (1.4, 1.5, 12.0),
    ),
    ("lean-too-great", lambda: stem(replace(TREE, lean_deg=30.1)), (30.1, 30.0)),
    ("hinge-geometry", lambda: hinge(replace(WIDE, notch_depth_ratio=0.51)), (0.51, 0.1, 0.5)),
    ("hinge-geometry", lambda: hinge(replace(WIDE, notch_depth_ratio=0.5, thickness_m=0.18)), (0.18, 0.4)),
    ("attach-above-sound-wood", on(attach_height_m=10.1), (10.1, 10.0)),
    ("attach-outside-stem", on(attach_height_m=12.1, sound_wood_height_m=None), (12.1, 0.3, 12.0)),
    ("attach-outside-stem", on(attach_height_m=0.3), (0.3, 0.3, 12.0)),
    ("tackle-parts", lambda: tackle([replace(FIVE, parts=9)], 100.0), (9.0,)),
    ("tackle-eta", lambda: tackle([replace(FIVE, sheave_efficiency=(0.9, 0.9, 0.9))], 100.0), (3.0, 4.0)),
    ("tackle-eta", lambda: tackle([replace(FIVE, sheave_efficiency=0.49)], 100.0), (0.49,)),
    ("no-throw", lambda: resets_for(1.0, throw_m=0.0, setback_m=0.1), (0.0,)),
    ("no-throw", lambda: resets_for(1.0, throw_m=0.3, setback_m=0.3), (0.3, 0.3)),
    ("too-few-pairs", lambda: measured_efficiency(5, "to_advantage", [(100.0, 400.0)] * 2), (2.0, 3.0)),
    ("ma-above-ideal", lambda: measured_efficiency(5, "to_advantage", [(100.0, 510.0)] * 3), (5.1, 5.0)),
    ("connector-gate", item(kind="connector", gate="plain"), ("plain",)),
    ("connector-gate", item(kind="connector"), ("not stated",)),
    ("residual-ratio", item(residual_strength_ratio=0.0), (0.0,)),
    ("sling-angle", item(configuration="basket", basket_half_angle_deg=60.5), (60.5, 60.0)),
    ("sheave-too-small", item(bend_ratios=(2.9,)), (2.9, 3.0)),
]


@every_row(("code", "call", "figures"), REFUSALS)
def test_refusal_says_its_figures(code, call, figures):
    with pytest.raises(Refused) as caught:
        call()
    assert caught.value.code == code
    facts = caught.value.facts
    assert list(facts.values()) == [
        figure if isinstance(figure, str) else pytest.approx(figure, rel=1e-6) for figure in figures
    ]
    # the reader takes the unit from the name
    units = ("_m", "_deg", "_ratio")
    assert all(name.endswith(units) or name in COUNTS for name in facts), facts


COUNTS = {"parts", "given", "sheaves", "efficiency", "readings", "limit", "advantage", "ideal_advantage", "gate"}


def test_rope_at_a_stem_under_10_cm_is_refused_by_its_diameter():
    thin = Tree(
        sections=(Section(height_m=0.0, diameter_m=0.4), Section(height_m=10.0, diameter_m=0.0)),
        green_density_kg_m3=900.0,
        lay_azimuth_deg=90.0,
        hinge_height_m=0.3,
    )
    assert line(thin, replace(LINE, attach_height_m=7.5), HINGE).attach_point_m[2] == pytest.approx(7.2)
    with pytest.raises(Refused) as caught:
        line(thin, replace(LINE, attach_height_m=7.6), HINGE)
    assert caught.value.code == "attach-too-thin"
    assert caught.value.facts == {"diameter_m": pytest.approx(0.096), "limit_m": 0.10}


@pytest.mark.parametrize(
    ("anchor", "angle", "limit"),
    [({"distance_m": 4.0, "slope_deg": 0.0}, 62.0, 60.0), ({"azimuth_deg": 121.0}, -31.0, 30.0)],
)
def test_line_beyond_the_model_says_its_angle(anchor, angle, limit):
    with pytest.raises(Refused) as caught:
        line(UPRIGHT, replace(LINE, anchor=replace(ANCHOR, **anchor)), HINGE)
    assert caught.value.code == "line-geometry"
    facts = caught.value.facts
    assert abs(float(facts["angle_deg"])) == pytest.approx(abs(angle), abs=1.0)
    assert facts["limit_deg"] == limit


def test_tackle_as_good_as_its_ideal_has_sheaves_without_loss():
    result = measured_efficiency(5, "to_advantage", [(100.0, 500.0)] * 3)
    assert (result.advantage, result.sheave_efficiency) == (pytest.approx(5.0), pytest.approx(1.0))


@pytest.mark.parametrize(("ratio", "angle_rad"), [(1.0, 1.5707963), (1.0000001, 1.5707963), (-1.0000001, -1.5707963)])
def test_sine_beyond_1_by_rounding_is_a_right_angle(ratio, angle_rad):
    assert arcsin(ratio) == pytest.approx(angle_rad)
