"""The form an inspector signs."""

import datetime as dt

import pytest
from django.urls import reverse

from gear.models import Inspection
from tests.factories.gear import ItemFactory, examined, examiner
from tests.pages import html_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def ines(inspector):
    return examiner(inspector)


@pytest.fixture
def rope(company):
    return ItemFactory(company=company, rope=True, tag="R-07")


def url(item, **query):
    return reverse("item_inspect", args=[item.tag], query=query or None)


def answers(item, **changes):
    typed = {f"answer_{point.code}": "good" for point in item.declared.checklist.points}
    typed |= {f"measure_{m.name}": "14" if m.of else "0" for m in item.declared.measures if m.has_limit}
    return typed | {"examined_on": item.company.today().isoformat(), "verdict": "fit"} | changes


def test_a_signed_inspection_is_recorded_with_every_answer(signed_in, ines, rope):
    response = signed_in(ines).post(url(rope), answers(rope, measure_diameter_mm="13.6 mm"), follow=True)
    assert "Thorough examination of R-07 is recorded" in html_of(response)
    row = Inspection.objects.filter(item=rope).order_by("-record_id").first()
    assert row.inspector == ines.person
    assert {a["answer"] for a in row.answers} == {"good"}
    assert row.measures[0]["value"] == 13.6


def test_the_form_names_the_limit_of_each_measure_and_the_latest_due_date(signed_in, ines, rope):
    html = html_of(signed_in(ines).get(url(rope)))
    assert "Reject below 12.6\N{NO-BREAK SPACE}mm" in html
    assert "at the latest (12 months" in html
    assert "competent for all classes" in html


def test_a_rejected_form_keeps_all_that_was_typed(signed_in, ines, rope):
    typed = answers(
        rope, measure_diameter_mm="13,4", answer_sheath="remark", saw_sheath="fuzzed at 1.2 m", verdict="remark"
    )
    del typed["answer_ends"]
    response = signed_in(ines).post(url(rope), typed)
    html = html_of(response)
    assert response.status_code == 422
    assert 'value="13,4"' in html
    assert "fuzzed at 1.2 m" in html
    assert 'value="remark" id="id_answer_sheath_1" checked' in html.replace(" required", "") or "checked" in html
    assert "13.4" in html
    assert Inspection.objects.filter(item=rope).count() == 1


def test_a_missing_answer_stands_at_its_point(signed_in, ines, rope):
    typed = answers(rope)
    del typed["answer_ends"]
    response = signed_in(ines).post(url(rope), typed)
    html = html_of(response)
    assert response.status_code == 422
    assert 'href="#id_answer_ends_0"' in html
    assert "5 of 6 answered" in html
    assert 'class="is-wrong"' in html


def test_a_later_due_date_than_the_rules_allow_is_refused_at_its_field(signed_in, ines, rope):
    late = rope.company.today() + dt.timedelta(days=800)
    response = signed_in(ines).post(url(rope), answers(rope, next_due_on=late.isoformat()))
    assert response.status_code == 422
    assert "Next due: " in html_of(response)


def test_a_failing_inspection_asks_how_the_employer_was_told(signed_in, ines, rope):
    client = signed_in(ines)
    typed = answers(rope, verdict="out_of_use", findings="cut at 14 m")
    assert client.post(url(rope), typed).status_code == 422
    typed |= {"told_at": "2026-01-02T09:30", "told_how": "by telephone"}
    assert client.post(url(rope), typed).status_code == 302
    rope.refresh_from_db()
    assert rope.quarantined_because == "Failed: cut at 14 m"


def test_when_the_employer_was_told_is_read_on_the_companys_clock(signed_in, ines, rope):
    company = rope.company
    company.time_zone = "America/Denver"
    company.save()
    typed = answers(rope, verdict="out_of_use", findings="cut", told_at="2026-01-02T09:30", told_how="by telephone")
    typed["examined_on"] = company.today().isoformat()
    assert signed_in(ines).post(url(rope), typed).status_code == 302
    row = Inspection.objects.filter(item=rope).order_by("-record_id").first()
    assert row.employer_told_at == dt.datetime(2026, 1, 2, 16, 30, tzinfo=dt.UTC)


