"""Every answer that carries load is asked for; nothing is assumed in its place."""

import pytest

from crewlog.quantities.columns import ALWAYS, declared_columns
from jobs.models import PullPlan, Stem
from jobs.plans.completeness import form_findings, without_unit
from tests.factories.scenario import unsaved_plan_data

SIDE = {
    "side_line": True,
    "side_attach_height_m": 8.0,
    "side_anchor_distance_m": 20.0,
    "side_anchor_azimuth_deg": 0.0,
    "side_anchor_slope_deg": 0.0,
    "side_anchor_height_m": 0.5,
}
RESTRAINT = {
    "restraint": True,
    "restraint_mass_kg": 600.0,
    "restraint_slope_deg": 12.0,
    "restraint_length_m": 10.0,
    "restraint_slack_m": 0.0,
}


def needed(by, model=PullPlan):
    """Names of the columns that a row needs always, or by one of its answers."""
    return [column.name for column in declared_columns(model) if column.needed == by]


def full_codes(plan_data):
    return {finding.full_code for finding in form_findings(plan_data)}


def emptied(name, value):
    return {name: "" if isinstance(value, str) else None}


def test_complete_plan_has_no_form_finding():
    assert form_findings(unsaved_plan_data()) == ()


@pytest.mark.parametrize("name", ["species", *needed(ALWAYS, Stem)])
def test_missing_answer_about_the_stem_refuses(name):
    whole = unsaved_plan_data()
    plan_data = unsaved_plan_data(**emptied(f"stem__{name}", getattr(whole.stem, name)))
    (finding,) = form_findings(plan_data)
    assert finding.full_code == f"unknown:{without_unit(name)}"
    assert finding.is_refusal
    assert finding.field == name


@pytest.mark.parametrize("name", needed(ALWAYS))
def test_missing_answer_of_the_plan_refuses(name):
    whole = unsaved_plan_data()
    (finding,) = form_findings(unsaved_plan_data(**emptied(name, getattr(whole.plan, name))))
    assert finding.full_code == f"unknown:{without_unit(name)}"
    assert finding.field == name


@pytest.mark.parametrize("name", needed("side_line"))
def test_missing_answer_about_a_rigged_side_line_refuses(name):
    (finding,) = form_findings(unsaved_plan_data(**{**SIDE, name: None}))
    assert finding.full_code == f"unknown:{without_unit(name)}"


@pytest.mark.parametrize("name", needed("restraint"))
def test_missing_answer_about_a_rigged_restraint_refuses(name):
    (finding,) = form_findings(unsaved_plan_data(**{**RESTRAINT, name: None}))
    assert finding.full_code == f"unknown:{without_unit(name)}"


def test_lines_that_are_not_rigged_need_no_answers():
    plan_data = unsaved_plan_data(
        **{name: None for name in (*SIDE, *RESTRAINT) if name not in ("side_line", "restraint")}
    )
    assert form_findings(plan_data) == ()


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"stem__hinge_soundness": ""}, "unknown:hinge_soundness"),
        ({"stem__hinge_soundness": "not_known"}, "unknown:hinge_soundness"),
        ({"stem__attachment_soundness": ""}, "unknown:attachment_soundness"),
        ({"stem__attachment_soundness": "not_known"}, "unknown:attachment_soundness"),
        ({"stem__dead_or_dying": ""}, "unknown:dead_or_dying"),
        ({"stem__dead_or_dying": "not_known"}, "unknown:dead_or_dying"),
        ({"stem__hung_up": "not_known"}, "unknown:hung_up"),
        ({"stem__union_or_crack": "not_known"}, "unknown:union_or_crack"),
        ({"stem__lean_method": ""}, "unknown:lean_method"),
        ({"stem__lean_azimuth_deg": None}, "unknown:lean_azimuth"),
        ({"stem__crown": ""}, "unknown:crown"),
        ({"stem__crown": "not_known"}, "unknown:crown"),
        ({"crown": False}, "unknown:crown"),
        ({"sections": ((0.0, 0.5),)}, "unknown:sections"),
        ({"frozen_wood": ""}, "unknown:frozen_wood"),
        ({"frozen_wood": "not_known"}, "unknown:frozen_wood"),
        ({"side_target": "not_known"}, "unknown:side_target"),
        ({"shock_credible": ""}, "unknown:shock_credible"),
        ({"second_parts": 3}, "unknown:second_efficiency"),
    ],
)
def test_unknown_answer_refuses(changes, code):
    assert full_codes(unsaved_plan_data(**changes)) == {code}


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"stem__lean_method": "by_eye"}, "not-measured", "lean_method"),
        ({"stem__diameter_method": "by_eye"}, "not-measured", "diameter_method"),
        ({"frozen_wood": "yes"}, "frozen-wood", "frozen_wood"),
        ({"stem__hung_up": "yes"}, "hung-up", "hung_up"),
        ({"stem__dead_or_dying": "yes"}, "dead-or-dying", "dead_or_dying"),
        ({"stem__union_or_crack": "yes"}, "union-or-crack", "union_or_crack"),
        ({"stem__hinge_soundness": "unsound"}, "decay", "hinge_soundness"),
        ({"stem__attachment_soundness": "unsound"}, "decay", "attachment_soundness"),
        ({"stem__species": "no-such-tree"}, "no-density", "species"),
    ],
)
def test_stem_outside_what_the_figures_cover_refuses(changes, code, field):
    (finding,) = form_findings(unsaved_plan_data(**changes))
    assert (finding.full_code, finding.field) == (code, field)
    assert finding.is_refusal
    assert finding.cure


def test_two_guesses_are_told_apart():
    found = form_findings(unsaved_plan_data(stem__lean_method="by_eye", stem__diameter_method="by_eye"))
    assert len({finding.title for finding in found}) == 2


def test_bare_spar_needs_no_crown():
    assert full_codes(unsaved_plan_data(crown=False, stem__crown="bare")) == set()


def test_upright_stem_needs_no_direction_of_lean():
    assert full_codes(unsaved_plan_data(stem__lean_deg=0.0, stem__lean_azimuth_deg=None)) == set()


def test_upright_stem_that_may_lean_within_the_tolerance_needs_a_direction():
    plan_data = unsaved_plan_data(stem__lean_deg=0.0, stem__lean_azimuth_deg=None, lean_tolerance_deg=1.0)
    assert full_codes(plan_data) == {"unknown:lean_azimuth"}


def test_a_figure_of_zero_is_an_answer():
    plan_data = unsaved_plan_data(
        stem__bark_thickness_m=0.0, stem__ground_fall_deg=0.0, slack_m=0.0, anchor_slope_deg=0.0
    )
    assert form_findings(plan_data) == ()
