"""Where help is and how it is called are looked at again when a sheet is issued."""

import json

import pytest
from django.urls import reverse

from crewlog.models import Company
from jobs.models import IssuedSheet, Job, SheetRefusal
from jobs.plans.page_findings import field_place
from jobs.sheets.emergency import EVERYTHING, NAMES, NotLookedAt
from jobs.sheets.services import issue_sheet
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import codes, refusal
from tests.pages import html_of
from tests.web.posting import shown_token

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


def post(client, sheet, looked_at):
    page = client.get(reverse("sheet", args=[sheet.pk]))
    return tick(client, sheet, looked_at, shown_token(page))


def tick(client, sheet, looked_at, shown):
    return client.post(reverse("sheet_issue", args=[sheet.pk]), {"looked_at": sorted(looked_at)} | shown)


def test_page_shows_the_four_as_the_sheet_will_print_them(sheet, lead, signed_in):
    page = html_of(signed_in(lead).get(reverse("sheet", args=[sheet.pk])))
    job = sheet.stem.job
    for shown in (*NAMES.values(), job.emergency_department, job.company.emergency_number, job.communication):
        assert shown in page


@pytest.mark.parametrize("left_out", NAMES)
def test_nothing_is_issued_before_each_was_looked_at_and_what_was_ticked_stays(sheet, lead, signed_in, left_out):
    ticked = EVERYTHING - {left_out}
    response = post(signed_in(lead), sheet, ticked)
    assert response.status_code == 422
    form = response.context["issue_form"]
    assert NAMES[left_out] in " ".join(form.errors["looked_at"])
    assert set(form["looked_at"].value()) == ticked
    assert not IssuedSheet.objects.exists()
    assert not SheetRefusal.objects.exists()


def test_service_refuses_as_the_page_does(sheet, lead):
    with pytest.raises(NotLookedAt) as refused:
        issue_sheet(actor=lead, sheet=sheet, looked_at=["department"])
    assert refused.value.missing == ("number", "rescue", "signals")


def test_what_was_looked_at_is_part_of_what_was_issued(sheet, lead, signed_in):
    assert post(signed_in(lead), sheet, EVERYTHING).status_code == 302
    assert json.loads(IssuedSheet.objects.get().snapshot)["looked_at_again"] == sorted(EVERYTHING)


@pytest.mark.parametrize("name", ["emergency_department", "rescue_plan", "communication", "emergency_number"])
def test_a_tick_holds_for_the_answer_that_was_shown_and_for_no_other(sheet, lead, signed_in, name):
    client = signed_in(lead)
    shown = shown_token(client.get(reverse("sheet", args=[sheet.pk])))
    model, key = (Company, lead.company_id) if name == "emergency_number" else (Job, sheet.stem.job_id)
    model.objects.filter(pk=key).update(**{name: "999"})
    answer = tick(client, sheet, EVERYTHING, shown)
    assert answer.status_code == 409
    assert not IssuedSheet.objects.exists()
    form = answer.context["issue_form"]
    assert "999" in form.fields["looked_at"].widget.hints.values()
    assert not form["looked_at"].value()
    assert "Somebody else saved this sheet since you opened it" in html_of(answer)
    assert tick(client, sheet, EVERYTHING, shown_token(answer)).status_code == 302


def test_ticks_without_what_was_shown_issue_nothing(sheet, lead, signed_in):
    assert tick(signed_in(lead), sheet, EVERYTHING, {}).status_code == 409
    assert not IssuedSheet.objects.exists()


@pytest.mark.parametrize("field", ["emergency_department", "rescue_plan", "communication"])
def test_an_answer_that_is_not_there_refuses_and_leads_to_its_box(sheet, field):
    Job.objects.filter(pk=sheet.stem.job_id).update(**{field: " "})
    finding = refusal(sheet, f"unknown:{field}")
    assert field_place(finding, sheet.stem) == f"{reverse('job_edit', args=[sheet.stem.job_id])}#id_{field}"


def test_a_company_without_an_emergency_number_issues_nothing(sheet):
    Company.objects.filter(pk=sheet.stem.job.company_id).update(emergency_number="")
    assert "unknown:emergency_number" in codes(sheet)
    finding = refusal(sheet, "unknown:emergency_number")
    assert field_place(finding, sheet.stem).startswith(reverse("company"))
