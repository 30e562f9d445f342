"""Hanging gear and naming people: what fits, what is refused and why, what cures it."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from crewlog.models import Skill
from jobs.models import Assignment, Duty, Sheet
from tests.factories.crewlog import CompetenceFactory, LearningFactory, PersonFactory
from tests.factories.gear import ItemFactory
from tests.factories.jobs import HOSTS, AnchorFactory, PlanFactory, hang, passing_sheet
from tests.pages import html_of
from tests.web.posting import errors_at, shown_token

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


@pytest.fixture
def client(lead, signed_in):
    return signed_in(lead)


def url(name, sheet, *more):
    return reverse(name, args=[sheet.stem_id, *more])


def take_down(sheet, *roles):
    sheet.assignments.filter(role__in=roles).delete()


def words(page):
    """The page's text without tags, spaces made plain."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html_of(page))).replace("\u00a0", " ")


def test_a_stem_without_a_sheet_offers_to_open_one(company, lead, client):
    plan = PlanFactory(complete=True, stem__job__company=company, stem__job__lead=lead.person)
    address = reverse("assign", args=[plan.stem_id])
    assert "Open a sheet" in html_of(client.get(address))
    assert not Sheet.objects.exists()
    assert client.post(reverse("sheet_open", args=[plan.stem_id])).status_code == 302
    assert Sheet.objects.get().stem_id == plan.stem_id


def test_a_load_path_that_holds_says_so_and_leads_to_the_sheet(sheet, client):
    page = client.get(url("assign", sheet))
    assert "Nothing is refused" in words(page)
    assert reverse("sheet", args=[sheet.pk]) in html_of(page)


def test_positions_hang_from_the_stem_to_the_anchor(sheet, client):
    page = html_of(client.get(url("assign", sheet)))
    ids = ["stem_sling", "main_line", "hitch_cord", "moving_block", "fixed_block", "anchor_sling", "anchor", "bollard"]
    places = [page.index(f'id="{role}"') for role in ids]
    assert places == sorted(places)


def test_a_quarantined_block_is_refused_with_its_story_and_a_cure(sheet, client, company):
    take_down(sheet, "moving_block")
    hang(sheet, "moving_block", tag="B-04", quarantined=True)
    ItemFactory(company=company, tag="B-20", **HOSTS["moving_block"])
    page = client.get(url("assign", sheet))
    text = words(page)
    assert "B-04: out of use" in text
    assert "from the cage" in text
    assert "B-20" in text


def test_use_hangs_the_item_and_comes_back_to_its_position(sheet, client, company):
    item = ItemFactory(company=company, tag="B-20", **HOSTS["moving_block"])
    shown = shown_token(client.get(url("position", sheet, "moving_block")))
    response = client.post(url("position", sheet, "moving_block"), {"item": item.pk, "rank": "0"} | shown)
    assert response["Location"].endswith("#moving_block")
    assert sheet.assignments.get(role="moving_block").item == item


def test_other_items_are_listed_and_refused_ones_say_why(sheet, client, company):
    ItemFactory(company=company, tag="B-20", **HOSTS["moving_block"])
    ItemFactory(company=company, tag="B-21", working_load_limit_n=900.0, **HOSTS["moving_block"])
    ItemFactory(company=company, tag="B-22", overdue=True, **HOSTS["moving_block"])
    text = words(client.get(url("position", sheet, "moving_block")))
    fits, refused = text.split("more, refused")
    assert "B-20" in fits
    assert "B-21" in refused
    assert "Under rated" in refused
    assert "B-22" in refused


def test_a_slings_use_is_never_assumed(sheet, client, company):
    take_down(sheet, "anchor_sling")
    item = ItemFactory(company=company, sling=True, tag="S-20", vertical_rating_n=40_000.0)
    assert "What fits depends on it" in words(client.get(url("position", sheet, "anchor_sling")))
    response = client.post(url("position", sheet, "anchor_sling"), {"item": item.pk})
    assert response.status_code == 422
    assert errors_at(response, "configuration")
    assert not sheet.assignments.filter(role="anchor_sling").exists()


def test_an_empty_sling_position_offers_no_item_before_its_use_is_said(sheet, client, company):
    take_down(sheet, "anchor_sling", "moving_block")
    ItemFactory(company=company, sling=True, tag="S-20", vertical_rating_n=40_000.0)
    ItemFactory(company=company, tag="B-20", **HOSTS["moving_block"])
    cures = client.get(url("assign", sheet)).context["page"].cures
    assert "anchor_sling" not in cures
    assert "B-20" in [choice.tag for choice in cures["moving_block"]]


