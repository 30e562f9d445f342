"""Sizes and lengths in the load path, by hand, on both sides of each limit."""

import datetime as dt
import math

import pytest

from gear.models import GearItem
from jobs.models import Assignment, Job, PullPlan, Redirect, Stem
from jobs.plans.data import PlanData
from jobs.sheets.gear_fit import (
    class_findings,
    diameter_findings,
    fitness_findings,
    host_roles,
    length_findings,
    lengths_needed,
    position_findings,
    rope_length_findings,
    sheave_findings,
    sheaves_needed,
)
from jobs.wording.unit_formatter import UnitFormatter
from tests.given import stand_in

READER = UnitFormatter("metric")
WRAPS_M = 4 * math.pi * 0.2  # four turns of a drum of 200 mm


def gear(tag, gear_class="rope", **facts):
    return GearItem(tag=tag, gear_class=gear_class, **facts)


def drum(tag, **facts):
    return gear(tag, "bollard", **{"sheave_diameter_mm": 200.0} | facts)


def hung(role, item):
    return Assignment(role=role, item=item)


def plan_data(*assignments, redirects=(), **plan):
    return PlanData(
        job=Job(), stem=Stem(), plan=PullPlan(**plan), assignments=tuple(assignments), redirects=tuple(redirects)
    )


def result(*, path_m=30.0, rope_m=18.0):
    geometry = stand_in(total_length_m=path_m)
    working = stand_in(situation=stand_in(geometry=geometry))
    return stand_in(working=working, travel=stand_in(stages=(stand_in(rope_needed_m=rope_m),)))


def redirect(line, number=1, distance_m=6.0):
    return Redirect(line=line, number=number, distance_m=distance_m, azimuth_deg=0.0)


def said(findings):
    found = list(findings)
    assert all(f.is_refusal and f.area == "gear" and f.title.startswith(f"{f.item}: ") for f in found)
    return [(f.full_code, f.item) for f in found]


# sheave, drum and jaw against the rope


def fits(rope, host, *, role="tackle_rope", host_role="cleat", **plan):
    held = hung(role, rope)
    return said(diameter_findings(held, rope, plan_data(held, hung(host_role, host), **plan), READER))


@pytest.mark.parametrize(
    ("diameter_mm", "fit"), [(9.9, False), (10.0, True), (12.0, True), (14.0, True), (14.1, False), (None, False)]
)
def test_rope_fits_from_the_least_size_of_its_host_to_the_greatest(diameter_mm, fit):
    host = gear("C-1", "cleat", rope_diameter_min_mm=10.0, rope_diameter_max_mm=14.0)
    found = fits(gear("R-1", diameter_mm=diameter_mm), host)
    assert found == ([] if fit else [("wrong-diameter:tackle_rope", "R-1")])


@pytest.mark.parametrize("missing", ["rope_diameter_min_mm", "rope_diameter_max_mm"])
def test_host_without_one_of_its_sizes_fits_nothing(missing):
    sizes = {"rope_diameter_min_mm": 10.0, "rope_diameter_max_mm": 14.0} | {missing: None}
    (finding,) = diameter_findings(
        rope := hung("tackle_rope", gear("R-1", diameter_mm=12.0)),
        rope.item,
        plan_data(rope, hung("cleat", gear("C-1", "cleat", **sizes))),
        READER,
    )
    assert finding.text.startswith("C-1 has no rope diameter")


