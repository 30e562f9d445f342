"""The plan page: typing, working out, refusing nonsense by the box, keeping revisions."""

import html
import re

import pytest
from django.urls import reverse

from crewlog.models import Record
from crewlog.quantities.fields import QuantityField
from jobs.models import PlanRevision, PullPlan, Stem
from jobs.plans.calculation import calculate
from jobs.plans.data import load_plan_data
from jobs.plans.forms import PlanForm
from jobs.plans.inverse import own_refusals
from jobs.stems.species import FIGURES, species
from tests.factories.jobs import PlanFactory, StemFactory, passing_sheet
from tests.given import Given
from tests.pages import html_of
from tests.web.posting import NONSENSE, as_posted, errors_at, shown_token

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan(company, lead):
    return PlanFactory(complete=True, stem__job__company=company, stem__job__lead=lead.person)


def plan_form(stem):
    fresh = Stem.objects.with_plan().get(pk=stem.pk)
    return PlanForm(plan_data=load_plan_data(fresh))


def posted(stem, **changes):
    form = plan_form(stem)
    data: Given = {}
    for each in form.in_order:
        data |= as_posted(each)
    data |= changes
    return {name: value for name, value in data.items() if value is not None}


def url(name, stem):
    return reverse(name, args=[stem.pk])


def test_a_complete_plan_shows_its_figures_and_its_drawings(plan, lead, signed_in):
    page = html_of(signed_in(lead).get(url("plan", plan.stem)))
    assert "Needed in the line" in page
    for title in ("Side view to scale", "Pre-tension", "Reeving of the tackle"):
        assert title in page
    assert (
        page.index('id="plan-results"')
        < page.index("Measured")
        < page.index("Findings and cures")
        < page.index("Side view")
    )


def test_no_page_of_a_plan_calls_it_safe(plan, lead, signed_in):
    page = html_of(signed_in(lead).get(url("plan", plan.stem))).lower()
    assert " safe" not in page
    assert "estimates, not instructions" in page


def test_an_empty_plan_assumes_nothing_and_names_every_missing_answer(company, lead, signed_in):
    stem = StemFactory(job__company=company)
    response = signed_in(lead).get(url("plan", stem))
    form = response.context["form"]
    answered = [b.name for b in form if b.value() not in (None, "", False, "0", 0)]
    assert answered == []
    assert "Not worked out" in response.context["page"].verdict.words
    rows = response.context["page"].findings
    boxes = {cure.href.partition("#")[2] for row in rows for cure in row.cures}
    assert {"id_gust_m_s", "id_lean_deg", "id_anchor_distance_m"} <= boxes
    assert {"finding-open-line", "finding-open-tackle-and-crew", "finding-open-stem"} <= {row.id for row in rows}


def test_saving_unchanged_answers_leaves_every_figure_as_it_was(plan, lead, signed_in):
    before = PullPlan.objects.filter(pk=plan.pk).values().get()
    response = signed_in(lead).post(url("plan", plan.stem), posted(plan.stem))
    assert response.status_code == 302
    assert not Record.objects.filter(kind="jobs.plan-changed").exists()
    assert PullPlan.objects.filter(pk=plan.pk).values().get() == before


def test_work_it_out_saves_what_was_typed_and_comes_back(plan, lead, signed_in):
    response = signed_in(lead).post(
        url("plan", plan.stem), posted(plan.stem, attach_height_m="8.5", gust_m_s="18 km/h")
    )
    assert response.status_code == 302
    assert response["Location"] == url("plan", plan.stem)
    plan.refresh_from_db()
    assert plan.attach_height_m == 8.5
    assert plan.gust_m_s == pytest.approx(5.0)


def test_a_change_leaves_a_record_of_what_it_was_before(plan, lead, signed_in):
    signed_in(lead).post(url("plan", plan.stem), posted(plan.stem, haulers="3"))
    bodies = [record.body for record in Record.objects.filter(kind="jobs.plan-changed")]
    assert len(bodies) == 1
    assert '"haulers":[4,3]' in bodies[0]


