"""Stems as measured: nothing answered beforehand, nonsense told by the box, figures kept to the last digit."""

import math

import pytest
from django.urls import reverse

from crewlog.models import Record
from crewlog.quantities.fields import QuantityField
from jobs.models import Stem, StemSection
from jobs.stems.forms import StemForm
from tests.factories.jobs import JobFactory, StemFactory
from tests.given import Given
from tests.pages import html_of
from tests.web.posting import NONSENSE, as_posted, errors_at

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(company, lead):
    return JobFactory(company=company, lead=lead.person)


@pytest.fixture
def stem(job):
    return StemFactory(job=job, measured=True, label="7")


def stem_form(stem, data=None):
    return StemForm(
        data,
        job=stem.job,
        unit_system=stem.job.company.unit_system,
        instance=Stem.objects.get(pk=stem.pk),
        sections=stem.sections.all(),
        crown_parts=stem.crown_parts.all(),
    )


def posted(stem, **changes):
    data: Given = {}
    for each in stem_form(stem).in_order:
        data |= as_posted(each)
    return data | changes


def url(stem):
    return reverse("stem", args=[stem.pk])


def test_a_new_stem_has_nothing_answered_beforehand(job, lead, signed_in):
    form = signed_in(lead).get(reverse("stem_new", args=[job.pk])).context["form"]
    answered = {b.name for each in form.in_order for b in each if b.value() not in (None, "", False)}
    assert answered == {"position"}


def test_a_stem_may_be_entered_by_its_name_alone_and_measured_later(job, lead, signed_in):
    response = signed_in(lead).post(reverse("stem_new", args=[job.pk]), {"label": "9", "position": "1"})
    assert response.status_code == 302
    kept = Stem.objects.get(job=job)
    assert (kept.label, kept.lean_deg, kept.crown, kept.hinge_soundness) == ("9", None, "", "")


def test_measurements_are_saved_and_lead_to_the_plan(stem, lead, signed_in):
    response = signed_in(lead).post(url(stem), posted(stem, lean_deg="4.5"))
    assert response.status_code == 302
    assert response["Location"] == reverse("plan", args=[stem.pk])
    stem.refresh_from_db()
    assert stem.lean_deg == 4.5


def test_sending_the_page_back_untouched_changes_and_records_nothing(stem, lead, signed_in):
    before = list(StemSection.objects.filter(stem=stem).values_list("height_m", "diameter_m"))
    assert signed_in(lead).post(url(stem), posted(stem)).status_code == 302
    assert list(StemSection.objects.filter(stem=stem).values_list("height_m", "diameter_m")) == before
    assert not Record.objects.filter(kind="jobs.stem-changed").exists()


def test_girths_are_turned_into_diameters_and_shown_as_girths_again(stem, lead, signed_in):
    client = signed_in(lead)
    data = posted(stem, **{"measured_as": "girth", "sections-0-size_m": "157", "sections-1-size_m": "126",
                           "sections-2-size_m": "82", "sections-3-size_m": "50"})  # fmt: skip
    assert client.post(url(stem), data).status_code == 302
    assert stem.sections.first().diameter_m == pytest.approx(1.57 / math.pi)
    shown = client.get(url(stem)).context["form"].sections.forms[0]["size_m"].value()
    assert float(shown) == pytest.approx(157.0)


def test_sizes_without_saying_what_they_are_are_refused(job, lead, signed_in):
    data = {"label": "9", "position": "1", "sections-0-height_m": "0", "sections-0-size_m": "50"}
    response = signed_in(lead).post(reverse("stem_new", args=[job.pk]), data)
    assert response.status_code == 422
    assert errors_at(response, "measured_as")


def test_heights_that_do_not_rise_are_told_in_their_row(stem, lead, signed_in):
    response = signed_in(lead).post(url(stem), posted(stem, **{"sections-2-height_m": "1.5"}))
    assert response.status_code == 422
    assert "not above" in " ".join(errors_at(response, "sections-2-height_m"))


def test_half_a_row_is_told_in_that_row(stem, lead, signed_in):
    response = signed_in(lead).post(url(stem), posted(stem, **{"sections-1-size_m": ""}))
    assert errors_at(response, "sections-1-size_m")


