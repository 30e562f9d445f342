"""Power lines within two heights of the stump or of any rope; anchors that nobody looked at."""

import math
from typing import Any

import pytest

from jobs.models import Anchor, Assignment, Hazard, Job, PullPlan, Redirect, Stem, StemSection
from jobs.plans.data import PlanData
from jobs.sheets.site import anchor_findings, distance_to_leg, hazard_findings, plan_point, rope_legs
from jobs.wording.unit_formatter import UnitFormatter
from tests.factories.jobs import HazardFactory, passing_sheet
from tests.factories.scenario import REDIRECT, checked, codes

READER = UnitFormatter("metric")
HEIGHT_M = 12.0
LIMIT_M = 24.0  # two heights
ANCHOR = {"anchor_distance_m": 30.0, "anchor_azimuth_deg": 0.0}


def line_at(distance_m, bearing_deg, control="none"):
    return Hazard(
        kind="overhead_line",
        description="Two wires over the meadow",
        distance_m=distance_m,
        bearing_deg=bearing_deg,
        power_line_control=control,
    )


def plan_data(*hazards, plan=None, redirects=(), height_m=HEIGHT_M, sections=()):
    stem = Stem(tree_height_m=height_m)
    return PlanData(
        job=Job(), stem=stem, plan=plan or PullPlan(), hazards=hazards, redirects=redirects, sections=sections
    )


def refused(*hazards, **more):
    return [f.code for f in hazard_findings(plan_data(*hazards, **more), READER)]


def test_power_line_within_two_heights_of_the_stump_is_refused():
    (finding,) = hazard_findings(plan_data(line_at(23.9, 90.0)), READER)
    assert finding.code == "reach-of-power-line"
    assert (finding.area, finding.field) == ("site", "hazards")
    assert finding.is_refusal
    assert finding.danger == 1
    assert finding.facts["distance_m"] == pytest.approx(23.9)
    assert "24.0" in finding.text


def test_power_line_exactly_at_two_heights_is_within_reach():
    assert refused(line_at(LIMIT_M, 90.0)) == ["reach-of-power-line"]
    assert refused(line_at(LIMIT_M + 1e-6, 90.0)) == []


@pytest.mark.parametrize("control", ["isolated", "shrouded", "agreed"])
def test_power_line_the_operator_has_dealt_with_passes(control):
    assert refused(line_at(5.0, 90.0, control)) == []


def test_other_hazards_are_not_held_to_the_reach():
    assert refused(Hazard(kind="way", description="Towpath", distance_m=3.0, bearing_deg=0.0)) == []


def test_unknown_height_refuses_at_any_distance():
    (finding,) = hazard_findings(plan_data(line_at(500.0, 0.0), height_m=None), READER)
    assert "not known" in finding.text


def test_height_of_the_last_section_counts_where_the_whole_is_not_known():
    short = (StemSection(height_m=0.0, diameter_m=0.5), StemSection(height_m=10.0, diameter_m=0.2))
    assert refused(line_at(20.0, 90.0), height_m=None, sections=short) == ["reach-of-power-line"]
    assert refused(line_at(20.1, 90.0), height_m=None, sections=short) == []


def test_greatest_known_height_counts():
    tall = (StemSection(height_m=0.0, diameter_m=0.5), StemSection(height_m=15.0, diameter_m=0.2))
    assert refused(line_at(29.0, 90.0), sections=tall) == ["reach-of-power-line"]


def test_power_line_near_the_pull_line_is_refused():
    # 40 m north of the stump is 10 m from an anchor 30 m north
    assert refused(line_at(40.0, 0.0)) == []
    assert refused(line_at(40.0, 0.0), plan=PullPlan(**ANCHOR)) == ["reach-of-power-line"]


def test_power_line_near_the_leg_behind_a_redirect_is_refused():
    plan = PullPlan(anchor_distance_m=60.0, anchor_azimuth_deg=90.0)
    at = line_at(math.hypot(30.0, 40.0), math.degrees(math.atan2(30.0, 40.0)))  # 30 m east, 40 m north
    assert refused(at, plan=plan) == []
    turned = (Redirect(**REDIRECT | {"distance_m": 50.0, "azimuth_deg": 0.0}),)
    assert refused(at, plan=plan, redirects=turned) == ["reach-of-power-line"]


def test_power_line_near_the_side_line_is_refused():
    side = {"side_anchor_distance_m": 20.0, "side_anchor_azimuth_deg": 180.0}
    assert refused(line_at(40.0, 180.0), plan=PullPlan(**side)) == []
    assert refused(line_at(40.0, 180.0), plan=PullPlan(side_line=True, **side)) == ["reach-of-power-line"]


def test_power_line_near_a_redirect_of_the_side_line_is_refused():
    side = {"side_line": True, "side_anchor_distance_m": 5.0, "side_anchor_azimuth_deg": 180.0}
    turned = (Redirect(**REDIRECT | {"line": "side", "distance_m": 20.0, "azimuth_deg": 270.0}),)
    assert refused(line_at(40.0, 270.0), plan=PullPlan(**side)) == []
    assert refused(line_at(40.0, 270.0), plan=PullPlan(**side), redirects=turned) == ["reach-of-power-line"]