def test_typing_works_the_plan_out_without_saving(plan, lead, signed_in):
    client = signed_in(lead)
    response = client.post(url("plan_try", plan.stem), posted(plan.stem, gust_m_s="12"), headers={"HX-Request": "true"})
    text = html_of(response)
    assert response.status_code == 200
    assert text.lstrip().startswith('<div class="stack" id="plan-results"')
    assert "Wind above the limit" in text
    assert text.count('hx-swap-oob="true"') >= 3
    plan.refresh_from_db()
    assert plan.gust_m_s == 6.0


def test_what_cannot_be_read_is_not_worked_out(plan, lead, signed_in):
    response = signed_in(lead).post(url("plan_try", plan.stem), posted(plan.stem, gust_m_s="12,5"))
    assert response.status_code == 422
    assert "Not worked out" in html_of(response)
    assert "Needed in the line" not in html_of(response)


def number_boxes():
    form = PlanForm.base_fields
    return [
        *(name for name, field in form.items() if isinstance(field, QuantityField)),
        "parts",
        "haulers",
        "second_parts",
        "hauler_tolerance",
        "redirects-0-distance_m",
        "redirects-0-friction_ratio",
        "side-redirects-0-slope_deg",
        "places-0-distance_m",
        "places-0-azimuth_deg",
    ]


@pytest.mark.parametrize("text", NONSENSE)
def test_nonsense_is_told_at_every_number_box_it_stands_in(plan, text):
    signed = {"anchor_slope_deg", "side_anchor_slope_deg", "side-redirects-0-slope_deg"} if text == "-3" else set()
    boxes = [name for name in number_boxes() if name not in signed]
    plan_data = load_plan_data(Stem.objects.with_plan().get(pk=plan.stem_id))
    form = PlanForm(posted(plan.stem) | dict.fromkeys(boxes, text), plan_data=plan_data)
    assert not form.is_valid()
    wrong = {bound.html_name for each in form.in_order for bound in each if bound.errors}
    assert set(boxes) <= wrong


@pytest.mark.parametrize("text", ["nan", "1e999", "12,5", "7" * 10_000, "12\x00", "<b>4</b>"])
def test_the_page_answers_nonsense_with_422_and_what_was_typed(plan, lead, signed_in, text):
    response = signed_in(lead).post(url("plan", plan.stem), posted(plan.stem, attach_height_m=text))
    assert response.status_code == 422
    assert errors_at(response, "attach_height_m")
    assert "<b>4</b>" not in html_of(response)
    plan.refresh_from_db()
    assert plan.attach_height_m == 8.0


@pytest.mark.parametrize(
    ("name", "text"),
    [("parts", "0"), ("parts", "40"), ("parts", "5.5"), ("haulers", "13"), ("gust_m_s", "61"),
     ("anchor_distance_m", "301"), ("attach_height_m", "81"), ("anchor_azimuth_deg", "361"),
     ("anchor_slope_deg", "95"), ("notch_depth_ratio", "120")],
)  # fmt: skip
def test_figures_out_of_range_are_told_at_their_box(plan, lead, signed_in, name, text):
    response = signed_in(lead).post(url("plan", plan.stem), posted(plan.stem, **{name: text}))
    assert response.status_code == 422
    assert errors_at(response, name)


@pytest.mark.parametrize("name", ["rove", "gust_source", "frozen_wood", "tension_gauge", "places-0-azimuth_deg"])
def test_an_answer_that_was_not_offered_is_refused(plan, lead, signed_in, name):
    response = signed_in(lead).post(url("plan", plan.stem), posted(plan.stem, **{name: "anything\x00"}))
    assert response.status_code == 422


