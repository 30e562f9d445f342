"""Efficiency of a tackle from pairs of readings: kept as evidence, corrected by a later record, taken by a plan."""

import datetime as dt

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import verify
from gear.models import GearItem
from jobs.efficiency.services import Pair, record_efficiency_pairs, take_measured_efficiency
from jobs.mechanics.measured import efficiency_fall
from jobs.models import EfficiencyMeasurement
from jobs.models.plan import EfficiencyOrigin
from tests.factories.gear import ItemFactory
from tests.factories.jobs import PlanFactory
from tests.given import Given

pytestmark = pytest.mark.django_db

# Five parts to advantage at 0.90 a sheave give 1 + 0.9 + 0.81 + 0.729 + 0.6561 = 4.0951.
ADVANTAGE = 4.0951
HAULED = [Pair(200.0, 200.0 * ADVANTAGE * error) for error in (0.99, 1.0, 1.01, 1.0)]


@pytest.fixture
def tackle(company):
    return ItemFactory(
        company=company, gear_class="tackle_set", description="Tackle set, five to one", parts_expected=4
    )


def record(actor, tackle, **changes):
    facts = {
        "actor": actor,
        "item": tackle,
        "measured_on": actor.company.today(),
        "parts": 5,
        "rove": "to_advantage",
        "pairs": HAULED,
        "load_cell_words": "Hired cell 5",
    }
    return record_efficiency_pairs(**(facts | changes))


def test_pairs_give_the_efficiency_they_were_made_with(lead, tackle):
    row = record(lead, tackle)
    assert row.sheave_efficiency == pytest.approx(0.90, abs=0.002)
    assert row.sheave_efficiency_low < 0.90 < row.sheave_efficiency_high
    assert row.readings_used == 4


def test_pairs_read_while_holding_are_kept_and_do_not_count(lead, tackle):
    held = Pair(200.0, 1500.0, "holding")
    row = record(lead, tackle, pairs=[*HAULED, held])
    assert row.pairs[-1] == [200.0, 1500.0, "holding"]
    assert row.sheave_efficiency == record(lead, tackle).sheave_efficiency


def test_measurement_stands_on_the_chain_and_cannot_be_changed(lead, tackle):
    row = record(lead, tackle)
    assert row.record.kind == "jobs.efficiency-measured"
    assert verify(lead.company).holds
    with pytest.raises((DatabaseError, IntegrityError)), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE jobs_efficiencymeasurement SET sheave_efficiency = 0.5")


@pytest.mark.parametrize("role", ["owner", "lead", "inspector"])
def test_owner_lead_and_inspector_may_record(request, tackle, role):
    assert record(request.getfixturevalue(role), tackle).pk


REFUSED: dict[str, Given] = {
    "too-few-pairs": {"pairs": [*HAULED[:2], Pair(200.0, 800.0, "holding")]},
    "ma-above-ideal": {"pairs": [Pair(100.0, 600.0)] * 3},
    "tackle-parts": {"parts": 9},
    "reading-not-positive": {"pairs": [*HAULED, Pair(0.0, 800.0)]},
    "load-cell-missing": {"load_cell_words": " "},
    "happened-in-future": {"measured_on": dt.date(2999, 1, 1)},
}


@pytest.mark.parametrize("code", REFUSED)
def test_refused_and_nothing_kept(lead, tackle, code):
    with pytest.raises(RuleBroken) as refused:
        record(lead, tackle, **REFUSED[code])
    assert refused.value.code == code
    assert not EfficiencyMeasurement.objects.exists()


def test_crew_may_not_record(climber, tackle):
    with pytest.raises(RuleBroken, match="role"):
        record(climber, tackle)


def test_sling_has_no_efficiency(lead, company):
    with pytest.raises(RuleBroken, match="no tackle"):
        record(lead, ItemFactory(company=company, gear_class="sling"))


def test_cell_out_of_calibration_is_refused(lead, company, tackle):
    cell = ItemFactory(company=company, gear_class="load_cell")
    GearItem.objects.filter(pk=cell.pk).update(next_due_on=company.today() - dt.timedelta(days=1))
    cell.refresh_from_db()
    with pytest.raises(RuleBroken, match="calibration"):
        record(lead, tackle, load_cell=cell, load_cell_words="")


def test_cell_of_another_company_is_refused(lead, tackle):
    cell = ItemFactory(gear_class="load_cell")
    with pytest.raises(RuleBroken, match="no load cell"):
        record(lead, tackle, load_cell=cell)


def test_correction_points_at_the_wrong_one_which_counts_no_more(lead, tackle):
    wrong = record(lead, tackle)
    right = record(lead, tackle, corrects=wrong, because="Cell read in lbf")
    assert right.record.corrects == wrong.record
    assert list(EfficiencyMeasurement.objects.standing()) == [right]
    with pytest.raises(RuleBroken, match="corrected already"):
        record(lead, tackle, corrects=wrong, because="Again")


def test_correction_says_what_was_wrong(lead, tackle):
    wrong = record(lead, tackle)
    with pytest.raises(RuleBroken, match="what was wrong"):
        record(lead, tackle, corrects=wrong)


def test_plan_takes_the_low_end_and_says_that_it_was_measured(lead, tackle):
    row = record(lead, tackle)
    plan = PlanFactory(complete=True, stem__job__company=lead.company, sheave_efficiency_origin="assumed")
    take_measured_efficiency(actor=lead, stem=plan.stem, measurement=row)
    plan.refresh_from_db()
    assert plan.sheave_efficiency_ratio == row.sheave_efficiency_low
    assert plan.sheave_efficiency_origin == EfficiencyOrigin.MEASURED


def test_plan_with_other_parts_does_not_take_it(lead, tackle):
    row = record(lead, tackle)
    plan = PlanFactory(complete=True, stem__job__company=lead.company, parts=4)
    with pytest.raises(RuleBroken, match="rove otherwise"):
        take_measured_efficiency(actor=lead, stem=plan.stem, measurement=row)


def test_plan_does_not_take_a_corrected_one(lead, tackle):
    wrong = record(lead, tackle)
    record(lead, tackle, corrects=wrong, because="Cell read in lbf")
    plan = PlanFactory(complete=True, stem__job__company=lead.company)
    with pytest.raises(RuleBroken, match="no longer counts"):
        take_measured_efficiency(actor=lead, stem=plan.stem, measurement=wrong)


def test_first_measurement_has_nothing_to_fall_from():
    assert efficiency_fall([], 0.80, 0.85) is None


def test_figure_within_its_own_history_is_no_fall():
    assert efficiency_fall([0.91, 0.90, 0.92], 0.89, 0.93) is None


def test_interval_wholly_under_the_usual_figure_is_a_fall():
    fall = efficiency_fall([0.91, 0.90, 0.92], 0.88, 0.89)
    assert fall.usual_ratio == 0.91
    assert fall.is_beyond_interval


def test_figure_far_under_the_usual_one_is_a_fall_however_wide_its_interval():
    fall = efficiency_fall([0.91, 0.90, 0.92], 0.85, 0.99)
    assert fall is not None
    assert not fall.is_beyond_interval
