"""The issue_sheet command: exit status, what it writes, and that nothing changes when it fails."""

import datetime as dt
import json
import sys

import pytest
from django.db import connections

from crewlog.models import Record
from gear.models import GearItem
from jobs.management.commands.issue_sheet import Command
from jobs.models import IssuedSheet, Sheet
from jobs.sheets.emergency import NAMES
from tests.factories.jobs import JobFactory, SheetFactory, StemFactory, passing_sheet

pytestmark = pytest.mark.django_db


LOOKED_AT = ("--looked-at", ",".join(NAMES))


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person, reference="0412")


@pytest.fixture
def run(capfdbinary, monkeypatch):
    """A function that runs the command as the shell does and gives (exit status, standard output, errors)."""
    monkeypatch.setattr(connections, "close_all", lambda: None)  # a command ends by closing what the test still uses

    def call(*words):
        status: object = 0
        try:
            Command().run_from_argv(["manage.py", "issue_sheet", *map(str, words), *LOOKED_AT])
        except SystemExit as leaving:
            status = leaving.code
        sys.stdout.flush()
        out = capfdbinary.readouterr()
        return status, out.out, out.err.decode()

    return call


def quarantined(sheet, role="moving_block"):
    item = sheet.assignments.get(role=role).item
    GearItem.objects.filter(pk=item.pk).update(
        quarantined_on=dt.date(2026, 1, 5), quarantined_because="side plate bent"
    )
    return item


def test_issued_sheet_is_written_as_stored(run, sheet, lead, tmp_path):
    out = tmp_path / "sheet.pdf"
    status, said, _ = run("0412-7", "--as", lead.user.email, "--out", out)
    issue = IssuedSheet.objects.get(sheet=sheet)
    assert status == 0
    assert out.read_bytes() == issue.paper()
    assert out.read_bytes().startswith(b"%PDF")
    assert f"Sheet 0412-7, revision 1 is issued: {out}" in said.decode()
    assert issue.issued_by == lead.person
    assert [p.name for p in tmp_path.iterdir()] == ["sheet.pdf"]


def test_dash_writes_nothing_but_the_paper_to_standard_output(run, sheet, lead):
    status, paper, said = run("0412-7", "--as", lead.user.email, "--out", "-")
    assert status == 0
    assert paper == IssuedSheet.objects.get(sheet=sheet).paper()
    assert "is issued" in said


def test_json_names_the_record(run, sheet, owner, tmp_path):
    status, said, _ = run("0412-7", "--as", owner.user.email, "--out", tmp_path / "a.pdf", "--json")
    answer = json.loads(said)
    issue = IssuedSheet.objects.get(sheet=sheet)
    assert status == 0
    assert answer["issued"] is True
    assert answer["record"] == issue.record.hash
    assert answer["snapshot_sha256"] == issue.snapshot_sha256


def test_refusal_exits_2_with_every_reason_and_leaves_the_file_alone(run, sheet, lead, tmp_path):
    item = quarantined(sheet)
    sheet.assignments.filter(role="main_line").delete()
    out = tmp_path / "sheet.pdf"
    out.write_text("yesterday's")
    status, said, errors = run("0412-7", "--as", lead.user.email, "--out", out)
    assert status == 2
    assert said == b""
    assert "Sheet 0412-7, revision 1 is not issued." in errors
    assert "unfit:moving_block" in errors
    assert item.tag in errors
    assert "position-empty:main_line" in errors
    assert errors.count("Cure: ") >= 2
    assert out.read_text() == "yesterday's"
    assert [p.name for p in tmp_path.iterdir()] == ["sheet.pdf"]
    assert not IssuedSheet.objects.exists()


def test_refusal_as_json_holds_code_text_and_cure(run, sheet, lead, tmp_path):
    item = quarantined(sheet)
    status, said, _ = run("0412-7", "--as", lead.user.email, "--out", tmp_path / "a.pdf", "--json")
    answer = json.loads(said)
    assert status == 2
    assert answer["issued"] is False
    (reason,) = [r for r in answer["reasons"] if r["code"] == "unfit:moving_block"]
    assert item.tag in reason["title"] + reason["text"]
    assert reason["cure"]
    assert not IssuedSheet.objects.exists()


