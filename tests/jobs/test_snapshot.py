"""What was issued can be recomputed from its snapshot alone."""

import json

import pytest

from jobs.errors import SheetRefused
from jobs.mechanics import MECHANICS_VERSION
from jobs.mechanics.exchange import solve
from jobs.plans.services import keep_revision
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from jobs.sheets.snapshot import snapshot_sha256, take_snapshot
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import checked, edit_item, edit_plan

TOLERANCES = {"attach_tolerance_m": 0.2, "gust_tolerance_m_s": 1.0, "lean_tolerance_deg": 0.5}


@pytest.fixture
def sheet(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    edit_plan(sheet, **TOLERANCES)
    return sheet


@pytest.fixture
def snapshot(sheet, lead):
    return json.loads(issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING).snapshot)


def numbers(value):
    """Every number in JSON values, in order."""
    if isinstance(value, dict):
        return [n for key in sorted(value) for n in numbers(value[key])]
    if isinstance(value, list):
        return [n for each in value for n in numbers(each)]
    return [value] if isinstance(value, int | float) else []


def test_stored_request_solved_again_gives_the_stored_results(snapshot):
    again = solve({"topic": "plan", "inputs": snapshot["request"]})["results"]
    pairs = list(zip(numbers(again), numbers(snapshot["results"]), strict=True))
    assert len(pairs) > 100
    assert max(abs(new - old) for new, old in pairs) == 0.0
    assert again == snapshot["results"]


def test_snapshot_names_the_corner_and_the_band_of_all_corners(snapshot):
    assert snapshot["corner"] == {"attach": -0.2, "gust": 1.0, "lean": 0.5}
    assert 0 < snapshot["band_n"]["lowest"] < snapshot["band_n"]["highest"]
    assert snapshot["request"]["wind"]["gust_m_s"] == 7.0
    assert snapshot["mechanics_version"] == MECHANICS_VERSION


def test_snapshot_keeps_the_state_of_each_item_on_the_day(snapshot):
    path = {row["role"]: row for row in snapshot["load_path"]}
    block = path["moving_block"]["item"]
    assert block["tag"] == "B-08"
    assert block["reasons"] == []
    assert block["facts"]["next_due_on"]
    assert path["moving_block"]["use"]["utilisation_ratio"] == pytest.approx(
        path["moving_block"]["load_n"] / path["moving_block"]["use"]["capacity_n"]
    )
    assert path["anchor"]["anchor"]["estimate_n"] == 60_000.0
    assert path["stem_sling"]["as"]["configuration"] == "choker"


def test_snapshot_names_people_by_id_alone(snapshot, sheet):
    people = {str(duty.person_id) for duty in sheet.duties.all()}
    assert {duty["person"] for duty in snapshot["duties"]} == people
    text = json.dumps(snapshot)
    for duty in sheet.duties.select_related("person__details"):
        assert duty.person.details.name not in text


def test_same_check_gives_the_same_snapshot(sheet):
    first, second = (
        take_snapshot(checked(sheet), looked_at=EVERYTHING),
        take_snapshot(checked(sheet), looked_at=EVERYTHING),
    )
    assert first == second
    assert snapshot_sha256(first) == snapshot_sha256(second)
    edit_item(sheet, "moving_block", serial="44-1")
    assert snapshot_sha256(take_snapshot(checked(sheet), looked_at=EVERYTHING)) != snapshot_sha256(first)


def test_snapshot_of_a_plan_without_a_result_says_so(sheet, lead):
    edit_plan(sheet, gust_m_s=None)
    stored = json.loads(take_snapshot(checked(sheet), looked_at=EVERYTHING))
    assert stored["results"] == {}
    assert stored["band_n"] == {}
    with pytest.raises(SheetRefused):
        issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)


def test_kept_plan_holds_input_result_and_version(sheet, lead):
    check = checked(sheet)
    kept = keep_revision(actor=lead, plan_data=check.plan_data, outcome=check.outcome)
    again = keep_revision(actor=lead, plan_data=check.plan_data, outcome=check.outcome)
    assert (kept.revision, again.revision) == (1, 2)
    assert kept.mechanics_version == MECHANICS_VERSION
    assert solve({"topic": "plan", "inputs": json.loads(kept.inputs)})["results"] == json.loads(kept.results)["results"]