@pytest.mark.parametrize(
    ("point", "distance_m"),
    [((5.0, 3.0), 3.0), ((-4.0, 3.0), 5.0), ((14.0, -3.0), 5.0), ((10.0, 0.0), 0.0)],
)
def test_distance_to_a_leg_of_rope_by_hand(point, distance_m):
    """Leg from (0, 0) to (10, 0): beside it, before it and behind it, with triangles of sides 3, 4, 5."""
    assert distance_to_leg(point, (0.0, 0.0), (10.0, 0.0)) == pytest.approx(distance_m)


@pytest.mark.parametrize(
    ("point", "start", "end", "distance_m"),
    [
        ((8.0, 7.0), (3.0, 4.0), (13.0, 4.0), 3.0),
        ((-1.0, 7.0), (3.0, 4.0), (13.0, 4.0), 5.0),
        ((7.0, 8.0), (4.0, 3.0), (4.0, 13.0), 3.0),
        ((1.0, 17.0), (4.0, 3.0), (4.0, 13.0), 5.0),
        ((0.9, 4.2), (1.0, 1.0), (4.0, 5.0), 2.0),  # middle of a leg 3 by 4, then 2 m square to it: (-0.8, 0.6)
    ],
)
def test_distance_to_a_leg_that_starts_away_from_the_stump_by_hand(point, start, end, distance_m):
    assert distance_to_leg(point, start, end) == pytest.approx(distance_m)
    assert distance_to_leg(point, end, start) == pytest.approx(distance_m)


def test_legs_run_from_the_stump_through_the_redirects_to_the_anchor():
    side = {"side_line": True, "side_anchor_distance_m": 20.0, "side_anchor_azimuth_deg": 180.0}
    turned = (Redirect(**REDIRECT | {"distance_m": 50.0, "azimuth_deg": 90.0}),)
    legs = rope_legs(plan_data(plan=PullPlan(**ANCHOR, **side), redirects=turned))
    flat = [coordinate for leg in legs for point in leg for coordinate in point]
    assert flat == pytest.approx([0.0, 0.0, 50.0, 0.0, 50.0, 0.0, 0.0, 30.0, 0.0, 0.0, 0.0, -20.0])


@pytest.mark.parametrize("unknown", ["anchor_distance_m", "anchor_azimuth_deg"])
def test_line_whose_anchor_is_not_placed_yet_has_no_legs(unknown):
    pull = PullPlan(**ANCHOR | {unknown: None})
    side = PullPlan(side_line=True, **{f"side_{name}": value for name, value in (ANCHOR | {unknown: None}).items()})
    assert rope_legs(plan_data(plan=pull)) == rope_legs(plan_data(plan=side)) == []


def test_leg_without_length_is_a_point():
    assert distance_to_leg((3.0, 4.0), (0.0, 0.0), (0.0, 0.0)) == pytest.approx(5.0)


def test_bearings_run_clockwise_from_north():
    assert plan_point(10.0, 0.0) == pytest.approx((0.0, 10.0))
    assert plan_point(10.0, 90.0) == pytest.approx((10.0, 0.0))


def test_each_power_line_is_refused_by_name(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    for name, bearing_deg in (("Line to the cottage", 10.0), ("Line to the pump", 200.0)):
        HazardFactory(stem=sheet.stem, kind="overhead_line", description=name, distance_m=15.0, bearing_deg=bearing_deg)
    titles = [f.title for f in checked(sheet).refusals]
    assert len(titles) == 2
    assert {t.partition(":")[0] for t in titles} == {"Line to the cottage", "Line to the pump"}
    Hazard.objects.update(power_line_control="isolated")
    assert codes(sheet) == set()


@pytest.mark.parametrize("check", ["root_plate_checked", "decay_checked", "ground_checked"])
def test_anchor_with_an_open_check_is_refused(check):
    anchor = Anchor(name="Oak 2", root_plate_checked=True, decay_checked=True, ground_checked=True)
    held = PlanData(job=Job(), stem=Stem(), plan=PullPlan(), assignments=(Assignment(role="anchor", anchor=anchor),))
    assert list(anchor_findings(held)) == []
    setattr(anchor, check, False)
    (finding,) = anchor_findings(held)
    assert finding.full_code == "anchor-unchecked:anchor"
    assert finding.is_refusal
    assert (finding.area, finding.item) == ("gear", "Oak 2")
    assert 1 < finding.danger < 3  # after a power line, before a wrong day
    column: Any = Anchor._meta.get_field(check)
    assert str(column.verbose_name) in finding.text


def test_anchor_in_order_does_not_speak_for_the_next_one():
    looked_at = Anchor(name="Oak 2", root_plate_checked=True, decay_checked=True, ground_checked=True)
    roles = {"anchor": looked_at, "bollard_anchor": Anchor(name="Stump 3")}
    held = tuple(Assignment(role=role, anchor=anchor) for role, anchor in roles.items())
    found = list(anchor_findings(PlanData(job=Job(), stem=Stem(), plan=PullPlan(), assignments=held)))
    assert [finding.full_code for finding in found] == ["anchor-unchecked:bollard_anchor"]
