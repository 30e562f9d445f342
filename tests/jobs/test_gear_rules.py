"""Every rule that keeps an item out of a position, one thing wrong at a time."""

import datetime as dt
import re

import pytest

from gear.fitness.refresh import refresh_state
from jobs.models import Anchor, Assignment, Redirect
from jobs.sheets.assign import clear_position, mark_not_used
from tests.factories.gear import ItemFactory, happened
from tests.factories.jobs import AnchorFactory, passing_sheet
from tests.factories.scenario import (
    REDIRECT,
    checked,
    codes,
    edit_item,
    edit_plan,
    item_in,
    refusal,
)

RESTRAINT = {
    "restraint": True,
    "restraint_mass_kg": 600.0,
    "restraint_slope_deg": 12.0,
    "restraint_length_m": 10.0,
    "restraint_slack_m": 0.0,
}


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


def test_passing_sheet_is_refused_by_nothing(sheet):
    check = checked(sheet)
    assert check.refusals == ()
    assert check.stands


# class, kind, position


def test_item_of_a_class_that_does_not_stand_there_is_refused(sheet, lead):
    Assignment.objects.filter(sheet=sheet, role="cleat").update(item=item_in(sheet, "stem_connector"))
    Assignment.objects.filter(sheet=sheet, role="stem_connector").delete()
    mark_not_used(actor=lead, sheet=sheet, role="stem_connector", reason="tied_direct")
    assert {"wrong-class:cleat", "item-kind:cleat"} <= codes(sheet)
    assert refusal(sheet, "wrong-class:cleat").item == "C-30"


@pytest.mark.parametrize(
    ("role", "parts", "sheaves", "refused"),
    [
        # five parts to advantage: four sheaves, two on each block
        ("fixed_block", 5, 1, True),
        ("moving_block", 5, 1, True),
        ("fixed_block", 5, None, True),
        ("fixed_block", 5, 2, False),
        # six parts: five sheaves, three of them on the moving block, which the hauling part leaves
        ("moving_block", 6, 2, True),
        ("moving_block", 6, 3, False),
        ("fixed_block", 6, 2, False),
        # two parts: one sheave, and the fixed block holds the becket alone
        ("moving_block", 2, None, False),
        ("fixed_block", 2, None, False),
    ],
)
def test_block_with_fewer_sheaves_than_its_tackle_is_refused(sheet, role, parts, sheaves, refused):
    edit_plan(sheet, parts=parts)
    edit_item(sheet, role, sheave_count=sheaves)
    assert (f"wrong-class:{role}" in codes(sheet)) is refused


def test_item_out_of_use_after_an_event_is_refused_once(sheet):
    item = item_in(sheet, "moving_block")
    happened(item, "drop", description="from the cage")
    refresh_state(item)
    found = refusal(sheet, "unfit:moving_block")
    assert "Dropped: from the cage" in found.text


def test_examination_pending_for_another_event_is_refused_besides(sheet):
    item = item_in(sheet, "moving_block")
    happened(item, "contamination", days=3, description="bar oil")
    happened(item, "drop", description="from the cage")
    refresh_state(item)
    texts = [f.text for f in checked(sheet).refusals if f.full_code == "unfit:moving_block"]
    assert len(texts) == 2
    assert any("bar oil" in text for text in texts)


@pytest.mark.parametrize("role", ["main_line", "moving_block", "cleat", "anchor", "bollard_anchor", "tension_gauge"])
def test_empty_position_is_refused(sheet, role, lead):
    clear_position(actor=lead, sheet=sheet, role=role)
    assert f"position-empty:{role}" in codes(sheet)


def test_position_left_out_for_an_allowed_reason_is_not_empty(sheet, lead):
    for role, reason in (("cleat", "part_of_block"), ("anchor_sling", "fixed_to_anchor")):
        mark_not_used(actor=lead, sheet=sheet, role=role, reason=reason)
    assert codes(sheet) == set()


def test_rope_grab_as_the_reason_needs_a_rope_grab_in_place(sheet, lead):
    mark_not_used(actor=lead, sheet=sheet, role="hitch_cord", reason="rope_grab_used")
    assert codes(sheet) == {"position-empty:hitch_cord"}


def test_positions_of_a_plan_that_cannot_be_worked_out_are_shown_empty_too(sheet, lead):
    clear_position(actor=lead, sheet=sheet, role="cleat")
    edit_plan(sheet, gust_m_s=None)
    assert codes(sheet) == {"unknown:gust", "position-empty:cleat"}