def test_a_bare_spar_with_a_crown_is_refused(stem, lead, signed_in):
    response = signed_in(lead).post(url(stem), posted(stem, crown="bare"))
    assert errors_at(response, "crown")


def test_a_crown_without_parts_is_refused(stem, lead, signed_in):
    data = {name: value for name, value in posted(stem).items() if not name.startswith("crown-")}
    response = signed_in(lead).post(url(stem), data)
    assert response.status_code == 422
    assert errors_at(response, "crown-0-mass_kg")


def number_boxes():
    own = [name for name, field in StemForm.base_fields.items() if isinstance(field, QuantityField)]
    rows = [
        "sections-0-height_m",
        "sections-0-size_m",
        "crown-0-mass_kg",
        "crown-0-height_m",
        "crown-0-frontal_area_m2",
    ]
    return [*own, *rows, "position", "lean_azimuth_deg"]


@pytest.mark.parametrize("text", NONSENSE)
def test_nonsense_is_told_at_every_number_box_it_stands_in(stem, text):
    form = stem_form(stem, posted(stem) | dict.fromkeys(number_boxes(), text))
    assert not form.is_valid()
    wrong = {bound.html_name for each in form.in_order for bound in each if bound.errors}
    assert set(number_boxes()) <= wrong


@pytest.mark.parametrize("text", ["nan", "inf", "1e999", "95", "12,5", "9" * 10_000, "3\x00"])
def test_the_page_answers_nonsense_with_422_and_what_was_typed(stem, lead, signed_in, text):
    response = signed_in(lead).post(url(stem), posted(stem, lean_deg=text, label="7 <b>"))
    assert response.status_code == 422
    assert errors_at(response, "lean_deg")
    assert response.context["form"]["lean_deg"].value() == text
    assert "7 <b>" not in html_of(response)
    stem.refresh_from_db()
    assert stem.lean_deg == 3.0


@pytest.mark.parametrize(
    "name", ["label", "species", "measured_by", "measured_at", "crown", "hinge_soundness", "lean_method"]
)
@pytest.mark.parametrize("text", ["x" * 10_000, "\x00", "' OR 1=1", "٣٤"])
def test_text_that_cannot_be_an_answer_never_breaks_the_page(stem, lead, signed_in, name, text):
    response = signed_in(lead).post(url(stem), posted(stem, **{name: text}))
    assert response.status_code in (302, 422)


def test_a_name_that_the_job_has_is_refused_at_its_box(stem, lead, signed_in):
    StemFactory(job=stem.job, label="8")
    response = signed_in(lead).post(url(stem), posted(stem, label="8"))
    assert "of that name" in " ".join(errors_at(response, "label"))


def test_the_moment_of_measuring_is_in_the_companys_time(stem, lead, signed_in, company):
    company.time_zone = "America/Vancouver"
    company.save()
    client = signed_in(lead)
    assert client.post(url(stem), posted(stem, measured_at="2026-07-01T07:30")).status_code == 302
    stem.refresh_from_db()
    assert stem.measured_at.isoformat() == "2026-07-01T14:30:00+00:00"
    assert "2026-07-01T07:30" in html_of(client.get(url(stem)))


def test_somebody_of_another_company_has_not_measured(stem, lead, outsider, signed_in):
    response = signed_in(lead).post(url(stem), posted(stem, measured_by=str(outsider.person.pk)))
    assert response.status_code == 422
    assert errors_at(response, "measured_by")


def test_only_owner_and_lead_measure(stem, owner, climber, inspector, auditor, outsider, signed_in):
    assert signed_in(owner).get(url(stem)).status_code == 200
    for member in (climber, inspector, auditor):
        assert signed_in(member).get(url(stem)).status_code == 403
        assert signed_in(member).post(url(stem), posted(stem)).status_code == 403
    assert signed_in(outsider).get(url(stem)).status_code == 404


def test_an_address_with_a_number_no_row_can_have_is_not_found(lead, signed_in):
    assert signed_in(lead).get(f"/stems/{10**40}/").status_code == 404
