"""A plan is worked at every corner of the tolerances the lead sets, and stands only if each corner does."""

from dataclasses import replace

import pytest

from jobs.plans.calculation import calculate
from jobs.plans.to_mechanics import to_plan_input
from jobs.plans.tolerances import axes, work_envelope
from tests.factories.scenario import unsaved_plan_data

ALL_TOLERANCES = {
    "attach_tolerance_m": 0.2,
    "anchor_tolerance_m": 0.5,
    "gust_tolerance_m_s": 1.0,
    "lean_tolerance_deg": 0.5,
    "hauler_tolerance": 1,
}
# Each corner has a pre-tension window of its own here; no tension lies in all of them.
NO_COMMON_BAND = {
    "gust_m_s": 5.0,
    "gust_tolerance_m_s": 6.0,
    "stem__lean_deg": 4.0,
    "lean_tolerance_deg": 4.0,
    "attach_tolerance_m": 1.9,
    "hinge_thickness_m": 0.03,
}


def envelope(**changes):
    plan_data = unsaved_plan_data(**changes)
    return work_envelope(to_plan_input(plan_data, with_uncertainty=False), plan_data.plan)


def refusals(**changes):
    """Refusals of the plan itself; its load path is empty here."""
    return {f.full_code: f for f in calculate(unsaved_plan_data(**changes)).refusals if f.code != "position-empty"}


def test_no_tolerance_is_one_corner():
    (corner,) = envelope().corners
    assert corner.changes == {}


@pytest.mark.parametrize(
    ("tolerances", "count"),
    [
        ({"attach_tolerance_m": 0.2}, 1 + 2),
        ({"gust_tolerance_m_s": 1.0}, 1 + 1),  # a gust only grows
        ({"attach_tolerance_m": 0.2, "gust_tolerance_m_s": 1.0}, 1 + 2),
        (ALL_TOLERANCES, 1 + 2 * 2 * 1 * 2 * 2),
    ],
)
def test_every_corner_of_the_tolerances_is_worked(tolerances, count):
    corners = envelope(**tolerances).corners
    assert len(corners) == count
    assert len({tuple(sorted(corner.changes.items())) for corner in corners}) == count
    assert all(corner.result is not None for corner in corners)


def test_corner_request_differs_from_the_nominal_by_its_tolerance_only():
    nominal, lower, higher = envelope(attach_tolerance_m=0.2).corners
    for corner, height_m in ((lower, 7.8), (higher, 8.2)):
        assert corner.plan_input.line.attach_height_m == pytest.approx(height_m)
        line = replace(corner.plan_input.line, attach_height_m=8.0)
        assert replace(corner.plan_input, line=line) == nominal.plan_input


def test_greatest_tension_of_all_corners_governs():
    worked = envelope(**ALL_TOLERANCES)
    tensions = [corner.result.stem_tension_n for corner in worked.corners]
    assert worked.governing.stem_tension_n == max(tensions)
    assert max(tensions) > worked.nominal.stem_tension_n
    # lower rope, stronger gust and more back lean each ask for more tension
    governing = worked.governing.changes
    assert (governing["attach"], governing["gust"], governing["lean"]) == (-0.2, 1.0, 0.5)


def test_design_rests_on_the_governing_corner_with_the_study_of_the_spread():
    outcome = calculate(unsaved_plan_data(**ALL_TOLERANCES))
    assert outcome.result.uncertainty is not None
    assert outcome.result.stem_tension_n >= outcome.envelope.governing.stem_tension_n
    assert outcome.plan_input.line.attach_height_m == pytest.approx(7.8)


def test_band_is_what_every_corner_allows():
    worked = envelope(**ALL_TOLERANCES)
    for corner in worked.corners:
        assert worked.lowest_tension_n >= corner.result.lowest_tension_n
        assert worked.highest_tension_n <= corner.result.highest_tension_n
    assert worked.lowest_tension_n in [c.result.lowest_tension_n for c in worked.corners]
    assert worked.highest_tension_n in [c.result.highest_tension_n for c in worked.corners]


def test_refusal_in_one_corner_refuses_the_plan_and_says_where():
    assert refusals(attach_height_m=9.9, attach_tolerance_m=0.05) == {}
    found = refusals(attach_height_m=9.9, attach_tolerance_m=0.2)
    finding = found["attach-above-sound-wood"]
    assert "Within the tolerances: line 0.20 m higher" in finding.text.replace("\u00a0", " ")


def test_limit_passed_in_one_corner_refuses_the_plan_and_says_where():
    assert "wind-above-limit" not in refusals(gust_m_s=10.5)
    finding = refusals(gust_m_s=10.5, gust_tolerance_m_s=1.0)["wind-above-limit"]
    assert "gust 1.0 m/s stronger" in finding.text.replace("\u00a0", " ")
    assert finding.field == "gust_m_s"


def test_limit_passed_by_the_plan_itself_names_no_tolerance():
    assert "Within the tolerances" not in refusals(gust_m_s=11.5, gust_tolerance_m_s=1.0)["wind-above-limit"].text


def test_fewer_haulers_than_the_task_takes_are_found_in_their_corner():
    assert "too-few-people" not in refusals(haulers=3)
    assert "1 fewer on the tail" in refusals(haulers=3, hauler_tolerance=1)["too-few-people"].text


def test_corners_without_a_common_band_refuse_although_each_has_a_window():
    outcome = calculate(unsaved_plan_data(**NO_COMMON_BAND))
    for corner in outcome.envelope.corners:
        assert corner.result.lowest_tension_n < corner.result.highest_tension_n
        assert "window-empty" not in corner.result.codes
    finding = {f.full_code: f for f in outcome.refusals}["window-empty"]
    assert "in every corner" in finding.text


def test_band_too_narrow_for_feel_across_corners_asks_for_a_gauge():
    by_feel = {"tension_gauge": "none", "hinge_thickness_m": 0.03}
    assert "pre-tension-needs-gauge" not in refusals(**by_feel)
    wide = {"lean_tolerance_deg": 2.0, "attach_tolerance_m": 1.0, "gust_tolerance_m_s": 3.0}
    for corner in envelope(**by_feel, **wide).corners:
        assert "pre-tension-needs-gauge" not in corner.result.codes
    assert "in every corner" in refusals(**by_feel, **wide)["pre-tension-needs-gauge"].text


def test_lean_never_goes_below_upright():
    assert [c.plan_input.tree.lean_deg for c in envelope(stem__lean_deg=1.0, lean_tolerance_deg=2.0).corners] == [
        1.0,
        0.0,
        3.0,
    ]


def test_crew_stays_within_one_and_twelve():
    assert [c.plan_input.people for c in envelope(haulers=1, hauler_tolerance=2).corners] == [1, 1, 3]
    assert [c.plan_input.people for c in envelope(haulers=12, hauler_tolerance=2).corners] == [12, 10, 12]


def test_axes_without_tolerance_are_left_out():
    assert axes(unsaved_plan_data().plan) == []
    (axis,) = axes(unsaved_plan_data(lean_tolerance_deg=1.0).plan)
    assert (axis[0], axis[2]) == ("lean", (-1.0, 1.0))
