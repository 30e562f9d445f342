"""Reports of thorough examination, the company and the examiner in the browser."""

import datetime as dt

import pytest
from django.urls import reverse

from crewlog.models import Company, ExaminerDetails, Record
from gear.examinations.services import EmployerNotice, Verdict, correct_inspection, record_inspection
from gear.models import ExaminationReport
from tests.factories.crewlog import CompetenceFactory
from tests.factories.gear import ItemFactory, good_examination
from tests.pages import html_of
from tests.web.posting import shown_token

pytestmark = pytest.mark.django_db
NEW = "report_new"


@pytest.fixture
def company(company):
    company.address = "2 Sallow Lane\nSallow Reach"
    company.save()
    return company


@pytest.fixture
def ines(inspector):
    CompetenceFactory(person=inspector.person, skill="examine_gear", gear_class="", evidence="Certificate RG-77")
    ExaminerDetails.objects.create(
        details=inspector.person.details, qualifications="Certificate RG-77", address="9 Osier Yard"
    )
    return inspector


@pytest.fixture
def rope(company):
    return ItemFactory(company=company, tag="R-07", rope=True)


def signed(actor, item, verdict="fit", **facts):
    told = (
        EmployerNotice(dt.datetime(2026, 1, 2, 9, tzinfo=dt.UTC), "in writing")
        if verdict != "fit"
        else EmployerNotice()
    )
    examination = good_examination(item, findings="" if verdict == "fit" else "cut at 14 m")
    return record_inspection(
        actor=actor, item=item, examination=examination, verdict=Verdict(verdict, told=told, **facts)
    )


def chosen(*rows):
    return f"{reverse(NEW)}?{'&'.join(f'e={row.pk}' for row in rows)}"


def test_a_report_is_made_from_chosen_examinations_and_opens_as_a_paper(signed_in, ines, auditor, rope, company):
    rows = [signed(ines, rope), signed(ines, ItemFactory(company=company, tag="B-01"))]
    client = signed_in(ines)
    html = html_of(client.get(reverse(NEW)))
    assert all(f'value="{row.pk}"' in html for row in rows)
    response = client.post(chosen(*rows), {"premises": "Wharf Store"})
    report = ExaminationReport.objects.get()
    assert response["Location"] == reverse("report", args=[report.pk])
    for member in (ines, auditor):
        reader = signed_in(member)
        assert "Valid as issued" in html_of(reader.get(response["Location"]))
        paper = reader.get(reverse("report_pdf", args=[report.pk]))
        assert paper["Content-Type"] == "application/pdf"
        assert paper.content.startswith(b"%PDF-")
    assert report.number in html_of(signed_in(auditor).get(reverse("reports"), {"tag": "r-07"}))
    assert report.number not in html_of(signed_in(auditor).get(reverse("reports"), {"tag": "X-1"}))
    assert "Every thorough examination has been reported" in html_of(client.get(reverse(NEW)))


def test_a_refused_report_says_why_at_its_box_and_keeps_what_was_typed(signed_in, ines, rope):
    row = signed(ines, rope, "out_of_use")
    typed = {
        "premises": "Wharf Store",
        f"danger_{row.pk}": "could",
        f"part_{row.pk}": "Far eye",
        f"remedy_{row.pk}": "Make a new eye",
    }
    client = signed_in(ines)
    response = client.post(chosen(row), typed)
    html = html_of(response)
    assert response.status_code == 422
    assert "Give the day by which it could become a danger." in html
    assert "Far eye" in html
    assert "Make a new eye" in html
    assert client.post(chosen(row), typed | {f"could_by_{row.pk}": "2099-03-01"}).status_code == 302