def test_saying_how_a_sling_is_used_shows_what_fits_and_hangs_it_so(sheet, client, company):
    take_down(sheet, "anchor_sling")
    item = ItemFactory(company=company, sling=True, tag="S-20", vertical_rating_n=40_000.0)
    use = {"configuration": "basket", "basket_half_angle_deg": "20"}
    part = html_of(client.get(url("position", sheet, "anchor_sling"), use, headers={"HX-Request": "true"}))
    assert part.index('id="choices"') < part.index("S-20")
    assert "<html" not in part
    assert client.post(url("position", sheet, "anchor_sling"), use | {"item": item.pk}).status_code == 302
    kept = sheet.assignments.get(role="anchor_sling")
    assert (kept.configuration, kept.basket_half_angle_deg) == ("basket", 20.0)


@pytest.mark.parametrize("text", ["nan", "1e999", "-1", "95", "12,5", "9" * 10_000, "20\x00"])
def test_nonsense_as_an_angle_is_told_at_its_box(sheet, client, text):
    item = sheet.assignments.get(role="anchor_sling").item
    data = {"item": item.pk, "configuration": "basket", "basket_half_angle_deg": text}
    response = client.post(url("position", sheet, "anchor_sling"), data)
    assert response.status_code == 422
    assert errors_at(response, "basket_half_angle_deg")


@pytest.mark.parametrize("text", ["", "abc", "-1", "9" * 400, "1\x00", "nan"])
def test_an_item_that_is_none_is_told(sheet, client, text):
    response = client.post(url("position", sheet, "moving_block"), {"item": text, "rank": "0"})
    assert response.status_code == 422
    assert "Choose an item" in words(response)


def test_another_companys_item_does_not_exist(sheet, client):
    item = ItemFactory(tag="X-01")
    assert client.post(url("position", sheet, "moving_block"), {"item": item.pk, "rank": "0"}).status_code == 404
    assert sheet.assignments.get(role="moving_block").item != item


def test_an_alternate_hangs_beside_the_item(sheet, client, company):
    item = ItemFactory(company=company, tag="B-20", **HOSTS["moving_block"])
    shown = shown_token(client.get(url("position", sheet, "moving_block")))
    client.post(url("position", sheet, "moving_block"), {"item": item.pk, "rank": "1"} | shown)
    assert list(sheet.assignments.filter(role="moving_block").values_list("rank", flat=True)) == [0, 1]
    assert "alternate B-20" in words(client.get(url("assign", sheet)))


def test_a_position_is_left_out_only_for_a_reason_allowed_there(sheet, client):
    take_down(sheet, "fixed_block_connector", "moving_block")
    assert client.post(url("position", sheet, "fixed_block_connector"), {"reason": "part_of_block"}).status_code == 302
    assert sheet.assignments.get(role="fixed_block_connector").not_used == "part_of_block"
    response = client.post(url("position", sheet, "moving_block"), {"reason": "part_of_block"})
    assert response.status_code == 422
    assert not sheet.assignments.filter(role="moving_block").exists()


def test_an_anchor_of_the_job_holds_an_anchors_position(sheet, client):
    there = AnchorFactory(job=sheet.stem.job, name="Oak at the bend")
    elsewhere = AnchorFactory()
    assert "Oak at the bend" in words(client.get(url("position", sheet, "anchor")))
    assert client.post(url("position", sheet, "anchor"), {"anchor": elsewhere.pk}).status_code == 422
    shown = shown_token(client.get(url("position", sheet, "anchor")))
    assert client.post(url("position", sheet, "anchor"), {"anchor": there.pk} | shown).status_code == 302
    assert sheet.assignments.get(role="anchor").anchor == there


@pytest.mark.parametrize("role", ["no_such_role", "redirect_block_1", "side_line", "restraint_anchor"])
def test_a_position_that_this_load_path_has_not_is_not_found(sheet, client, role):
    assert client.get(url("position", sheet, role)).status_code == 404