@pytest.mark.parametrize(
    ("role", "host_role", "line"),
    [
        ("tackle_rope", "moving_block", ""),
        ("tackle_rope", "fixed_block", ""),
        ("main_line", "bollard", ""),
        ("main_line", "rope_grab", ""),
        ("main_line", "redirect_block_1", "pull"),
        ("side_line", "side_bollard", ""),
        ("side_line", "side_redirect_block_1", "side"),
        ("restraint_line", "restraint_bollard", ""),
    ],
)
def test_rope_is_held_against_each_host_of_its_path(role, host_role, line):
    rope, host = gear("R-1", diameter_mm=16.0), gear("H-1", "block", rope_diameter_min_mm=10, rope_diameter_max_mm=14)
    held = hung(role, rope)
    redirects = [redirect(line)] if line else []
    whole = plan_data(held, hung(host_role, host), redirects=redirects)
    assert said(diameter_findings(held, rope, whole, READER)) == [(f"wrong-diameter:{role}", "R-1")]


def test_rope_of_unknown_size_is_named_before_its_host():
    rope = hung("tackle_rope", gear("R-1"))
    (finding,) = diameter_findings(rope, rope.item, plan_data(rope, hung("cleat", gear("C-1", "cleat"))), READER)
    assert finding.text.startswith("R-1 has no rope diameter")


def test_redirects_of_one_line_are_no_hosts_of_another():
    turned = plan_data(redirects=[redirect("pull", 1), redirect("side", 1)])
    assert host_roles("tackle_rope", turned) == ("moving_block", "fixed_block", "cleat")
    assert host_roles("restraint_line", turned) == ("restraint_bollard",)
    assert host_roles("main_line", turned) == ("bollard", "rope_grab", "redirect_block_1")
    assert host_roles("side_line", turned) == ("side_bollard", "side_redirect_block_1")
    assert host_roles("cleat", turned) == ()


@pytest.mark.parametrize(("cord_mm", "line_mm", "grips"), [(9.9, 10.0, True), (10.0, 10.0, False), (11.0, 10.0, False)])
def test_cord_grips_only_a_thicker_line(cord_mm, line_mm, grips):
    found = fits(
        gear("K-1", "hitch_cord", diameter_mm=cord_mm),
        gear("R-1", diameter_mm=line_mm),
        role="hitch_cord",
        host_role="main_line",
    )
    assert found == ([] if grips else [("wrong-diameter:hitch_cord", "K-1")])


@pytest.mark.parametrize(("cord_mm", "line_mm", "named"), [(None, 10.0, "K-1"), (8.0, None, "R-1")])
def test_hitch_of_unknown_size_is_refused_by_what_is_missing(cord_mm, line_mm, named):
    cord = hung("hitch_cord", gear("K-1", "hitch_cord", diameter_mm=cord_mm))
    line = hung("main_line", gear("R-1", diameter_mm=line_mm))
    (finding,) = diameter_findings(cord, cord.item, plan_data(cord, line), READER)
    assert finding.text == f"{named} has no diameter entered."


def test_what_hangs_alone_fits():
    for role in ("hitch_cord", "tackle_rope", "main_line"):
        held = hung(role, gear("R-1"))
        assert list(diameter_findings(held, held.item, plan_data(held), READER)) == []


# class and sheaves


def test_class_stands_only_where_it_may():
    block = gear("B-1", "block")
    assert said(class_findings(hung("moving_block", block), block)) == []
    assert said(class_findings(hung("main_line", block), block)) == [("wrong-class:main_line", "B-1")]
    assert said(class_findings(hung("no_such_role", block), block)) == [("wrong-class:no_such_role", "B-1")]


@pytest.mark.parametrize(
    ("parts", "rove", "moving", "fixed"),
    [(2, "to_advantage", 1, 0), (5, "to_advantage", 2, 2), (5, "to_disadvantage", 2, 3), (8, "to_advantage", 4, 3)],
)
def test_sheaves_alternate_from_the_block_the_hauling_part_leaves(parts, rove, moving, fixed):
    assert sheaves_needed(PullPlan(parts=parts, rove=rove)) == {"moving_block": moving, "fixed_block": fixed}


@pytest.mark.parametrize("parts", [1, 9])
def test_tackle_of_parts_that_no_tackle_has_asks_for_no_sheaves(parts):
    assert sheaves_needed(PullPlan(parts=parts, rove="to_advantage")) == {}