def test_a_decimal_comma_is_refused_with_the_reading_that_would_be_right(plan, lead, signed_in):
    response = signed_in(lead).post(url("plan", plan.stem), posted(plan.stem, gust_m_s="5,5"))
    assert "5.5" in " ".join(errors_at(response, "gust_m_s"))


def test_a_line_above_the_measured_stem_is_told_at_its_height(plan, lead, signed_in):
    response = signed_in(lead).post(
        url("plan", plan.stem), posted(plan.stem, attach_height_m="12.5", sound_wood_height_m="14")
    )
    assert "measured up to" in " ".join(errors_at(response, "attach_height_m"))


def test_a_line_above_sound_wood_is_told_at_its_height(plan, lead, signed_in):
    response = signed_in(lead).post(url("plan", plan.stem), posted(plan.stem, attach_height_m="10.5"))
    assert "Sound wood ends at" in " ".join(errors_at(response, "attach_height_m"))


def test_an_anchor_within_the_trees_height_is_said_at_the_anchor(plan, lead, signed_in):
    client = signed_in(lead)
    assert client.get(url("plan", plan.stem)).context["page"].anchor_note == ""
    part = html_of(client.post(url("plan_try", plan.stem), posted(plan.stem, anchor_distance_m="11")))
    note = part[part.index('id="anchor-note"') :]
    assert "11.0" in note[:400]
    assert "fall zone" in note[:400]


def test_half_a_place_is_told_in_its_row(plan, lead, signed_in):
    response = signed_in(lead).post(url("plan", plan.stem), posted(plan.stem, **{"places-1-azimuth_deg": ""}))
    assert response.status_code == 422
    assert errors_at(response, "places-1-azimuth_deg")


def test_redirects_are_saved_in_the_order_of_the_page(plan, lead, signed_in):
    row = {
        "distance_m": "20",
        "azimuth_deg": "100",
        "slope_deg": "0",
        "height_m": "0.5",
        "kind": "sheave",
        "friction_ratio": "92",
    }
    data = posted(plan.stem, **{f"redirects-0-{name}": value for name, value in row.items()})
    assert signed_in(lead).post(url("plan", plan.stem), data).status_code == 302
    kept = plan.redirects.get()
    assert (kept.line, kept.number, kept.distance_m, kept.friction_ratio) == ("pull", 1, 20.0, pytest.approx(0.92))


def test_keeping_a_plan_stores_its_inputs_and_its_result(plan, lead, signed_in):
    response = signed_in(lead).post(url("plan_keep", plan.stem), posted(plan.stem))
    assert response.status_code == 302
    kept = PlanRevision.objects.get(stem=plan.stem)
    assert kept.revision == 1
    assert '"attach_height_m":8.0' in kept.inputs
    assert "stem_tension_n" in kept.results
    assert "Revision 1" in html_of(signed_in(lead).get(url("plan", plan.stem)))


def test_a_plan_with_open_answers_is_not_kept(company, lead, signed_in):
    stem = StemFactory(job__company=company)
    data = {"parts": "5", "rove": "to_advantage", "cleat_on": "separate", "cut_method": "conventional",
            "tension_gauge": "none", "backup_anchor": "own"}  # fmt: skip
    response = signed_in(lead).post(url("plan_keep", stem), data, follow=True)
    assert "open answers" in html_of(response)
    assert not PlanRevision.objects.exists()


def test_every_figure_is_explained_with_its_source(plan, lead, signed_in):
    page = html_of(signed_in(lead).get(url("plan_working", plan.stem)))
    assert "STATICS-01" in page
    assert "judgement" in page
    wood = species(plan.stem.species)
    assert "Green density" in page
    assert wood.basis["green_density_kg_m3"].source in html.unescape(page)
    assert ("Sources give" in page) == any(span and span[0] < span[1] for span in map(wood.range_of, FIGURES))