def test_issued_revision_is_refused_a_second_time(run, sheet, lead, tmp_path):
    assert run("0412-7", "--as", lead.user.email, "--out", tmp_path / "a.pdf")[0] == 0
    status, _, errors = run("0412-7", "--as", lead.user.email, "--out", tmp_path / "b.pdf")
    assert status == 2
    assert "sheet-fixed" in errors
    assert not (tmp_path / "b.pdf").exists()


def test_newest_revision_is_the_one_issued(run, sheet, lead, tmp_path):
    assert run("0412-7", "--as", lead.user.email, "--out", tmp_path / "a.pdf")[0] == 0
    later = Sheet.objects.create(stem=sheet.stem, number=sheet.number, revision=2, day=sheet.day)
    status, _, errors = run("0412-7", "--as", lead.user.email, "--out", tmp_path / "b.pdf")
    assert status == 2
    assert "revision 2 is not issued" in errors
    assert later.refusals.count() == 1


@pytest.mark.parametrize("role", ["inspector", "climber", "auditor"])
def test_only_an_owner_or_crew_lead_issues(run, sheet, tmp_path, request, role):
    member = request.getfixturevalue(role)
    status, _, errors = run("0412-7", "--as", member.user.email, "--out", tmp_path / "a.pdf")
    assert status == 1
    assert "an owner or a crew lead issues sheets" in errors
    assert not Record.objects.filter(kind__startswith="jobs.").exists()


def test_sheet_of_another_company_does_not_exist(run, sheet, outsider, tmp_path):
    status, _, errors = run("0412-7", "--as", outsider.user.email, "--out", tmp_path / "a.pdf")
    assert status == 1
    assert "Another Firm has no sheet 0412-7." in errors
    assert not IssuedSheet.objects.exists()


def test_member_whose_access_ended_issues_nothing(run, sheet, lead, tmp_path):
    lead.ends_on = dt.date(2020, 1, 1)
    lead.save()
    status, _, errors = run("0412-7", "--as", lead.user.email, "--out", tmp_path / "a.pdf")
    assert status == 1
    assert "has ended" in errors


@pytest.mark.parametrize("out", ["no-such-folder/a.pdf", ""])
def test_unwritable_file_is_found_before_anything_is_issued(run, sheet, lead, tmp_path, out):
    status, _, errors = run("0412-7", "--as", lead.user.email, "--out", tmp_path / out)
    assert status == 1
    assert str(tmp_path) in errors
    assert not IssuedSheet.objects.exists()
    assert not Record.objects.filter(kind__startswith="jobs.").exists()


def test_number_that_two_jobs_share_is_asked_back(run, sheet, company, lead, tmp_path):
    sheet.number = "04-12-7"
    sheet.save()
    SheetFactory(stem=StemFactory(job=JobFactory(company=company, lead=lead.person, reference="04")), number="04-12-7")
    status, _, errors = run("04-12-7", "--as", lead.user.email, "--out", tmp_path / "a.pdf")
    assert status == 1
    assert "Several jobs have a sheet 04-12-7" in errors


@pytest.mark.parametrize(
    "words",
    [["0412-7", "--out", "x.pdf"], ["0412-7", "--as", "a@example.test"], ["--nonsense"], ["0412-7", "--colour", "1"]],
)
def test_usage_error_exits_1_so_that_2_always_means_refused(run, words):
    status, said, errors = run(*words)
    assert status == 1
    assert said == b""
    assert "usage" in errors


def test_json_and_paper_do_not_share_standard_output(run, sheet, lead):
    status, said, errors = run("0412-7", "--as", lead.user.email, "--out", "-", "--json")
    assert status == 1
    assert said == b""
    assert "--json" in errors
    assert not IssuedSheet.objects.exists()
