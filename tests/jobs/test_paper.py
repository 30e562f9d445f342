"""From a checked sheet to what its paper says."""

import datetime as dt

import pytest

from crewlog.dates import day_words
from jobs.models import Place, SourceNote
from jobs.plans.plan_figures import span, stands_while
from jobs.plans.quantities import wind_stop
from jobs.sheet_pdf.load_path import gear_words
from jobs.sheets.assign import leave_out
from jobs.sheets.content import build_content
from jobs.sheets.path_rows import hung_of
from jobs.sheets.services import record_refusal
from jobs.sheets.work_rows import from_stump
from jobs.wording.date_words import window_words
from jobs.wording.figure import LENGTH, Figure
from jobs.wording.unit_formatter import UnitFormatter
from tests.factories.jobs import HazardFactory, passing_sheet
from tests.factories.scenario import checked, edit_plan, fresh

ISSUED_AT = dt.datetime(2026, 11, 25, 7, 52, tzinfo=dt.UTC)


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


def content(sheet):
    check = checked(sheet)
    return build_content(
        check, issued_by=check.bundle.job.lead, issued_at=ISSUED_AT, snapshot_sha256="a" * 64, chain_head="b" * 64
    )


def steps(sheet):
    paper = content(sheet)
    return [paper.write.text(step.text) for step in paper.sequence]


def plain(value):
    return str(value).replace("\u00a0", " ")


def test_every_filled_position_has_its_row(sheet):
    check, paper = checked(sheet), content(sheet)
    assert len(paper.load_path) == len([row for row in check.positions if row.is_filled])
    block = next(row for row in paper.load_path if row.title == "Moving block")
    use = check.by_role["moving_block"].use
    assert block.hung.tag == "B-08"
    assert block.use.load.value == use.load_n
    assert block.use.capacity.value == use.capacity_n
    assert block.use.share.value == use.utilisation_ratio


def test_loads_are_printed_up_and_capacities_down(sheet):
    paper = content(sheet)
    used = [row.use for row in paper.load_path if row.use is not None]
    assert used
    for use in used:
        load, capacity = paper.write.printed(use.load), paper.write.printed(use.capacity)
        assert (load.unit, capacity.unit) == ("kN", "kN")
        assert float(load.number) * 1000 >= use.load.value - 1e-6
        assert float(capacity.number.replace(",", "")) * 1000 <= use.capacity.value + 1e-6


def test_position_left_out_is_printed_with_its_reason(sheet, lead):
    leave_out(actor=lead, sheet=sheet, role="cleat", reason="part_of_block")
    row = next(row for row in content(sheet).load_path if row.title == "Cleat")
    assert gear_words(row.hung) == "Left out: part of the block"


def test_each_anchor_is_printed_with_estimate_person_and_basis(sheet):
    paper = content(sheet)
    rows = paper.anchors
    assert [row.position for row in rows] == ["Anchor of the tackle", "Anchor of the bollard"]
    assert plain(paper.write.text(rows[0].estimate)) == "60.00 kN"
    assert "Jonas Pellaw" in rows[0].made_by
    assert rows[0].basis.startswith("Sound alder stump")
    assert rows[0].open_checks == ()


def test_seal_carries_digest_head_and_address(sheet):
    seal = content(sheet).seal
    assert (seal.snapshot_sha256, seal.chain_head) == ("a" * 64, "b" * 64)
    assert str(sheet.pk) in seal.address


def test_emergency_facts_are_the_jobs_own(sheet):
    emergency = content(sheet).emergency
    assert emergency.department == "Harrow Mead Hospital"
    assert emergency.number == sheet.stem.job.company.emergency_number


def test_hazards_carry_their_control(sheet):
    HazardFactory(
        stem=sheet.stem, kind="overhead_line", description="Wires", distance_m=90.0, power_line_control="isolated"
    )
    (hazard,) = content(sheet).hazards
    assert hazard.description == "Wires"
    assert "Isolated" in hazard.power_line


def test_envelope_says_what_the_sheet_stands_for(sheet):
    edit_plan(sheet, attach_tolerance_m=0.2, gust_tolerance_m_s=1.0)
    words = plain(" ".join(map(UnitFormatter("metric").text, stands_while(checked(sheet).bundle))))
    assert "7.80 m to 8.20 m" in words or "7.8 m to 8.2 m" in words
    assert "no stronger than 7.0 m/s" in words
    assert "4 people on the tail" in words


def test_wind_stop_is_the_gust_that_was_worked_for_and_never_over_the_companys_limit(sheet, company):
    edit_plan(sheet, gust_m_s=6.0, gust_tolerance_m_s=1.0)
    assert wind_stop(checked(sheet).bundle).value == 7.0
    company.wind_stop_m_s = 5.0
    company.save()
    assert wind_stop(checked(sheet).bundle).value == 5.0


def test_hold_points_come_in_their_order(sheet):
    holds = [step.hold for step in content(sheet).sequence if step.hold]
    assert holds == [1, 2, 3, 4, 5]


def test_proof_pull_is_a_step_only_when_it_is_planned(sheet):
    assert any("proof pull to" in step for step in steps(sheet))
    edit_plan(sheet, proof_pull_planned=False)
    assert not any("proof pull to" in step for step in steps(sheet))


def test_everybody_named_has_a_line_to_sign(sheet):
    names = {row.name for row in content(sheet).signatures}
    assert names == {"Jonas Pellaw"} | {str(duty.person) for duty in sheet.duties.all()}


def test_changed_input_without_a_source_is_a_choice_of_the_plan(sheet, lead):
    record_refusal(lead, checked(sheet))
    edit_plan(sheet, attach_height_m=8.5, gust_m_s=5.0)
    SourceNote.objects.create(sheet=sheet, path="plan.gust_m_s", value="5.0", source="mast at the lock")
    changed = {row.what: row.source for row in content(sheet).changed_inputs}
    assert changed == {"Height of the line": "a choice of the plan", "Strongest gust": "mast at the lock"}


def test_working_has_formula_numbers_and_source_for_each_figure(sheet):
    groups = content(sheet).working
    lines = [line for group in groups for line in group.lines]
    assert len(lines) >= 20
    assert all(line.formula and line.numbers and line.result and line.source for line in lines)


def test_sheet_without_a_result_cannot_be_printed(sheet):
    edit_plan(sheet, gust_m_s=None)
    with pytest.raises(ValueError, match="without its result"):
        content(sheet)


def test_small_words_of_the_paper(sheet):
    assert plain(day_words(dt.date(2026, 11, 2))) == "2 November 2026"
    row = fresh(sheet)
    assert window_words(row) == "whole day"
    row.starts_at, row.ends_at = dt.time(8), dt.time(12, 30)
    assert window_words(row) == "08:00 to 12:30"
    assert UnitFormatter("metric").text(from_stump(9.0, 7.4)).endswith("bearing 007°")
    held = sheet.assignments.get(role="anchor_sling")
    assert gear_words(hung_of(held)).endswith(", basket, 20° a leg")
    assert span("line", 8.0, 0.0) == Figure("line", 8.0, LENGTH)


def test_places_have_words_for_every_kind(sheet):
    assert dict(content(sheet).place_words) == dict(Place.Kind.choices)
