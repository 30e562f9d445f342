"""The mechanics' codes in the reader's words: which corner speaks, what field mends it, where it stands."""

from dataclasses import replace

import pytest

from jobs.mechanics.convert import FormatError
from jobs.mechanics.errors import OutOfRange, Refused
from jobs.mechanics.findings.codes import find_code
from jobs.models import Job, PullPlan, Stem
from jobs.plans.data import PlanData
from jobs.plans.findings import corner_findings, corner_words, format_finding, word_finding
from jobs.plans.to_mechanics import to_plan_input
from jobs.plans.tolerances import (
    Corner,
    Envelope,
    add_haulers,
    axes,
    lean_more,
    move_anchor,
    raise_line,
    strengthen_gust,
)
from jobs.wording.unit_formatter import UnitFormatter
from tests.factories.scenario import unsaved_plan_data
from tests.given import stand_in
from tests.rows import every_row

READER = UnitFormatter("metric")


def plain(text):
    return text.replace("\N{NO-BREAK SPACE}", " ")


def worked(*noted, changes=None, tension_n=1.0):
    findings = [stand_in(code=code, facts=facts) for code, facts in noted]
    return Corner(changes or {}, None, stand_in(findings=findings, stem_tension_n=tension_n), None)


def refused(code, message="as it is", changes=None, **facts):
    return Corner(changes or {}, None, None, Refused(code, message, facts))


def found(*corners, **plan):
    return corner_findings(corners, PlanData(job=Job(), stem=Stem(), plan=PullPlan(**plan)), READER)


STEEP = ("line-steep", {"angle_deg": 36.0, "limit_deg": 35.0})
NEEDED = ("restraint-needed", {"angle_deg": 9.0, "limit_deg": 5.0})


def test_each_code_is_told_once_by_the_first_corner_that_gives_it():
    steeper = ("line-steep", {"angle_deg": 39.0, "limit_deg": 35.0})
    (finding,) = found(worked(STEEP), worked(steeper, changes={"attach": 0.5}))
    assert dict(finding.facts) == STEEP[1]
    assert "Within the tolerances" not in finding.text
    first, second = found(worked(changes={"gust": 1.0}), worked(STEEP, NEEDED, changes={"anchor": -2.0}))
    assert (first.code, second.code) == ("line-steep", "restraint-needed")
    assert "Within the tolerances: anchor 2.00 m nearer." in plain(first.text)


def test_corner_that_is_refused_says_so_with_its_figures_or_its_message():
    with_figures, without = found(refused("lean-too-great", lean_deg=31.0, limit_deg=30.0), refused("decay", "Rot."))
    assert with_figures.is_refusal
    assert "31" in with_figures.text
    assert "as it is" not in with_figures.text
    assert "Rot." in without.text


def test_restraint_that_waits_for_its_rope_is_not_said_to_be_missing():
    assert [f.code for f in found(worked(NEEDED, STEEP))] == ["restraint-needed", "line-steep"]
    assert [f.code for f in found(worked(NEEDED, STEEP), restraint=True)] == ["line-steep"]


def test_corner_with_neither_result_nor_refusal_says_nothing():
    assert found(Corner({}, None, None, None)) == ()


@every_row(
    ("changes", "words"),
    [
        ({}, ""),
        ({"attach": 0.0, "gust": 0.0}, ""),
        ({"attach": 0.3}, "line 0.30 m higher"),
        ({"attach": -0.3}, "line 0.30 m lower"),
        ({"anchor": 2.0}, "anchor 2.0 m farther"),
        ({"anchor": -2.0}, "anchor 2.0 m nearer"),
        ({"gust": 1.0}, "gust 1.0 m/s stronger"),
        ({"lean": 1.0}, "lean 1.0° more"),
        ({"lean": -1.0}, "lean 1.0° less"),
        ({"haulers": 1.0}, "1 more on the tail"),
        ({"haulers": -2.0}, "2 fewer on the tail"),
        ({"attach": 0.0, "gust": 1.0, "haulers": 1.0}, "gust 1.0 m/s stronger, 1 more on the tail"),
    ],
)
def test_place_in_the_tolerances_is_said_in_words(changes, words):
    assert plain(READER.text(corner_words(changes))).replace(" °", "°").replace("2.00", "2.0") == words


