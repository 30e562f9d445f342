"""The page one starts the day on."""

import datetime as dt
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.errors import SheetRefused
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.gear import ItemFactory
from tests.factories.jobs import JobFactory, PlanFactory, SheetFactory, StemFactory, passing_sheet
from tests.pages import html_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(lead, signed_in):
    return signed_in(lead)


def words(page):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html_of(page))).replace("\u00a0", " ")


def test_the_day_is_the_companys_and_says_what_runs(company, lead, client):
    JobFactory(company=company, lead=lead.person, first_day=company.today() - dt.timedelta(days=1))
    text = words(client.get("/"))
    assert f"{company.today():%A} {company.today().day}" in text
    assert "Day 2 of 2 at Withy Cut. You lead" in text


def test_a_day_without_a_job_says_so(client):
    assert "No job runs today." in words(client.get("/"))


STATES = [("bare", "To measure"), ("measured", "To plan"), ("planned", "Plan in work"), ("drafted", "Sheet in draft")]


@pytest.mark.parametrize(("state", "word"), STATES)
def test_each_stem_shows_where_it_stands(company, client, state, word):
    job = JobFactory(company=company)
    if state == "bare":
        StemFactory(job=job)
    elif state == "measured":
        StemFactory(job=job, measured=True)
    else:
        plan = PlanFactory(complete=True, stem__job=job)
        if state == "drafted":
            SheetFactory(stem=plan.stem)
    assert word in words(client.get("/"))


def test_a_refused_sheet_waits_for_a_decision_until_it_is_cured(company, lead, client):
    sheet = passing_sheet(company, lead=lead.person)
    sheet.stem.plan.gust_m_s = 14.0
    sheet.stem.plan.save()
    with pytest.raises(SheetRefused):
        issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    text = words(client.get("/"))
    assert "Sheet for stem 7 refused" in text
    assert "wind above the limit" in text
    assert "Planned for gusts of 14.0 m/s. The company stops at 11.0 m/s." in text


def test_gear_that_is_overdue_stands_before_gear_that_falls_due(company, client):
    ItemFactory(company=company, tag="B-DUE", due_soon=True)
    ItemFactory(company=company, tag="B-OVER", overdue=True)
    ItemFactory(company=company, tag="B-FINE")
    text = words(client.get("/"))
    assert text.index("B-OVER") < text.index("B-DUE")
    assert "B-FINE" not in text


def test_the_store_is_counted_by_state(company, client):
    ItemFactory.create_batch(2, company=company)
    ItemFactory(company=company, overdue=True)
    ItemFactory(company=company, retired=True)
    ItemFactory(company=company, quarantined=True)
    counts = {row.status: row.count for row in client.get("/").context["page"].counts}
    assert counts == {"in_service": 2, "due": 0, "overdue": 1, "unfit": 1, "retired": 1}


def test_each_count_leads_to_the_items_it_counts(company, client):
    ItemFactory(company=company, tag="B-FINE")
    ItemFactory(company=company, tag="B-OVER", overdue=True)
    address = re.search(r'href="([^"]+)"><span class="mark mark--over', html_of(client.get("/")))[1]
    text = words(client.get(address))
    assert "B-OVER" in text
    assert "B-FINE" not in text


def test_the_owner_sees_what_was_changed_after_a_refusal_and_nobody_else(company, lead, owner, client, signed_in):
    sheet = passing_sheet(company, lead=lead.person)
    plan = sheet.stem.plan
    plan.gust_m_s = 14.0
    plan.save()
    with pytest.raises(SheetRefused):
        issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    plan.gust_m_s, plan.gust_source = 5.0, "forecast"
    plan.save()
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    assert "Changed after a refusal" in words(signed_in(owner).get("/"))
    assert "Changed after a refusal" not in words(client.get("/"))


def test_nothing_of_another_company_shows(company, lead, outsider, signed_in):
    passing_sheet(company, lead=lead.person)
    text = words(signed_in(outsider).get("/"))
    assert "Withy Cut" not in text
    assert "R-07" not in text


def test_an_auditor_starts_at_the_sheets(auditor, signed_in):
    assert signed_in(auditor).get("/")["Location"] == reverse("sheets")


def test_nobody_signed_out_sees_the_day(client, db):
    client.logout()
    assert client.get("/").status_code == 302


def test_the_number_of_queries_does_not_grow_with_the_work(company, lead, client, django_assert_num_queries):
    def more(count):
        for _ in range(count):
            plan = PlanFactory(complete=True, stem__job=JobFactory(company=company, lead=lead.person))
            SheetFactory(stem=plan.stem)
            ItemFactory(company=company, overdue=True)

    more(1)
    client.get("/")
    with CaptureQueriesContext(connection) as few:
        client.get("/")
    more(4)
    with django_assert_num_queries(len(few)):
        client.get("/")