def test_taking_down_empties_the_position(sheet, client):
    shown = shown_token(client.get(url("position", sheet, "cleat")))
    assert client.post(url("position_clear", sheet, "cleat"), shown).status_code == 302
    assert not sheet.assignments.filter(role="cleat").exists()
    assert "Cleat: empty" in words(client.get(url("assign", sheet)))


def test_one_button_cures_what_the_store_can_cure(sheet, client, company):
    take_down(sheet, "moving_block", "cleat")
    ItemFactory(company=company, tag="B-20", **HOSTS["moving_block"])
    ItemFactory(company=company, gear_class="cleat", tag="K-20", **HOSTS["cleat"])
    assert "Cure both from the store" in words(client.get(url("assign", sheet)))
    client.post(url("fill_from_store", sheet))
    assert sheet.assignments.get(role="moving_block").item is not None
    assert "Nothing is refused" in words(client.get(url("assign", sheet)))


def test_a_duty_is_given_with_its_competence_and_taken_away(sheet, client, company):
    person = PersonFactory(company=company, name="Ash Verity")
    CompetenceFactory(person=person, skill=Skill.LOOKOUT)
    response = client.post(url("duty_add", sheet), {"duty": "lookout", "person": str(person.pk)})
    assert response["Location"].endswith("#duties")
    assert "Ash Verity Competent" in words(client.get(url("assign", sheet)))
    row = Duty.objects.get(person=person)
    assert client.post(reverse("duty_remove", args=[row.pk])).status_code == 302
    assert not Duty.objects.filter(person=person).exists()


def test_a_trainee_without_a_supervisor_refuses_the_sheet_by_name(sheet, client, company):
    trainee = PersonFactory(company=company, name="Bo Larch")
    LearningFactory(person=trainee, skill=Skill.LOOKOUT)
    client.post(url("duty_add", sheet), {"duty": "lookout", "person": str(trainee.pk)})
    text = words(client.get(url("assign", sheet)))
    assert "Trainee, nobody supervises" in text
    assert "Name a supervisor" in text


@pytest.mark.parametrize(
    ("name", "text"), [("person", ""), ("person", "x\x00"), ("duty", "king"), ("supervisor", "9" * 10_000)]
)
def test_a_duty_that_cannot_be_read_is_told_at_its_box(sheet, client, name, text):
    data = {"duty": "lookout", "person": str(Duty.objects.first().person_id)} | {name: text}
    response = client.post(url("duty_add", sheet), data)
    assert response.status_code == 422
    assert response.context["duty_form"].errors[name]


def test_the_same_duty_twice_is_told_and_not_stored(sheet, client):
    held = Duty.objects.filter(duty="cutter").get()
    response = client.post(url("duty_add", sheet), {"duty": "cutter", "person": str(held.person_id)})
    assert response.status_code == 422
    assert Duty.objects.filter(duty="cutter").count() == 1


def test_nobody_of_another_company_is_given_a_duty_or_loses_one(sheet, client, outsider, signed_in):
    data = {"duty": "lookout", "person": str(outsider.person.pk)}
    assert client.post(url("duty_add", sheet), data).status_code == 422
    assert signed_in(outsider).post(reverse("duty_remove", args=[Duty.objects.first().pk])).status_code == 404


def test_only_planners_assign(sheet, owner, climber, inspector, auditor, outsider, signed_in):
    assert signed_in(owner).get(url("assign", sheet)).status_code == 200
    for member in (climber, inspector, auditor):
        other = signed_in(member)
        assert other.get(url("assign", sheet)).status_code == 403
        assert other.post(url("fill_from_store", sheet)).status_code == 403
        assert other.post(url("position_clear", sheet, "cleat")).status_code == 403
    assert signed_in(outsider).get(url("assign", sheet)).status_code == 404
    assert signed_in(outsider).post(url("position_clear", sheet, "cleat")).status_code == 404
    assert Assignment.objects.filter(sheet=sheet, role="cleat").exists()


def test_the_number_of_queries_does_not_grow_with_the_store(sheet, client, company, django_assert_num_queries):
    take_down(sheet, "moving_block")
    for address in (url("assign", sheet), url("position", sheet, "moving_block")):
        ItemFactory(company=company, **HOSTS["moving_block"])
        client.get(address)
        with CaptureQueriesContext(connection) as few:
            client.get(address)
        ItemFactory.create_batch(4, company=company, **HOSTS["moving_block"])
        with django_assert_num_queries(len(few)):
            client.get(address)
