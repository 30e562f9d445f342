"""Inputs changed after a refusal are listed; a change for the better says where it comes from."""

import json

import pytest

from crewlog.errors import RuleBroken
from gear.models import GearItem
from jobs.errors import SheetRefused
from jobs.models import Anchor, Assignment, SourceNote, StemSection
from jobs.plans.watched import watched_inputs
from jobs.sheets.assign import assign_item, note_source, open_draft
from jobs.sheets.changes import is_favourable, value_key
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.gear import ItemFactory
from tests.factories.jobs import HazardFactory, passing_sheet
from tests.factories.scenario import checked, codes, edit_item, edit_plan, edit_stem, fresh

TOO_WINDY = 11.5


@pytest.fixture
def sheet(company, lead):
    """A draft that was refused for its gust."""
    sheet = passing_sheet(company, lead=lead.person)
    edit_plan(sheet, gust_m_s=TOO_WINDY, gust_source="forecast")
    refuse(sheet)
    return sheet


def refuse(sheet):
    with pytest.raises(SheetRefused):
        issue_sheet(actor=sheet.stem.job.lead.membership, sheet=sheet, looked_at=EVERYTHING)


def changes(sheet):
    return {change.path: change for change in checked(sheet).changes}


def note(sheet, path, value, source="anemometer on site"):
    return note_source(
        actor=sheet.stem.job.lead.membership, sheet=sheet, path=path, value=value_key(value), source=source
    )


def plain(text):
    return text.replace("\u00a0", " ")


def test_nothing_is_listed_before_a_refusal(company, lead):
    first = passing_sheet(company, lead=lead.person)
    edit_plan(first, gust_m_s=4.0)
    assert changes(first) == {}


def test_change_is_listed_with_before_after_and_the_refusal(sheet):
    edit_plan(sheet, gust_m_s=5.0)
    change = changes(sheet)["plan.gust_m_s"]
    assert (plain(change.before), plain(change.after)) == ("11.5 m/s", "5.0 m/s")
    assert change.what == "Strongest gust"
    assert "wind-above-limit" in change.refusal
    assert change.refused_at
    assert change.needs_source


def test_favourable_change_without_a_source_is_refused(sheet):
    edit_plan(sheet, gust_m_s=5.0)
    assert codes(sheet) == {"change-without-source:plan.gust_m_s"}


def test_new_method_is_the_source(sheet):
    edit_plan(sheet, gust_m_s=5.0, gust_source="measured")
    assert codes(sheet) == set()
    assert changes(sheet)["plan.gust_m_s"].source == "forecast → measured"


def test_note_is_the_source_for_that_value_only(sheet):
    edit_plan(sheet, gust_m_s=5.0)
    note(sheet, "plan.gust_m_s", 5.0)
    assert codes(sheet) == set()
    assert changes(sheet)["plan.gust_m_s"].source == "anemometer on site"
    edit_plan(sheet, gust_m_s=4.0)
    assert codes(sheet) == {"change-without-source:plan.gust_m_s"}


def test_note_without_words_is_refused(sheet):
    with pytest.raises(RuleBroken) as refused:
        note(sheet, "plan.gust_m_s", 5.0, source="  ")
    assert refused.value.code == "source-missing"
    assert not SourceNote.objects.exists()


def test_second_note_for_a_value_takes_the_place_of_the_first(sheet):
    note(sheet, "plan.gust_m_s", 5.0, source="guess")
    note(sheet, "plan.gust_m_s", 5.0, source="mast at the lock")
    assert SourceNote.objects.get().source == "mast at the lock"


def test_notes_of_long_values_alike_at_their_start_are_told_apart():
    long, longer = [[0.1 * n, 0.5] for n in range(9)], [[0.1 * n, 0.5] for n in range(8)] + [[9.0, 0.1]]
    assert json.dumps(long)[:60] == json.dumps(longer)[:60]
    assert value_key(long) != value_key(longer)
    assert len(value_key(long)) <= 60


def test_unfavourable_change_is_listed_and_needs_no_source(sheet):
    edit_plan(sheet, gust_m_s=5.0, gust_source="measured", slack_m=0.5)
    change = changes(sheet)["plan.slack_m"]
    assert not change.needs_source
    assert codes(sheet) == set()


