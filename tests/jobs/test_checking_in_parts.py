"""The parts of a check, on rows that nobody saved: what is on the path, what is empty, what an alternate breaks."""

import datetime as dt
from dataclasses import replace

import pytest

from gear.models import GearItem
from jobs.models import Anchor, Assignment, Sheet
from jobs.plans.calculation import Outcome, calculate
from jobs.sheets.alternates import alternate_findings
from jobs.sheets.check import (
    climbs,
    crew_findings,
    date_findings,
    deduplicated,
    empty_findings,
    on_path,
    position_rows,
    roles_of,
    stretch_findings,
)
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter
from tests.factories.scenario import unsaved_plan_data
from tests.given import stand_in

READER = UnitFormatter("metric")
TODAY = dt.date(2026, 11, 25)
NOTHING = Outcome(findings=())
STRETCH = {"breaking_strength_n": 45000.0, "reference_elongation_ratio": 0.02, "reference_load_ratio": 0.1}


def gear(tag, gear_class="block", **facts):
    return GearItem(tag=tag, gear_class=gear_class, design_factor=5.0, **facts)


def block(tag, **facts):
    sizes = {"rope_diameter_min_mm": 10.0, "rope_diameter_max_mm": 14.0, "sheave_diameter_mm": 80.0}
    return gear(tag, **sizes | {"working_load_limit_n": 12000.0} | facts)


def rope(tag, gear_class="rope", **facts):
    known = STRETCH | {"diameter_mm": 12.0, "length_m": 90.0, "terminations": ["spliced_eye"]}
    return gear(tag, gear_class, **known | facts)


def hung(role, item, rank=0):
    return Assignment(role=role, item=item, rank=rank)


def with_gear(*assignments, **changes):
    return replace(unsaved_plan_data(**changes), assignments=assignments)


def full_codes(findings):
    found = list(findings)
    assert all(f.is_refusal and f.area == "gear" for f in found)
    return [f.full_code for f in found]


# what is on the path


def test_gear_left_in_a_position_that_the_plan_no_longer_has_is_passed_over():
    held = hung("cleat", gear("C-1")), hung("side_line", rope("R-9")), hung("moving_block", block("B-2"), rank=1)
    assert on_path(with_gear(*held)).assignments == (held[0], held[2])


@pytest.mark.parametrize("result", [None, stand_in(loads_n={}, restraint=None)])
def test_every_needed_position_is_empty_before_anything_hangs(result):
    plan_data = with_gear()
    empty = full_codes(empty_findings(plan_data, stand_in(result=result)))
    needed = set(roles_of(plan_data)) - {"rope_grab", "gauge_connector"}
    assert set(empty) == {f"position-empty:{role}" for role in needed}
    assert len(empty) == len(needed)


def test_position_that_is_filled_or_that_the_mechanics_judged_is_not_told_again():
    plan_data = with_gear(hung("cleat", gear("C-1")))
    judged = stand_in(loads_n={"moving_block": 1.0}, restraint=None)
    empty = full_codes(empty_findings(plan_data, stand_in(result=judged)))
    assert not {"position-empty:cleat", "position-empty:moving_block"} & set(empty)
    assert "position-empty:fixed_block" in empty


def test_restraint_that_was_worked_out_and_holds_nothing_needs_no_gear():
    plan_data = with_gear(restraint=True)
    waits = stand_in(result=stand_in(loads_n={}, restraint=None))
    worked = stand_in(result=stand_in(loads_n={}, restraint=object()))
    assert "position-empty:restraint_line" in full_codes(empty_findings(plan_data, waits))
    after = full_codes(empty_findings(plan_data, worked))
    assert not [code for code in after if "restraint" in code]
    assert "position-empty:main_line" in after
    assert "position-empty:restraint_line" in full_codes(empty_findings(plan_data, NOTHING))


@pytest.mark.parametrize("role", ["main_line", "restraint_line"])
@pytest.mark.parametrize("missing", STRETCH)
def test_rope_whose_stretch_the_plan_rests_on_has_it_entered(role, missing):
    found = stretch_findings(with_gear(hung(role, rope("R-1", **{missing: None}))))
    assert [(f.full_code, f.field, f.item, f.is_refusal) for f in found] == [
        ("unknown:rope_stretch", role, "R-1", True)
    ]


