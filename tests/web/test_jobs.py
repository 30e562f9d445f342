"""Jobs, their anchors and hazards."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import Anchor, Hazard, Job
from tests.factories.crewlog import PersonFactory
from tests.factories.jobs import AnchorFactory, HazardFactory, JobFactory, SheetFactory, StemFactory
from tests.pages import html_of
from tests.web.posting import errors_at, shown_token

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(company, lead):
    return JobFactory(company=company, lead=lead.person)


def job_facts(lead, **changes):
    return {
        "reference": "0412",
        "site_name": "Withy Cut",
        "address": "Towpath, Eelpool Lock",
        "first_day": "2026-11-26",
        "last_day": "2026-11-27",
        "lead": str(lead.person.pk),
        "emergency_department": "Harrow Mead Hospital",
        "rescue_plan": "Second climber on the ground.",
        "communication": "Whistle: one stop, two go.",
    } | changes


def test_a_job_is_opened_and_its_lead_is_of_the_crew(lead, company, signed_in):
    response = signed_in(lead).post(reverse("job_new"), job_facts(lead))
    kept = Job.objects.get(company=company)
    assert response["Location"] == reverse("job", args=[kept.pk])
    assert list(kept.crew.all()) == [lead.person]


def test_an_empty_form_says_what_is_missing(lead, signed_in):
    response = signed_in(lead).post(reverse("job_new"), {})
    assert response.status_code == 422
    for name in ("reference", "site_name", "lead", "rescue_plan", "emergency_department"):
        assert errors_at(response, name)


def test_a_job_that_ends_before_it_starts_is_refused_at_its_last_day(lead, signed_in):
    response = signed_in(lead).post(reverse("job_new"), job_facts(lead, last_day="2026-11-25"))
    assert response.status_code == 422
    assert errors_at(response, "last_day")


@pytest.mark.parametrize("text", ["26.11.2026", "2026-13-01", "0000-00-00", "9" * 10_000, "2026-11-26\x00"])
def test_a_day_that_is_none_is_told_at_its_box(lead, signed_in, text):
    response = signed_in(lead).post(reverse("job_new"), job_facts(lead, first_day=text))
    assert response.status_code == 422
    assert errors_at(response, "first_day")


def test_a_reference_is_used_once_in_a_company(job, lead, signed_in):
    response = signed_in(lead).post(reverse("job_new"), job_facts(lead, reference=job.reference))
    assert "taken" in " ".join(errors_at(response, "reference"))


def test_nobody_of_another_company_leads_or_works_here(lead, outsider, signed_in):
    there = str(outsider.person.pk)
    response = signed_in(lead).post(reverse("job_new"), job_facts(lead) | {"lead": there, "crew": [there]})
    assert errors_at(response, "lead")
    assert errors_at(response, "crew")


def test_a_changed_job_shows_its_new_days(job, lead, signed_in):
    client = signed_in(lead)
    facts = job_facts(lead, reference=job.reference, site_name="Tallow Wharf")
    facts |= shown_token(client.get(reverse("job_edit", args=[job.pk])))
    assert client.post(reverse("job_edit", args=[job.pk]), facts).status_code == 302
    page = html_of(client.get(reverse("job", args=[job.pk])))
    assert "Tallow Wharf" in page
    assert "26 to 27" in page


def test_a_sites_name_is_text_and_never_markup(company, lead, signed_in):
    job = JobFactory(company=company, lead=lead.person, site_name="<script>alert(1)</script>")
    client = signed_in(lead)
    for address in (reverse("job", args=[job.pk]), reverse("jobs"), "/"):
        assert "<script>alert" not in html_of(client.get(address))


def test_an_anchor_is_a_record_with_whose_estimate_it_is(job, lead, signed_in):
    data = {"name": "Stump at the bend", "kind": "stump", "estimate_n": "30", "estimated_by": str(lead.person.pk),
            "estimated_at": "2026-01-05T07:40", "basis": "Alder, 60 cm", "root_plate_checked": "on"}  # fmt: skip
    assert signed_in(lead).post(reverse("anchor_new", args=[job.pk]), data).status_code == 302
    kept = Anchor.objects.get(job=job)
    assert kept.estimate_n == 30_000.0
    assert len(kept.open_checks()) == 2


@pytest.mark.parametrize("text", ["", "0", "-5", "nan", "1e999", "12,5", "9" * 10_000])
def test_an_anchors_strength_is_a_positive_figure(job, lead, signed_in, text):
    response = signed_in(lead).post(reverse("anchor_new", args=[job.pk]), {"estimate_n": text})
    assert response.status_code == 422
    assert errors_at(response, "estimate_n")


def test_an_estimate_is_not_made_in_the_future(job, lead, signed_in):
    ahead = (dt.datetime.now(dt.UTC) + dt.timedelta(days=2)).strftime("%Y-%m-%dT%H:%M")
    response = signed_in(lead).post(reverse("anchor_new", args=[job.pk]), {"estimated_at": ahead})
    assert "ahead" in " ".join(errors_at(response, "estimated_at"))


def test_an_anchor_is_changed_by_its_own_company_only(job, lead, outsider, climber, signed_in):
    anchor = AnchorFactory(job=job)
    address = reverse("anchor_edit", args=[anchor.pk])
    assert signed_in(lead).get(address).status_code == 200
    assert signed_in(outsider).get(address).status_code == 404
    assert signed_in(climber).get(address).status_code == 403


def test_a_hazard_stands_with_its_control(job, lead, signed_in):
    stem = StemFactory(job=job)
    data = {"kind": "way", "description": "Towpath", "distance_m": "9", "bearing_deg": "360", "control": "Closed"}
    assert signed_in(lead).post(reverse("hazard_new", args=[stem.pk]), data).status_code == 302
    assert Hazard.objects.get(stem=stem).bearing_deg == 0.0


def test_an_overhead_line_needs_to_say_what_is_done_about_it(job, lead, signed_in):
    stem = StemFactory(job=job)
    data = {"kind": "overhead_line", "description": "11 kV", "distance_m": "20", "bearing_deg": "10", "control": "Ask"}
    response = signed_in(lead).post(reverse("hazard_new", args=[stem.pk]), data)
    assert response.status_code == 422
    assert errors_at(response, "power_line_control")


@pytest.mark.parametrize("name", ["jobs", "job_new"])
def test_the_list_of_jobs_is_for_the_company_and_new_ones_for_planners(
    name, owner, lead, inspector, climber, auditor, signed_in
):
    allowed = {"jobs": (owner, lead, inspector, climber), "job_new": (owner, lead)}[name]
    for member in (owner, lead, inspector, climber, auditor):
        expected = 200 if member in allowed else 403
        assert signed_in(member).get(reverse(name)).status_code == expected


def test_another_companys_job_does_not_exist(job, outsider, signed_in):
    for name in ("job", "job_edit", "stem_new", "anchor_new"):
        assert signed_in(outsider).get(reverse(name, args=[job.pk])).status_code == 404
    assert html_of(signed_in(outsider).get(reverse("jobs"))).count(job.site_name) == 0


def fill_job(job, count):
    for _ in range(count):
        stem = StemFactory(job=job, measured=True)
        HazardFactory(stem=stem)
        SheetFactory(stem=stem)
        AnchorFactory(job=job)
        job.crew.add(PersonFactory(company=job.company))


@pytest.mark.parametrize("address", ["job", "jobs"])
def test_the_number_of_queries_does_not_grow_with_rows(job, lead, signed_in, address, django_assert_num_queries):
    client = signed_in(lead)
    where = reverse("job", args=[job.pk]) if address == "job" else reverse("jobs")
    fill_job(job, 1)
    client.get(where)
    with CaptureQueriesContext(
        connection,
    ) as few:
        client.get(where)
    fill_job(job, 5)
    JobFactory.create_batch(3, company=job.company, lead=job.lead)
    with django_assert_num_queries(len(few)):
        client.get(where)