def test_crew_and_inspector_read_a_plan_and_change_nothing(plan, climber, inspector, signed_in):
    for member in (climber, inspector):
        client = signed_in(member)
        page = client.get(url("plan", plan.stem))
        assert page.status_code == 200
        assert 'id="plan-form"' not in html_of(page)
        assert client.post(url("plan", plan.stem), {}).status_code == 403
        assert client.post(url("plan_try", plan.stem), {}).status_code == 403
        assert client.post(url("plan_keep", plan.stem), {}).status_code == 403


def test_another_companys_plan_does_not_exist(plan, outsider, auditor, signed_in):
    for name in ("plan", "plan_working", "assign", "stem"):
        assert signed_in(outsider).get(url(name, plan.stem)).status_code == 404
        assert signed_in(auditor).get(url(name, plan.stem)).status_code == 403


def test_a_plan_page_asks_the_database_no_more_with_more_places_and_gear(
    company, lead, signed_in, django_assert_max_num_queries
):
    sheet = passing_sheet(company, lead=lead.person)
    client = signed_in(lead)
    client.get(url("plan", sheet.stem))
    with django_assert_max_num_queries(22):
        client.get(url("plan", sheet.stem))


def test_units_are_those_of_the_company(plan, lead, signed_in, company):
    company.unit_system = "us"
    company.save()
    response = signed_in(lead).get(url("plan", plan.stem))
    text = re.sub(r'value="[^"]*"', "", html_of(response))  # without the signed note of what is shown
    assert "lbf" in text
    assert "kN" not in text.replace("kN m", "")


def refused_for_people(plan):
    plan.haulers = 1
    plan.save()
    return url("plan_cures", plan.stem)


def test_a_refused_plan_is_shown_single_changes_that_would_do(plan, lead, signed_in):
    cures = signed_in(lead).get(refused_for_people(plan)).context["cures"]
    people = next(cure for cure in cures if cure.value.startswith("haulers="))
    assert people.what.endswith("people on the tail")
    assert "in the line" in people.gives


def test_a_change_that_was_offered_cures_the_plan_when_it_is_tried(plan, lead, signed_in):
    client = signed_in(lead)
    cures = client.get(refused_for_people(plan)).context["cures"]
    assert cures
    for cure in cures:
        shown = shown_token(client.get(url("plan_cures", plan.stem)))
        assert client.post(url("plan_set", plan.stem), {"change": cure.value} | shown).status_code == 302
        fresh = load_plan_data(Stem.objects.with_plan().get(pk=plan.stem_id))
        assert own_refusals(calculate(fresh)) == ()
        PullPlan.objects.filter(pk=plan.pk).update(**as_it_was(plan))


def as_it_was(plan):
    names = ("haulers", "attach_height_m", "hinge_thickness_m", "parts", "anchor_distance_m")
    return {name: getattr(plan, name) for name in names}


def test_a_plan_that_holds_is_offered_no_cure(plan, lead, signed_in):
    assert signed_in(lead).get(url("plan_cures", plan.stem)).context["cures"] == ()


NO_CHANGES = ("", "haulers", "haulers=0", "haulers=99", "haulers=nan", "parts=1e999", "lean_deg=0", "stem_id=1")


@pytest.mark.parametrize("change", NO_CHANGES)
def test_a_change_that_no_cure_names_changes_nothing(plan, lead, signed_in, change):
    before = PullPlan.objects.filter(pk=plan.pk).values().get()
    response = signed_in(lead).post(url("plan_set", plan.stem), {"change": change}, follow=True)
    assert "Nothing was changed" in html_of(response)
    assert PullPlan.objects.filter(pk=plan.pk).values().get() == before


def test_only_planners_try_a_cure(plan, climber, outsider, signed_in):
    assert signed_in(climber).post(url("plan_set", plan.stem), {"change": "haulers=6"}).status_code == 403
    assert signed_in(climber).get(url("plan_cures", plan.stem)).status_code == 403
    assert signed_in(outsider).post(url("plan_set", plan.stem), {"change": "haulers=6"}).status_code == 404
