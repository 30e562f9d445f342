"""A changed fact of an item and the sheets in force that lean on it."""

import pytest

from gear.fact_changes.services import answer_change, change_fact
from gear.models import GearItem
from jobs.models import SheetWithdrawal
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.gear import examiner
from tests.factories.jobs import passing_sheet
from tests.gear.fact_changes.changing import change, grounds

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(company, lead):
    draft = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=draft, looked_at=EVERYTHING)
    return draft


def item_of(sheet, role):
    return sheet.assignments.get(role=role, rank=0).item


def withdrawn(sheet):
    return [(row.item.tag, row.reason) for row in SheetWithdrawal.objects.filter(sheet=sheet)]


def test_a_strength_that_no_longer_carries_the_recorded_load_withdraws_the_sheet(owner, sheet):
    shackle = item_of(sheet, "stem_connector")
    change(owner, shackle, "breaking_strength", shown=False, breaking_strength_n=10_000.0)
    ((tag, reason),) = withdrawn(sheet)
    assert tag == shackle.tag
    assert "was changed on record" in reason
    assert "kN" in reason


def test_a_strength_that_still_carries_the_load_leaves_the_sheet_in_force(owner, sheet):
    change(owner, item_of(sheet, "stem_connector"), "breaking_strength", shown=False, breaking_strength_n=95_000.0)
    assert withdrawn(sheet) == []


def test_a_higher_strength_changes_nothing_when_it_is_entered_and_when_it_counts(owner, inspector, sheet):
    (made,) = change(owner, item_of(sheet, "stem_connector"), "breaking_strength", breaking_strength_n=120_000.0)
    answer_change(actor=examiner(inspector), change=made, agrees=True)
    assert withdrawn(sheet) == []


def test_a_rope_too_short_for_its_path_withdraws_the_sheet(owner, sheet):
    change(owner, item_of(sheet, "main_line"), "length", shown=False, length_m=20.0)
    ((tag, reason),) = withdrawn(sheet)
    assert (tag, "too short" in reason) == ("R-07", True)


def test_a_gate_that_does_not_lock_withdraws_the_sheet(owner, sheet):
    change(owner, item_of(sheet, "hitch_connector"), "gate", shown=False, gate="plain")
    assert [tag for tag, _ in withdrawn(sheet)] == ["C-31"]


def test_a_block_that_takes_thinner_ropes_alone_withdraws_the_sheet(owner, sheet):
    change(owner, item_of(sheet, "moving_block"), "rope_range", shown=False, rope_diameter_max_mm=9.0)
    assert [tag for tag, _ in withdrawn(sheet)] == ["B-08"]


def test_a_rating_that_is_taken_away_withdraws_the_sheet_once(owner, sheet):
    change(owner, item_of(sheet, "moving_block"), "working_load_limit", shown=False, working_load_limit_n=None)
    assert len(withdrawn(sheet)) == 1


def test_a_life_that_ended_withdraws_the_sheet(owner, sheet):
    facts = {"life_from_maker": True, "life_years_from_manufacture": 1, "life_years_from_first_use": None}
    change(owner, item_of(sheet, "main_line"), "life", shown=False, **facts)
    assert [tag for tag, _ in withdrawn(sheet)] == ["R-07"]


def test_a_plan_edited_since_is_judged_by_what_was_issued(owner, sheet):
    sheet.stem.plan.haulers = 1
    sheet.stem.plan.gust_m_s = 20.0
    sheet.stem.plan.save()
    change(owner, item_of(sheet, "stem_connector"), "breaking_strength", shown=False, breaking_strength_n=95_000.0)
    assert withdrawn(sheet) == []
    change(owner, item_of(sheet, "stem_connector"), "breaking_strength", shown=False, breaking_strength_n=10_000.0)
    assert len(withdrawn(sheet)) == 1


def test_a_change_that_is_undone_leaves_the_sheet_in_force(owner, sheet, monkeypatch):
    from gear.fitness import apply_evidence

    def fails(*_):
        raise RuntimeError("the listener failed")

    monkeypatch.setattr(apply_evidence, "fact_listeners", [*apply_evidence.fact_listeners, fails])
    shackle = item_of(sheet, "stem_connector")
    with pytest.raises(RuntimeError):
        change_fact(
            actor=owner,
            item=shackle,
            subject="breaking_strength",
            values={"breaking_strength_n": 10_000.0},
            grounds=grounds(shown=False),
        )
    assert withdrawn(sheet) == []
    assert GearItem.objects.get(pk=shackle.pk).breaking_strength_n == 100_000.0