@pytest.mark.parametrize(("sheaves", "enough"), [(None, False), (1, False), (2, True), (3, True)])
def test_block_has_at_least_the_sheaves_its_tackle_turns_round(sheaves, enough):
    block = gear("B-1", "block", sheave_count=sheaves)
    found = said(sheave_findings(hung("moving_block", block), block, plan_data(parts=5, rove="to_advantage")))
    assert found == ([] if enough else [("wrong-class:moving_block", "B-1")])


def test_block_of_unknown_make_has_one_sheave():
    block = gear("B-1", "block")
    for role in ("moving_block", "fixed_block"):
        assert said(sheave_findings(hung(role, block), block, plan_data(parts=2, rove="to_advantage"))) == []
        assert said(sheave_findings(hung(role, block), block, plan_data(parts=5, rove="to_advantage"))) != []
    assert said(sheave_findings(hung("redirect_block_1", block), block, plan_data(parts=8, rove="to_advantage"))) == []


# fitness

DAY = dt.date(2026, 11, 25)
EXAMINED = {"pre_service_on": dt.date(2026, 1, 1), "next_due_on": dt.date(2027, 1, 1), "working_load_limit_n": 9000.0}
OUT = {"quarantined_on": DAY, "quarantined_because": "Dropped"}
PENDING = {"examination_pending_since": DAY, "examination_pending_because": "Dropped"}


def unfit(**facts):
    block = gear("B-1", "block", **EXAMINED | facts)
    found = list(fitness_findings(hung("moving_block", block), block, DAY))
    assert {code for code, _ in said(found)} <= {"unfit:moving_block"}
    return {f.title.partition(": ")[2]: f.danger for f in found}


def test_fit_item_is_refused_by_nothing():
    assert unfit() == {}


@pytest.mark.parametrize(
    ("facts", "titles"),
    [
        (OUT, {"out of use"}),
        (PENDING, {"examine first"}),
        (OUT | PENDING, {"out of use"}),  # one event, one cure
        (OUT | PENDING | {"examination_pending_because": "Shortened"}, {"out of use", "examine first"}),
        ({"marking_illegible": True, **PENDING}, {"examine first", "marking cannot be read"}),
        ({"retired_on": DAY}, {"retired"}),
    ],
)
def test_each_reason_is_refused_and_one_event_once(facts, titles):
    assert set(unfit(**facts)) == titles


def test_what_is_out_of_use_or_retired_is_the_gravest():
    grave, less = unfit(**OUT) | unfit(retired_on=DAY), unfit(**PENDING) | unfit(marking_illegible=True)
    assert max(grave.values()) < min(less.values())


def test_position_is_held_to_class_sheaves_fitness_and_sizes_at_once():
    rope = gear("B-1", "block", rope_diameter_min_mm=10, rope_diameter_max_mm=14, **EXAMINED | OUT)
    held = hung("tackle_rope", rope)
    whole = plan_data(held, hung("cleat", gear("C-1", "cleat")), parts=5, rove="to_advantage")
    codes = [code for code, _ in said(position_findings(held, whole, DAY, READER))]
    assert codes == ["wrong-class:tackle_rope", "unfit:tackle_rope", "wrong-diameter:tackle_rope"]
    few = hung("moving_block", gear("B-2", "block", **EXAMINED))
    assert said(position_findings(few, whole, DAY, READER)) == [("wrong-class:moving_block", "B-2")]


def test_position_without_an_item_is_not_judged():
    assert list(position_findings(Assignment(role="cleat"), plan_data(), None, READER)) == []


# lengths