def test_other_ropes_and_empty_positions_need_no_stretch():
    bare = dict.fromkeys(STRETCH)
    others = hung("tackle_rope", rope("R-1", **bare)), hung("main_line", None), hung("restraint_line", rope("R-2"))
    assert list(stretch_findings(with_gear(*others))) == []
    later = stretch_findings(with_gear(*others, hung("main_line", rope("R-3", **bare), rank=1)))
    assert [f.item for f in later] == ["R-3"]


@pytest.mark.parametrize(
    ("changes", "somebody"),
    [({}, False), ({"attach_method": "climber"}, True), ({"stem__height_method": "climber"}, True)],
)
def test_height_a_climber_taped_means_that_somebody_climbs(changes, somebody):
    plan_data = unsaved_plan_data(**changes)
    assert climbs(plan_data) is somebody
    codes = {f.full_code for f in crew_findings(plan_data, NOTHING, (), day=TODAY, write=READER)}
    assert ("duty-empty:rescue_climber" in codes) is somebody
    assert "duty-empty:cutter" in codes


# days


def dated(day, *, first=TODAY, last=TODAY, closed_on=None):
    job = stand_in(first_day=first, last_day=last, closed_on=closed_on, company=stand_in(today=lambda: TODAY))
    found = list(date_findings(Sheet(day=day), job))
    assert all(f.is_refusal and (f.area, f.field) == ("sheet", "day") for f in found)
    return [f.code for f in found]


DAY = dt.timedelta(days=1)


@pytest.mark.parametrize(
    ("day", "codes"),
    [
        (TODAY, []),
        (TODAY + 2 * DAY, []),
        (TODAY + 3 * DAY, ["day-outside-job"]),
        (TODAY - DAY, ["day-past"]),
        (TODAY - 2 * DAY, ["day-outside-job", "day-past"]),
    ],
)
def test_day_of_a_sheet_lies_within_the_job_and_not_behind_us(day, codes):
    assert dated(day, first=TODAY - DAY, last=TODAY + 2 * DAY) == codes


def test_closed_job_takes_no_sheet():
    assert dated(TODAY, closed_on=TODAY) == ["job-closed"]


# findings and rows


def finding(**facts):
    whole = {"code": "unfit", "severity": "refusal", "area": "gear", "title": "t", "text": "x", "cure": "c"}
    return Finding(**whole | facts)


@pytest.mark.parametrize("code", ["overdue", "retired"])
def test_fitness_speaks_for_the_item_it_is_about_and_no_other(code):
    other, same = finding(code=code, subject="cleat"), finding(code=code, subject="anchor_sling")
    unfit = finding(subject="anchor_sling")
    under_rated = finding(code="under-rated", subject="anchor_sling")
    assert list(deduplicated((other, same, unfit, under_rated))) == [other, unfit, under_rated]


def test_same_words_of_two_positions_are_two_findings():
    both = finding(subject="cleat"), finding(subject="anchor_sling")
    assert list(deduplicated((*both, *both))) == list(both)
    titles = finding(title="one"), finding(title="other")
    assert list(deduplicated(titles)) == list(titles)


def test_row_of_a_position_holds_what_hangs_there_and_what_is_said_of_it():
    held, spare = hung("moving_block", block("B-1")), hung("moving_block", block("B-2"), rank=1)
    plan_data = with_gear(held, spare, hung("anchor", None))
    outcome = calculate(plan_data)
    said = (
        finding(subject="moving_block"),
        finding(subject="moving_block", severity="caution"),
        finding(subject="cleat"),
    )
    rows = {row.role: row for row in position_rows(plan_data, outcome, said)}
    row = rows["moving_block"]
    assert (row.assignment, row.alternates, row.is_filled) == (held, (spare,), True)
    assert (row.refusals, row.cautions) == ((said[0],), (said[1],))
    assert row.load_n == outcome.result.loads_n["moving_block"]
    assert row.use == outcome.result.utilisations["moving_block"]
    assert row.people_max == outcome.result.people_max_by_role["moving_block"]
    assert (rows["cleat"].is_filled, rows["cleat"].alternates, rows["cleat"].use) == (False, (), None)
    assert (rows["anchor"].is_anchor, row.is_anchor, rows["rope_grab"].is_optional) == (True, False, True)
    assert list(rows) == list(roles_of(plan_data))


def test_rows_of_a_plan_that_is_not_worked_out_carry_nothing_yet():
    rows = position_rows(with_gear(), NOTHING, ())
    assert {(row.load_n, row.use, row.people_max) for row in rows} == {(None, None, None)}