def test_choice_of_the_plan_is_listed_and_needs_no_source(sheet):
    edit_plan(sheet, gust_m_s=5.0, gust_source="measured", attach_height_m=8.5, hinge_thickness_m=0.041)
    found = changes(sheet)
    assert not found["plan.attach_height_m"].needs_source
    assert not found["plan.hinge_thickness_m"].needs_source
    assert codes(sheet) == set()


def test_swapped_gear_is_listed_by_tag(sheet, company):
    edit_plan(sheet, gust_m_s=5.0, gust_source="measured")
    spare = ItemFactory(
        company=company,
        tag="B-77",
        sheave_count=2,
        sheave_diameter_mm=90.0,
        rope_diameter_min_mm=8.0,
        rope_diameter_max_mm=18.0,
    )
    Assignment.objects.filter(sheet=sheet, role="moving_block").update(item=spare)
    change = changes(sheet)["gear.moving_block"]
    assert (change.before[:4], change.after[:4]) == ("B-08", "B-77")
    assert not any(path.startswith("rating.") for path in changes(sheet))
    assert codes(sheet) == set()


# ways round that are closed


def test_figure_that_was_emptied_and_filled_anew_counts_against_the_answer_it_had(sheet):
    edit_plan(sheet, gust_m_s=None)
    refuse(sheet)
    edit_plan(sheet, gust_m_s=5.0)
    assert codes(sheet) == {"change-without-source:plan.gust_m_s"}


def test_figure_bettered_in_two_steps_counts_against_every_refusal(sheet):
    edit_plan(sheet, gust_m_s=5.0)
    refuse(sheet)
    edit_plan(sheet, gust_m_s=5.3)  # worse than the last attempt, better than the first
    assert codes(sheet) == {"change-without-source:plan.gust_m_s"}
    note(sheet, "plan.gust_m_s", 5.3)
    assert codes(sheet) == set()
    listed = [plain(f"{c.before} → {c.after}") for c in checked(sheet).changes if c.path == "plan.gust_m_s"]
    assert "11.5 m/s → 5.0 m/s" in listed


def test_method_renamed_before_the_figure_is_bettered_is_no_new_source(sheet):
    edit_plan(sheet, gust_source="measured")
    refuse(sheet)
    edit_plan(sheet, gust_m_s=5.0)
    assert codes(sheet) == {"change-without-source:plan.gust_m_s"}


def test_draft_of_the_next_revision_keeps_refusals_and_sources(sheet, lead):
    edit_plan(sheet, gust_m_s=5.0)
    note(sheet, "plan.gust_m_s", 5.0)
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    draft = open_draft(actor=lead, stem=fresh(sheet).stem)
    assert draft.revision == 2
    assert changes(draft)["plan.gust_m_s"].source == "anemometer on site"
    assert codes(draft) == set()
    edit_plan(draft, gust_m_s=4.0)
    assert codes(draft) == {"change-without-source:plan.gust_m_s"}