def test_length_of_the_main_line_is_path_tie_off_wraps_and_tail():
    plain = plan_data(hung("bollard", drum("D-1")), bollard_wraps=4.0)
    assert lengths_needed(plain, result()) == pytest.approx({"main_line": 30 + 2 + WRAPS_M + 3, "tackle_rope": 18.0})
    no_drum = plan_data(bollard_wraps=4.0)
    assert lengths_needed(no_drum, result())["main_line"] == pytest.approx(35.0)
    six = plan_data(hung("bollard", drum("D-1")))
    assert lengths_needed(six, result())["main_line"] == pytest.approx(35 + 1.5 * WRAPS_M)
    unknown_drum = plan_data(hung("bollard", drum("D-1", sheave_diameter_mm=None)))
    assert lengths_needed(unknown_drum, result())["main_line"] == pytest.approx(35.0)


def test_tackle_ropes_length_is_that_of_the_first_stage():
    stages = stand_in(rope_needed_m=18.0), stand_in(rope_needed_m=7.0)
    two = stand_in(working=None, travel=stand_in(stages=stages))
    assert lengths_needed(plan_data(), two) == {"tackle_rope": 18.0}


def test_rope_that_does_not_hang_yet_is_not_too_short():
    assert list(length_findings(plan_data(), result(), READER)) == []


def test_plan_that_is_not_worked_out_needs_no_length_of_it():
    assert lengths_needed(plan_data(), stand_in(working=None, travel=None)) == {}


SIDE = {"side_line": True, "side_anchor_distance_m": 4.0, "side_attach_height_m": 3.0, "bollard_wraps": 4.0}


def test_length_of_the_side_line_counts_its_own_redirects_and_drum():
    rigged = plan_data(
        hung("side_bollard", drum("D-2")), hung("bollard", drum("D-1", sheave_diameter_mm=900.0)),
        redirects=[redirect("side", 1, 6.0), redirect("side", 2, 1.5), redirect("pull", 1, 50.0)], **SIDE,
    )  # fmt: skip
    assert lengths_needed(rigged, result())["side_line"] == pytest.approx(5 + 7.5 + 2 + WRAPS_M + 3)


@pytest.mark.parametrize("missing", ["side_line", "side_anchor_distance_m", "side_attach_height_m"])
def test_side_line_that_is_not_described_needs_no_length(missing):
    assert "side_line" not in lengths_needed(plan_data(**SIDE | {missing: None}), result())


def test_length_of_the_restraint_line():
    rigged = plan_data(
        hung("restraint_bollard", drum("D-3")), restraint=True, restraint_length_m=10.0, bollard_wraps=4.0
    )
    assert lengths_needed(rigged, result())["restraint_line"] == pytest.approx(10 + 2 + WRAPS_M + 3)
    for without in ({"restraint": False, "restraint_length_m": 10.0}, {"restraint": True}):
        assert "restraint_line" not in lengths_needed(plan_data(**without), result())


@pytest.mark.parametrize(
    ("length_m", "needed_m", "short"),
    [(35.0, 35.0, False), (34.9995, 35.0, True), (None, 35.0, True), (1.0, None, False), (40.0, 35.0, False)],
)
def test_rope_is_long_enough_at_exactly_what_it_needs(length_m, needed_m, short):
    held = hung("main_line", gear("R-1", length_m=length_m))
    assert said(rope_length_findings(held, needed_m, READER)) == ([("too-short:main_line", "R-1")] if short else [])


def test_anchor_or_nothing_in_a_ropes_place_is_never_too_short():
    assert list(rope_length_findings(Assignment(role="main_line"), 35.0, READER)) == []


def test_every_rope_of_the_path_is_measured():
    short = plan_data(
        hung("main_line", gear("R-1", length_m=34.0)),
        hung("tackle_rope", gear("R-2", length_m=17.0)),
        hung("side_line", gear("R-3", length_m=9.0)),
        **SIDE,
    )
    assert said(length_findings(short, result(), READER)) == [
        ("too-short:main_line", "R-1"),
        ("too-short:tackle_rope", "R-2"),
        ("too-short:side_line", "R-3"),
    ]