def test_restraint_that_is_planned_needs_its_gear_even_on_level_ground(sheet):
    edit_plan(sheet, **RESTRAINT)
    roles = ("restraint_line", "restraint_sling", "restraint_bollard", "restraint_anchor")
    assert {f"position-empty:{role}" for role in roles} <= codes(sheet)


def test_redirect_brings_its_own_positions(sheet):
    Redirect.objects.create(plan=sheet.stem.plan, **REDIRECT, kind="sheave", friction_ratio=0.92)
    roles = ("redirect_block_1", "redirect_connector_1", "redirect_sling_1", "redirect_anchor_1")
    assert {f"position-empty:{role}" for role in roles} <= codes(sheet)


# size


@pytest.mark.parametrize(
    ("role", "host", "title"),
    [
        ("tackle_rope", "moving_block", "R-21: wrong diameter for B-08"),
        ("tackle_rope", "fixed_block", "R-21: wrong diameter for B-06"),
        ("tackle_rope", "cleat", "R-21: wrong diameter for K-02"),
        ("main_line", "bollard", "R-07: wrong diameter for D-02"),
    ],
)
@pytest.mark.parametrize(
    "limits",
    [
        {"rope_diameter_max_mm": 11.9},
        {"rope_diameter_min_mm": 14.1, "rope_diameter_max_mm": 18.0},
        {"rope_diameter_min_mm": None},
        {"rope_diameter_max_mm": None},
    ],
    ids=["rope too thick", "rope too thin", "no least size entered", "no greatest size entered"],
)
def test_rope_that_does_not_fit_its_host_is_refused(sheet, role, host, title, limits):
    edit_item(sheet, host, **limits)
    finding = refusal(sheet, f"wrong-diameter:{role}")
    assert finding.title == title


def test_rope_of_just_the_greatest_size_fits(sheet):
    edit_item(sheet, "bollard", rope_diameter_min_mm=14.0, rope_diameter_max_mm=14.0)
    assert codes(sheet) == set()


def test_rope_without_a_diameter_is_refused(sheet):
    edit_item(sheet, "main_line", diameter_mm=None)
    found = codes(sheet)
    assert "wrong-diameter:main_line" in found
    assert "wrong-diameter:hitch_cord" in found
    assert "R-07 has no rope diameter entered" in refusal(sheet, "wrong-diameter:main_line").text


@pytest.mark.parametrize("diameter_mm", [14.0, 16.0, None])
def test_hitch_cord_is_thinner_than_the_rope_it_grips(sheet, diameter_mm):
    """common practice: a cord as thick as its host does not bite."""
    edit_item(sheet, "hitch_cord", diameter_mm=diameter_mm)
    assert "wrong-diameter:hitch_cord" in codes(sheet)


def test_running_bend_under_three_diameters_is_refused(sheet):
    """common practice: sheave or drum at least three rope diameters, four to be without remark."""
    edit_item(sheet, "fixed_block", sheave_diameter_mm=35.0)  # rope 12 mm: ratio 2.9
    assert codes(sheet) == {"sheave-too-small:tackle_rope"}
    edit_item(sheet, "fixed_block", sheave_diameter_mm=40.0)
    assert "sheave-small:tackle_rope" in {f.full_code for f in checked(sheet).cautions}


# length


@pytest.mark.parametrize("role", ["main_line", "tackle_rope"])
def test_rope_shorter_than_its_path_is_refused(sheet, role):
    edit_item(sheet, role, length_m=11.0)
    finding = refusal(sheet, f"too-short:{role}")
    assert "11.0\u00a0m long" in finding.text


@pytest.mark.parametrize("role", ["main_line", "tackle_rope"])
def test_rope_whose_length_nobody_entered_is_too_short(sheet, role):
    edit_item(sheet, role, length_m=None)
    assert "no length entered" in refusal(sheet, f"too-short:{role}").text


def test_length_counts_knot_wraps_and_tail(sheet):
    """Path by hand: hypot of the run to the anchor and the fall of the line, plus 2 m, four wraps, 3 m (chosen)."""
    geometry = checked(sheet).outcome.result.working.situation.geometry
    needed_m = geometry.total_length_m + 2.0 + 4 * 3.14159265 * 0.150 + 3.0
    edit_item(sheet, "main_line", length_m=needed_m + 0.001)
    assert codes(sheet) == set()
    edit_item(sheet, "main_line", length_m=needed_m - 0.001)
    assert codes(sheet) == {"too-short:main_line"}
    has, needs = re.findall(r"([0-9.]+)\u00a0m", refusal(sheet, "too-short:main_line").text)
    assert float(has) < float(needs)  # never "36.0 m long, takes 36.0 m"