def test_the_form_of_a_correction_begins_with_what_was_mended(signed_in, ines, owner, rope):
    client = signed_in(ines)
    told = {"told_at": "2026-01-02T09:30", "told_how": "by telephone"}
    failing = answers(rope, verdict="out_of_use", answer_ends="fail", saw_ends="eye worn") | told
    assert client.post(url(rope), failing).status_code == 302
    cured = {"cure_ends": "mended", "cured_ends": "new eye spliced", "cured_by_ends": str(owner.person_id)}
    assert client.post(url(rope), answers(rope) | cured).status_code == 302
    passed = Inspection.objects.filter(item=rope).latest("record_id")
    form = client.get(url(rope, corrects=passed.pk)).context["form"]
    ((how, what, by, firm),) = form.cure_rows()
    assert [how.value(), what.value(), str(by.value()), firm.value()] == [*cured.values(), ""]


def test_without_a_competence_the_form_says_so_and_signs_nothing(signed_in, inspector, rope):
    client = signed_in(inspector)
    assert "no valid qualification" in html_of(client.get(url(rope)))
    response = client.post(url(rope), answers(rope))
    assert response.status_code == 422
    assert Inspection.objects.filter(item=rope).count() == 1


def test_a_crew_member_gets_the_pre_use_check_whatever_the_address_asks(signed_in, climber, rope):
    client = signed_in(climber)
    html = html_of(client.get(url(rope, kind="thorough")))
    assert "Pre-use check" in html
    assert "Interim inspection" not in html
    assert client.post(url(rope, kind="thorough"), answers(rope)).status_code == 302
    assert Inspection.objects.filter(item=rope).order_by("-record_id").first().kind == "pre_use"


def test_the_owner_enters_a_paper_report_of_another(signed_in, owner, ines, rope):
    typed = answers(rope, inspector=str(ines.person.pk), from_paper="on")
    assert signed_in(owner).post(url(rope), typed).status_code == 302
    row = Inspection.objects.filter(item=rope).order_by("-record_id").first()
    assert (row.inspector, row.record.entered_by, row.record.from_paper) == (ines.person, owner.person, True)


def test_a_declaration_is_offered_for_unused_gear_only(signed_in, owner, company, rope):
    client = signed_in(owner)
    assert "Declaration of conformity" not in html_of(client.get(url(rope)))
    new = ItemFactory(company=company, unused=True)
    assert "Declaration of conformity" in html_of(client.get(url(new)))
    dated = company.today() - dt.timedelta(days=20)
    typed = {"examined_on": company.today().isoformat(), "declaration_dated_on": dated.isoformat()}
    assert client.post(url(new, kind="declaration"), typed).status_code == 302
    new.refresh_from_db()
    assert new.pre_service_on == company.today()


def test_a_wrong_inspection_is_corrected_from_the_items_page(signed_in, ines, rope):
    client = signed_in(ines)
    client.post(url(rope), answers(rope, verdict="out_of_use", findings="x", told_at="2026-01-02T09:30", told_how="y"))
    wrong = Inspection.objects.filter(item=rope).order_by("-record_id").first()
    address = url(rope, corrects=wrong.pk)
    assert "no longer counts" in html_of(client.get(address))
    assert client.post(address, answers(rope)).status_code == 422
    assert client.post(address, answers(rope, because="wrong tag")).status_code == 302
    rope.refresh_from_db()
    assert rope.quarantined_on is None
    html = html_of(client.get(rope.get_absolute_url()))
    assert "Corrected by record" in html


def test_an_inspection_of_another_item_cannot_be_corrected_here(signed_in, ines, rope, company):
    other = examined(ItemFactory(company=company), days=1)
    assert signed_in(ines).get(url(rope, corrects=other.pk)).status_code == 404
    for number in ("x", "²"):
        assert signed_in(ines).get(url(rope, corrects=number)).status_code == 404


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("13.6", "Within its limit"),
        ("12.6", "Within its limit"),
        ("12.5", "Past its limit"),
        ("13,6", "13.6"),
        ("", ""),
    ],
)
def test_a_measure_is_judged_while_it_is_typed(signed_in, ines, rope, typed, says):
    address = reverse("item_measure", args=["R-07", "diameter_mm"])
    response = signed_in(ines).get(address, {"measure_diameter_mm": typed})
    assert response.status_code == 200
    assert says in html_of(response)
    assert "<html" not in html_of(response)


def test_a_measure_its_class_does_not_have_is_not_found(signed_in, ines, rope):
    assert signed_in(ines).get(reverse("item_measure", args=["R-07", "tread"])).status_code == 404
