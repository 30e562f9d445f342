"""The moment a side line holds, by hand, and the factors of the sit-back tension."""

from types import SimpleNamespace

import pytest

from jobs.mechanics.errors import OutOfRange
from jobs.mechanics.plan.side import side_moment
from jobs.mechanics.wind import Wind
from jobs.mechanics.window import WindowOptions, window
from tests.mechanics.plans import codes_with, passing_inputs, solved
from tests.mechanics.rig import HINGE, LINE, WIND, tree
from tests.mechanics.test_plan import TRIGGERS


def state(aside_m, side_arm_m):
    return SimpleNamespace(
        centre=SimpleNamespace(y=aside_m),
        geometry=SimpleNamespace(side_arm_m=side_arm_m),
        stem=SimpleNamespace(weight_n=1000.0),
        wind_moment_n_m=70.0,
    )


@pytest.mark.parametrize(
    ("aside_m", "side_arm_m", "moment_n_m"),
    [
        # 1000 N of weight, 70 N m of gust, 200 N on the line; a positive moment tips to the right, where y is negative
        (0.5, 0.0, 500 + 70),
        (0.5, -0.4, 500 + 70 + 80),  # leans left, the line pulls left
        (0.5, 0.4, 500 + 70),  # leans left, the line pulls right: no credit
        (-0.5, 0.4, 500 + 70 + 80),
        (-0.5, -0.4, 500 + 70),
        (0.0, 0.4, 70 + 80),  # leans to neither side: either way counts
        (0.0, -0.4, 70 + 80),
        (5e-7, 0.4, 0.0005 + 70 + 80),
        (1e-5, 0.4, 0.01 + 70),
    ],
)
def test_side_line_holds_lean_gust_and_what_the_pull_adds_to_its_side(aside_m, side_arm_m, moment_n_m):
    assert side_moment(state(aside_m, side_arm_m), 200.0) == pytest.approx(moment_n_m)


def test_gravity_that_helps_counts_with_the_factor_that_was_given():
    leaning = tree(lean_deg=2.0, lean_azimuth_deg=90.0)
    results = [
        window(leaning, HINGE, LINE, WIND, WindowOptions(favourable_factor=factor)).sit_back_tension_n
        for factor in (0.0, 0.2)
    ]
    assert results[0] > results[1] >= 0.0


@pytest.mark.parametrize("changes", [{"favourable_factor": -0.1}, {"sit_back_factor": 0.0}])
def test_factor_below_nought_is_out_of_range(changes):
    with pytest.raises(OutOfRange):
        WindowOptions(**changes)


def test_working_limit_below_nought_is_out_of_range():
    assert Wind(gust_m_s=1.0, working_limit_m_s=0.0).working_limit_m_s == 0.0
    with pytest.raises(OutOfRange):
        Wind(gust_m_s=1.0, working_limit_m_s=-0.1)


def test_shared_anchor_and_bore_cut_say_what_they_are_about():
    shared = solved(*TRIGGERS["shared-anchor"])
    assert shared.finding("shared-anchor").facts == {"anchor": "oak 1"}
    bore = solved(*TRIGGERS["bore-cut-needed"])
    assert bore.finding("bore-cut-needed").facts["angle_deg"] == pytest.approx(bore.forward_lean_deg)


def test_two_anchors_without_a_name_are_not_taken_for_one():
    own = {"wind.gust_m_s": 10.0, "backup_anchor": "own"}
    nameless = {"items.anchor.anchor_name": None, "items.bollard_anchor.anchor_name": None}
    assert "shared-anchor" not in codes_with(passing_inputs(), own | nameless)