def test_rope_without_its_stretch_cannot_be_worked_with(sheet):
    edit_item(sheet, "main_line", reference_elongation_ratio=None, reference_load_ratio=None)
    assert codes(sheet) == {"unknown:rope_stretch"}


@pytest.mark.parametrize("role", ["main_line", "restraint_line"])
def test_rope_rated_by_its_limit_alone_lacks_the_strength_its_stretch_is_given_for(sheet, company, role):
    if role == "restraint_line":
        edit_plan(sheet, **RESTRAINT)
        rope = ItemFactory(company=company, rope=True, tag="R-40", reference_elongation_ratio=0.02,
                           reference_load_ratio=0.1)  # fmt: skip
        Assignment.objects.create(sheet=sheet, role=role, item=rope)
    assert "unknown:rope_stretch" not in codes(sheet)
    edit_item(sheet, role, breaking_strength_n=None, working_load_limit_n=9_000.0)
    assert "unknown:rope_stretch" in codes(sheet)


# fitness


def story(sheet, **traits):
    """Another block in the moving block's place, with a story to it."""
    company = sheet.stem.job.company
    item = ItemFactory(
        company=company,
        tag="B-99",
        sheave_count=2,
        sheave_diameter_mm=90.0,
        rope_diameter_min_mm=8.0,
        rope_diameter_max_mm=18.0,
        **traits,
    )
    Assignment.objects.filter(sheet=sheet, role="moving_block").update(item=item)
    return item


@pytest.mark.parametrize(
    ("traits", "words"),
    [
        ({"retired": True}, "retired"),
        ({"quarantined": True}, "out of use"),
        ({"pending": True}, "examine first"),
        ({"never_examined": True}, "not examined before first use"),
        ({"overdue": True}, "inspection lapses"),
        ({"remark_overdue": True}, "remark not mended in time"),
        ({"illegible": True}, "marking cannot be read"),
        ({"life_from_maker": True, "life_years_from_first_use": 1}, "life ends"),
    ],
)
def test_unfit_item_is_refused_with_its_reason(sheet, traits, words):
    story(sheet, **traits)
    found = [f for f in checked(sheet).refusals if f.full_code == "unfit:moving_block"]
    assert f"B-99: {words}" in {f.title for f in found}
    assert all(f.text and f.cure for f in found)


def test_item_without_a_date_its_life_runs_from_is_refused(sheet):
    edit_item(sheet, "moving_block", life_date_missing=True)
    assert "date of its life unknown" in refusal(sheet, "unfit:moving_block").title


def test_item_under_an_open_recall_is_refused(sheet):
    edit_item(sheet, "moving_block", recall_unresolved=True)
    assert "recalled" in refusal(sheet, "unfit:moving_block").title


def test_every_reason_is_named(sheet):
    edit_item(sheet, "moving_block", recall_unresolved=True, marking_illegible=True)
    assert len([f for f in checked(sheet).refusals if f.full_code == "unfit:moving_block"]) == 2


def test_item_has_to_be_fit_until_the_last_day_of_the_job(sheet):
    last_day = sheet.stem.job.last_day
    edit_item(sheet, "moving_block", next_due_on=last_day)  # due on a day is usable on it
    assert codes(sheet) == set()
    edit_item(sheet, "moving_block", next_due_on=last_day - dt.timedelta(days=1))
    assert codes(sheet) == {"unfit:moving_block"}


def test_unfit_alternate_is_refused(sheet):
    good = item_in(sheet, "moving_block")
    story(sheet, quarantined=True)
    Assignment.objects.filter(sheet=sheet, role="moving_block").update(rank=1)
    Assignment.objects.create(sheet=sheet, role="moving_block", item=good)
    assert codes(sheet) == {"unfit:moving_block"}


# load