# alternates


def swapped(role, spare, *held, **changes):
    plan_data = with_gear(*held, hung(role, spare, rank=1), **changes)
    found = list(alternate_findings(plan_data, calculate(plan_data), READER))
    assert all(f.is_refusal and f.item == spare.tag and f.subject == role for f in found)
    assert all(f.title.startswith(f"Alternate {spare.tag}, ") for f in found)
    return {f.code for f in found}


LINE, TACKLE_ROPE = hung("main_line", rope("R-1")), hung("tackle_rope", rope("R-2", "tackle_rope"))


def test_alternate_that_would_do_is_refused_by_nothing():
    assert swapped("moving_block", block("B-9"), hung("moving_block", block("B-1")), TACKLE_ROPE) == set()
    assert swapped("main_line", rope("R-9"), LINE) == set()


@pytest.mark.parametrize(
    ("role", "spare", "code"),
    [
        ("moving_block", block("B-9", working_load_limit_n=900.0), "under-rated"),
        ("moving_block", block("B-9", rope_diameter_max_mm=11.0), "wrong-diameter"),
        ("moving_block", block("B-9", sheave_diameter_mm=30.0), "sheave-too-small"),
        ("main_line", rope("R-9", length_m=10.0), "too-short"),
        ("main_line", rope("R-9", length_m=None), "too-short"),
        ("tackle_rope", rope("R-9", "tackle_rope", breaking_strength_n=900.0), "under-rated"),
    ],
)
def test_alternate_is_refused_by_what_it_would_break(role, spare, code):
    assert swapped(role, spare, hung("moving_block", block("B-1")), LINE, TACKLE_ROPE) == {code}


def test_caution_of_an_alternate_refuses_nothing():
    small = block("B-9", sheave_diameter_mm=45.0)  # 3.75 times the rope: noted under 4, refused under 3
    assert swapped("moving_block", small, hung("moving_block", block("B-1")), TACKLE_ROPE) == set()


def test_fault_of_the_rope_that_hangs_is_not_laid_on_the_alternate_of_another_host():
    thick = hung("tackle_rope", rope("R-2", "tackle_rope", diameter_mm=19.0))
    wide = {"rope_diameter_max_mm": 20.0, "sheave_diameter_mm": 120.0}
    fixed = hung("fixed_block", block("B-1"))  # does not take the rope, and is not the alternate's business
    assert swapped("moving_block", block("B-9", **wide), fixed, thick) == set()


def test_what_hangs_and_an_anchor_are_no_alternates():
    weak = hung("moving_block", block("B-1", working_load_limit_n=900.0))
    plan_data = with_gear(weak, Assignment(role="anchor", rank=1, anchor=Anchor(name="Oak 2")))
    assert list(alternate_findings(plan_data, calculate(plan_data), READER)) == []


def test_alternate_of_a_plan_that_is_not_worked_out_is_held_to_sizes_alone():
    plan_data = with_gear(
        TACKLE_ROPE, hung("moving_block", block("B-9", rope_diameter_max_mm=11.0, working_load_limit_n=1.0), rank=1)
    )
    assert [f.code for f in alternate_findings(plan_data, NOTHING, READER)] == ["wrong-diameter"]


RESTRAINT = {
    "restraint": True,
    "restraint_mass_kg": 600.0,
    "restraint_slope_deg": 12.0,
    "restraint_length_m": 10.0,
    "restraint_slack_m": 0.4,
}


def test_stiffer_alternate_brings_a_peak_that_the_restraints_gear_has_to_bear():
    soft = rope("R-5", reference_elongation_ratio=0.2)
    plan_data = with_gear(hung("restraint_line", soft), **RESTRAINT)
    peak_n = calculate(plan_data).result.loads_n["restraint_bollard"]
    sizes = {"working_load_limit_n": 1.01 * peak_n, "rope_diameter_min_mm": 8.0, "rope_diameter_max_mm": 20.0}
    held = hung("restraint_line", soft), hung("restraint_bollard", gear("D-5", "bollard", **sizes))
    rated = calculate(with_gear(*held, **RESTRAINT))
    assert "under-rated:restraint_bollard" not in {f.full_code for f in rated.refusals}
    codes = swapped("restraint_line", rope("R-9", reference_elongation_ratio=0.01), *held, **RESTRAINT)
    assert "under-rated" in codes