def test_strength_on_record_that_grew_after_a_refusal_needs_a_source(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    edit_item(sheet, "moving_block", working_load_limit_n=2_000.0)
    refuse(sheet)
    edit_item(sheet, "moving_block", working_load_limit_n=6_000.0)
    assert codes(sheet) == {"change-without-source:rating.B-08"}
    change = changes(sheet)["rating.B-08"]
    assert "2.00 kN" in plain(change.before)
    assert "6.00 kN" in plain(change.after)


def test_power_line_that_moved_or_vanished_needs_a_source(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    hazard = HazardFactory(stem=sheet.stem, kind="overhead_line", description="Wires", distance_m=15.0)
    refuse(sheet)
    hazard.distance_m = 60.0
    hazard.save()
    assert codes(sheet) == {f"change-without-source:hazard.{hazard.pk}"}
    path = f"hazard.{hazard.pk}"
    hazard.delete()
    assert codes(sheet) == {f"change-without-source:{path}"}
    note(sheet, path, None, source="it is a telephone line, seen with the operator")
    assert codes(sheet) == set()


def test_power_line_that_was_isolated_is_listed_with_its_control(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    hazard = HazardFactory(stem=sheet.stem, kind="overhead_line", description="Wires", distance_m=15.0)
    refuse(sheet)
    hazard.power_line_control, hazard.control = "isolated", "Dead and earthed, permit 44"
    hazard.save()
    assert codes(sheet) == set()
    assert "permit 44" in changes(sheet)[f"hazard control.{hazard.pk}"].after


def test_stronger_anchor_needs_a_basis(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    held = Anchor.objects.filter(assignments__sheet=sheet, assignments__role="anchor")
    held.update(estimate_n=4_000.0)
    refuse(sheet)
    held.update(estimate_n=40_000.0)
    assert codes(sheet) == {"change-without-source:anchor.anchor"}
    held.update(basis="Second look, roots dug free, 80 cm across")
    assert codes(sheet) == set()


def test_new_sizes_of_the_stem_need_a_source(sheet):
    edit_plan(sheet, gust_m_s=5.0, gust_source="measured")
    StemSection.objects.filter(stem=sheet.stem, height_m=8.0).update(diameter_m=0.24)
    assert codes(sheet) == {"change-without-source:sections"}
    words = plain(changes(sheet)["sections"].after)
    assert "24 cm at 8.00 m" in words or "24.0 cm at 8.00 m" in words


def test_lighter_wood_by_a_first_weighing_needs_a_source(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    edit_stem(sheet, green_density_kg_m3=None)
    edit_plan(sheet, gust_m_s=TOO_WINDY, gust_source="forecast")
    refuse(sheet)
    edit_plan(sheet, gust_m_s=5.0, gust_source="measured")
    edit_stem(sheet, green_density_kg_m3=600.0)
    assert codes(sheet) == {"change-without-source:stem.green_density_kg_m3"}


@pytest.mark.parametrize(
    ("path", "old", "new", "is_better"),
    [
        ("plan.gust_m_s", 9.0, 5.0, True),
        ("plan.gust_m_s", 5.0, 9.0, False),
        ("plan.gust_m_s", 5.0, 5.0, False),
        ("plan.gust_m_s", None, 5.0, False),
        ("plan.gust_m_s", 9.0, None, False),
        ("plan.sheave_efficiency_ratio", 0.9, 0.95, True),
        ("plan.sheave_efficiency_ratio", 0.95, 0.9, False),
        ("plan.sound_wood_height_m", 9.0, 11.0, True),
        ("plan.attach_height_m", 8.0, 9.0, False),
        ("plan.shock_credible", "yes", "no", True),
        ("stem.lean_deg", 6.0, 4.0, True),
        ("stem.hung_up", "yes", "no", True),
        ("stem.hung_up", "", "no", False),
        ("anchor.anchor", 10_000.0, 20_000.0, True),
        ("anchor.anchor", 20_000.0, 10_000.0, False),
        ("hazard.4", ["overhead_line", 10.0, 5.0], None, True),
        ("gear.cleat", "K-02", "K-03", False),
    ],
)
def test_what_counts_as_a_change_for_the_better(path, old, new, is_better):
    assert is_favourable(path, old, new) is is_better


def test_changes_are_written_on_the_issued_sheet(sheet, lead):
    edit_plan(sheet, gust_m_s=5.0, gust_source="measured")
    issue = issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    (stored,) = json.loads(issue.snapshot)["changes"]
    assert stored["path"] == "plan.gust_m_s"
    assert stored["source"] == "forecast → measured"


def test_every_position_and_figure_is_watched(sheet):
    watched = watched_inputs(checked(sheet).bundle)
    assert {"plan.gust_m_s", "stem.lean_deg", "sections", "crown parts", "gear.cleat", "anchor.anchor"} <= set(watched)
    assert watched["rating.B-08"]["working_load_limit_n"] == GearItem.objects.get(tag="B-08").working_load_limit_n


def test_queries_for_changes_do_not_grow_with_refusals(sheet, django_assert_num_queries, django_assert_max_num_queries):
    with django_assert_max_num_queries(25) as asked:
        checked(sheet)
    for _ in range(3):
        refuse(sheet)
    with django_assert_num_queries(len(asked.captured_queries)):
        checked(sheet)


def test_item_drafted_after_the_refusal_is_compared_too(sheet, company, lead):
    edit_plan(sheet, gust_m_s=5.0, gust_source="measured")
    weaker = ItemFactory(
        company=company,
        tag="B-78",
        working_load_limit_n=3_000.0,
        sheave_count=2,
        sheave_diameter_mm=90.0,
        rope_diameter_min_mm=8.0,
        rope_diameter_max_mm=18.0,
    )
    assign_item(actor=lead, sheet=sheet, role="moving_block", item=weaker)
    assert changes(sheet)["gear.moving_block"].after.startswith("B-78")