@pytest.mark.parametrize(
    ("role", "values"),
    [
        ("moving_block", {"working_load_limit_n": 2_700.0}),
        ("cleat", {"working_load_limit_n": 600.0}),
        ("stem_connector", {"breaking_strength_n": 13_000.0}),
        ("main_line", {"breaking_strength_n": 16_000.0}),
        ("bollard", {"working_load_limit_n": 2_700.0}),
        ("stem_sling", {"vertical_rating_n": None, "working_load_limit_n": 3_300.0}),
    ],
)
def test_item_weaker_than_its_load_is_refused(sheet, role, values):
    edit_item(sheet, role, **values)
    finding = refusal(sheet, f"under-rated:{role}")
    assert finding.facts["load_n"] > finding.facts["capacity_n"]
    assert finding.facts["utilisation_ratio"] == pytest.approx(finding.facts["load_n"] / finding.facts["capacity_n"])


def test_item_rated_for_exactly_its_load_passes(sheet):
    load_n = checked(sheet).by_role["moving_block"].load_n
    edit_item(sheet, "moving_block", working_load_limit_n=load_n)
    assert codes(sheet) == set()
    edit_item(sheet, "moving_block", working_load_limit_n=load_n * 0.999)
    assert codes(sheet) == {"under-rated:moving_block"}


def test_stricter_design_factor_counts(sheet):
    edit_item(sheet, "stem_connector", breaking_strength_n=28_000.0)  # 5.6 kN at a factor of 5
    assert codes(sheet) == set()
    edit_item(sheet, "stem_connector", design_factor=12.0)  # 2.3 kN
    assert codes(sheet) == {"under-rated:stem_connector"}


def test_item_without_any_rating_is_refused(sheet):
    edit_item(sheet, "moving_block", working_load_limit_n=None, breaking_strength_n=None)
    assert {"unrated:moving_block", "unfit:moving_block"} == codes(sheet)


def test_residual_strength_set_by_an_inspector_counts(sheet):
    edit_item(sheet, "moving_block", residual_strength_ratio=0.2)  # 12 kN to 2.4 kN
    assert codes(sheet) == {"under-rated:moving_block"}


def test_rope_without_a_termination_is_refused(sheet):
    edit_item(sheet, "main_line", terminations=[])
    assert codes(sheet) == {"termination-missing:main_line"}


@pytest.mark.parametrize("gate", ["plain", ""])
def test_connector_gate_locks(sheet, gate):
    edit_item(sheet, "stem_connector", gate=gate)
    assert codes(sheet) == {"connector-gate:stem_connector"}


def test_connector_loaded_across_needs_its_minor_axis_strength(sheet):
    Assignment.objects.filter(sheet=sheet, role="stem_connector").update(loaded="across")
    assert codes(sheet) == {"connector-cross-loaded:stem_connector"}
    edit_item(sheet, "stem_connector", minor_axis_strength_n=20_000.0)
    assert codes(sheet) == set()


def test_polypropylene_melts_on_a_drum(sheet):
    """common practice: no polypropylene where rope runs on a drum or in a hitch."""
    edit_item(sheet, "main_line", material="polypropylene")
    assert codes(sheet) == {"material-not-allowed:main_line"}


def test_basket_wider_than_sixty_degrees_a_leg_is_refused(sheet):
    """common practice: no basket leg more than 60 degrees from the line of pull."""
    Assignment.objects.filter(sheet=sheet, role="anchor_sling").update(basket_half_angle_deg=61.0)
    assert codes(sheet) == {"sling-angle:anchor_sling"}


def test_crew_that_could_overload_gear_needs_a_gauge(sheet):
    """Mechanics, section 13: without a gauge, twice the capacity is the most that a crew may be able to put on."""
    edit_item(sheet, "moving_block", working_load_limit_n=5_000.0)  # 11.5 kN by four haulers at full strength
    assert codes(sheet) == set()
    edit_plan(sheet, tension_gauge="none")
    found = codes(sheet)
    assert "over-tension-no-gauge:moving_block" in found
    assert "under-rated:moving_block" not in found


def test_anchor_weaker_than_its_load_is_refused(sheet):
    Anchor.objects.filter(assignments__sheet=sheet, assignments__role="anchor").update(estimate_n=5_000.0)
    assert "under-rated:anchor" in codes(sheet)


def test_anchors_of_one_name_carry_the_sum_of_their_loads(sheet):
    shared = AnchorFactory(job=sheet.stem.job, estimate_n=9_000.0)  # 4.5 kN at a factor of 2; each load 2.8 kN
    Assignment.objects.filter(sheet=sheet, role="anchor").update(anchor=shared)
    assert codes(sheet) == set()
    Assignment.objects.filter(sheet=sheet, role="bollard_anchor").update(anchor=shared)
    assert codes(sheet) == {"under-rated:anchor", "under-rated:bollard_anchor"}