@pytest.mark.parametrize(
    ("full_code", "area", "severity"),
    [
        ("under-rated:cleat", "gear", "refusal"),
        ("sheave-small:tackle_rope", "gear", "caution"),
        ("decay", "stem", "refusal"),
        ("hung-up", "stem", "refusal"),
        ("unknown:gust", "plan", "refusal"),
        ("hinge-thin", "plan", "caution"),
        ("crew-in-fall-zone:haulers", "plan", "refusal"),
        ("line-geometry", "plan", "refusal"),
    ],
)
def test_finding_stands_with_what_it_is_about(full_code, area, severity):
    finding = word_finding(full_code, {}, READER)
    assert (finding.full_code, finding.area, finding.severity) == (full_code, area, severity)
    assert finding.danger == find_code(full_code).danger
    assert finding.cure == find_code(full_code).cure


def test_title_names_the_position_or_the_place():
    assert word_finding("under-rated:moving_block", {}, READER).title.startswith("Moving block: ")
    assert word_finding("crew-in-fall-zone:bollard_tender", {}, READER).title.startswith("Bollard tender: ")
    assert word_finding("hinge-thin", {}, READER).title == find_code("hinge-thin").title


def test_field_that_mends_it_is_named():
    assert word_finding("hinge-thin", {}, READER).field == "hinge_thickness_m"
    assert word_finding("crew-in-fall-zone:haulers", {}, READER).field == "haulers"
    assert word_finding("under-rated:cleat", {}, READER).field == ""


def test_code_of_no_list_is_a_fault_of_the_program():
    with pytest.raises(LookupError):
        word_finding("no-such-code", {}, READER)


def test_figure_that_cannot_be_read_is_named_without_its_way_in():
    by_form = format_finding(FormatError("a number expected", "inputs.line.attach_height_m"))
    assert (by_form.full_code, by_form.is_refusal, by_form.area) == ("unknown:line_attach_height_m", True, "plan")
    assert by_form.text == "line.attach_height_m: a number expected."
    assert by_form.danger == 1
    by_range = format_finding(OutOfRange("friction_low", 0.0, "above 0", "any"))
    assert by_range.subject == "friction_low"
    assert by_range.text.startswith("friction_low: ")
    assert format_finding(FormatError("an object expected", "inputs.")).subject == "plan"


# corners


def test_refused_corner_governs_and_else_the_greatest_tension():
    low, high = worked(tension_n=10.0), worked(tension_n=20.0)
    assert Envelope((low, high)).governing is high
    no = refused("decay")
    assert Envelope((low, no, high)).governing is no
    assert no.stem_tension_n == float("inf")
    assert Envelope((high, low)).nominal is high


def test_each_change_moves_its_own_figure():
    asked = to_plan_input(unsaved_plan_data(attach_height_m=8.0, anchor_distance_m=20.0, gust_m_s=6.0, haulers=3))
    asked = replace(asked, tree=replace(asked.tree, lean_deg=2.0))
    moved = add_haulers(asked, 2.0)
    for change, by in ((raise_line, -0.5), (move_anchor, 1.5), (strengthen_gust, 2.0), (lean_more, 1.0)):
        moved = change(moved, by)
    assert (moved.line.attach_height_m, moved.line.anchor.distance_m) == (7.5, 21.5)
    assert (moved.wind.gust_m_s, moved.tree.lean_deg, moved.people) == (8.0, 3.0, 5)
    line = replace(asked.line, attach_height_m=7.5, anchor=replace(asked.line.anchor, distance_m=21.5))
    tree, wind = replace(asked.tree, lean_deg=3.0), replace(asked.wind, gust_m_s=8.0)
    assert moved == replace(asked, line=line, wind=wind, tree=tree, people=5)


def test_tolerances_run_both_ways_and_the_gust_only_grows():
    plan = PullPlan(
        attach_tolerance_m=0.2,
        anchor_tolerance_m=0.5,
        gust_tolerance_m_s=1.0,
        lean_tolerance_deg=2.0,
        hauler_tolerance=1,
    )
    assert [(name, steps) for name, _, steps in axes(plan)] == [
        ("attach", (-0.2, 0.2)),
        ("anchor", (-0.5, 0.5)),
        ("gust", (1.0,)),
        ("lean", (-2.0, 2.0)),
        ("haulers", (-1.0, 1.0)),
    ]
