"""Crew, records and more: pages of the company that belong to no job."""

import datetime as dt
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from crewlog.company.forms import CompanyForm
from crewlog.company.services import CHANGEABLE
from crewlog.evidence import Entry, append, chain_head
from crewlog.models import Company, Record, Skill
from tests.factories.crewlog import CompetenceFactory, LearningFactory, PersonFactory
from tests.pages import html_of
from tests.web.posting import as_posted

pytestmark = pytest.mark.django_db


def words(page):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html_of(page)))


def test_the_crew_is_shown_with_its_competences_in_force_and_run_out(lead, company, signed_in):
    person = PersonFactory(company=company, name="Wren Oakley")
    CompetenceFactory(person=person, skill=Skill.CUTTER, expires_on=dt.date(2020, 1, 1))
    CompetenceFactory(person=person, skill=Skill.LOOKOUT, evidence="assessed by O. Quenby")
    LearningFactory(person=PersonFactory(company=company, name="Bo Larch"), skill=Skill.BOLLARD)
    text = words(signed_in(lead).get(reverse("crew")))
    assert re.search(r"Cutting under tension.*Expired", text)
    assert "assessed by O. Quenby" in text
    assert re.search(r"Bo Larch No qualification entered. Trainee Learning: tending the bollard\.", text)


def test_records_show_the_latest_first_and_name_late_ones(lead, company, signed_in):
    long_ago = dt.datetime.now(dt.UTC) - dt.timedelta(days=30)
    append(company, "gear.noted", Entry(actor=lead.person, happened_at=long_ago), body={})
    append(company, "jobs.job-opened", Entry(actor=lead.person), body={})
    text = words(signed_in(lead).get(reverse("records")))
    assert text.index("Job opened") < text.index("Noted")
    assert text.count("Entered late") == 1


def test_recomputing_the_chain_says_whether_it_is_whole(lead, company, signed_in):
    append(company, "gear.noted", Entry(actor=lead.person), body={})
    client = signed_in(lead)
    page = client.get(reverse("records"), {"verify": "yes", "since": chain_head(company)})
    assert "The chain is intact" in words(page)
    assert chain_head(company) in words(page)
    wrong = client.get(reverse("records"), {"verify": "yes", "since": "f" * 64})
    assert "The chain is broken" in words(wrong)


@pytest.mark.parametrize("since", ["<b>", "9" * 10_000])
def test_a_head_that_is_none_breaks_nothing(lead, company, signed_in, since):
    page = signed_in(lead).get(reverse("records"), {"verify": "yes", "since": since})
    assert page.status_code == 200
    assert "<b>" + since not in html_of(page)


def test_who_may_open_what(owner, lead, inspector, climber, auditor, signed_in):
    allowed = {
        "crew": {owner, lead, inspector},
        "records": {owner, lead, inspector, auditor},
        "more": {owner, lead, inspector, climber, auditor},
    }
    for name, members in allowed.items():
        for member in (owner, lead, inspector, climber, auditor):
            assert signed_in(member).get(reverse(name)).status_code == (200 if member in members else 403)


def test_more_offers_only_what_the_reader_may_open(climber, auditor, signed_in):
    for member in (climber, auditor):
        client = signed_in(member)
        page = html_of(client.get(reverse("more")))
        for address in re.findall(r'<li><a href="(/[^"]+)"', page.split("<main")[1]):
            if not address.startswith("/accounts/"):
                assert client.get(address).status_code == 200, address


def test_neither_people_nor_records_cost_more_queries_the_more_there_are(
    lead, company, signed_in, django_assert_num_queries
):
    client = signed_in(lead)

    def more(count):
        for _ in range(count):
            person = PersonFactory(company=company)
            CompetenceFactory(person=person, skill=Skill.LOOKOUT)
            append(company, "gear.noted", Entry(actor=person), body={})

    for name in ("crew", "records"):
        more(2)
        client.get(reverse(name))
        with CaptureQueriesContext(connection) as few:
            client.get(reverse(name))
        more(5)
        with django_assert_num_queries(len(few)):
            client.get(reverse(name))


@pytest.mark.parametrize("typed", ["zzz", "ea7b53ea88bc", "g" * 64])
def test_what_is_no_head_is_said_so_and_not_taken_for_a_broken_chain(owner, signed_in, typed):
    page = html_of(signed_in(owner).get(reverse("records"), {"verify": "yes", "since": typed}))
    assert "A record code has 64 characters" in page
    assert "broken" not in page


def test_a_head_typed_in_capitals_is_the_same_head(owner, signed_in):
    client = signed_in(owner)
    head = chain_head(owner.company).upper()
    assert "The chain is intact" in html_of(client.get(reverse("records"), {"verify": "yes", "since": head}))


def test_company_turns_to_a_decimal_comma_on_its_page(owner, signed_in):
    client = signed_in(owner)
    Company.objects.filter(pk=owner.company_id).update(address="1 New Row")
    page = client.get(reverse("company"))
    typed = as_posted(page.context["form"]) | {"decimal_mark": "comma", "time_zone": "Europe/London"}
    response = client.post(reverse("company"), typed)
    assert response.status_code == 302, response.context["form"].errors
    owner.company.refresh_from_db()
    assert owner.company.decimal_mark == "comma"
    assert Record.objects.filter(kind="crewlog.company-changed", body__contains='"decimal_mark"').count() == 1


def test_company_turns_to_british_words_of_felling_on_its_page(owner, signed_in):
    client = signed_in(owner)
    Company.objects.filter(pk=owner.company_id).update(address="1 New Row")
    page = client.get(reverse("company"))
    typed = as_posted(page.context["form"]) | {"felling_words": "british", "time_zone": "Europe/London"}
    assert client.post(reverse("company"), typed).status_code == 302
    owner.company.refresh_from_db()
    assert owner.company.felling_words == "british"
    assert Record.objects.filter(kind="crewlog.company-changed", body__contains='"felling_words"').count() == 1


def test_every_box_of_the_companys_page_is_one_the_service_keeps():
    assert set(CompanyForm.Meta.fields) <= set(CHANGEABLE)