def test_what_is_missing_for_a_report_is_said_with_where_to_enter_it(signed_in, inspector, owner, rope, company):
    CompetenceFactory(person=inspector.person, skill="examine_gear", gear_class="")
    company.address = ""
    company.save()
    row = signed(inspector, rope)
    client = signed_in(inspector)
    html = html_of(client.get(chosen(row)))
    assert "Address of the company" in html
    assert reverse("examiner", args=[inspector.person.pk]) in html
    response = client.post(chosen(row), {"premises": "Wharf Store"})
    assert response.status_code == 422
    assert reverse("company") in html_of(signed_in(owner).get(chosen(row)))


def test_an_examination_corrected_later_shows_on_the_report(signed_in, ines, rope):
    row = signed(ines, rope)
    client = signed_in(ines)
    client.post(chosen(row), {"premises": "Wharf Store"})
    correct_inspection(
        actor=ines, inspection=row, because="wrong rope", examination=good_examination(rope), verdict=Verdict("fit")
    )
    report = ExaminationReport.objects.get()
    assert "Corrected since" in html_of(client.get(reverse("report", args=[report.pk])))
    assert client.get(chosen(row)).status_code == 404


def test_an_inspector_is_offered_their_own_examinations_and_the_owner_all(signed_in, ines, owner, rope):
    row = signed(ines, rope)
    CompetenceFactory(person=owner.person, skill="examine_gear", gear_class="")
    other = signed(owner, ItemFactory(company=rope.company, tag="B-01"))
    mine = html_of(signed_in(ines).get(reverse(NEW)))
    assert f'value="{row.pk}"' in mine
    assert f'value="{other.pk}"' not in mine
    assert f'value="{other.pk}"' in html_of(signed_in(owner).get(reverse(NEW)))
    assert signed_in(ines).get(f"{reverse(NEW)}?e={other.pk}").status_code == 404
    assert signed_in(ines).get(f"{reverse(NEW)}?e=x&e=99999999999999999999").status_code == 200


def test_the_owner_changes_the_company_and_it_is_on_record(signed_in, owner):
    client = signed_in(owner)
    facts = {"name": "Sallow Tree Works", "address": "1 New Row", "emergency_number": "999"}
    facts |= {"time_zone": "Europe/London", "unit_system": "us", "decimal_mark": "point", "felling_words": "british"}
    facts |= shown_token(client.get(reverse("company")))
    assert client.post(reverse("company"), facts).status_code == 302
    company = Company.objects.get(pk=owner.company_id)
    assert (company.name, company.address, company.unit_system) == ("Sallow Tree Works", "1 New Row", "us")
    record = Record.objects.filter(kind="crewlog.company-changed").get()
    assert '"address":["2 Sallow Lane\\nSallow Reach","1 New Row"]' in record.body
    refused = client.post(reverse("company"), facts | {"address": "", "time_zone": "Nowhere"})
    assert refused.status_code == 422


def test_an_examiner_enters_their_own_particulars_and_nobody_elses(signed_in, inspector, owner, climber):
    CompetenceFactory(person=inspector.person, skill="examine_gear", gear_class="", evidence="Certificate RG-77")
    address = reverse("examiner", args=[inspector.person.pk])
    client = signed_in(inspector)
    assert "Certificate RG-77" in html_of(client.get(address))
    facts = {"qualifications": "RG-77", "address": "9 Osier Yard", "employment": "other"}
    assert client.post(address, facts).status_code == 422
    assert client.post(address, facts | {"employment": "self"}).status_code == 302
    assert ExaminerDetails.objects.get().employment == "self"
    assert client.get(reverse("examiner", args=[owner.person.pk])).status_code == 403
    assert signed_in(owner).get(address).status_code == 200


def test_blank_checklists_open_for_a_class_and_an_item(signed_in, climber, rope):
    client = signed_in(climber)
    for address in (reverse("class_checklist", args=["sling"]), reverse("item_checklist", args=["R-07"])):
        assert client.get(address).content.startswith(b"%PDF-")
    assert client.get(reverse("class_checklist", args=["no-such"])).status_code == 404
