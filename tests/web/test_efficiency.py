"""The pages of measured efficiency: entering pairs, refused forms, the history with its warning, the plan's button."""

import pytest
from django.urls import reverse

from jobs.efficiency.services import Pair
from jobs.models import EfficiencyMeasurement, PullPlan
from tests.factories.gear import ItemFactory
from tests.factories.jobs import passing_sheet
from tests.jobs.test_measured_efficiency import HAULED, record
from tests.pages import html_of
from tests.web.posting import shown_token

pytestmark = pytest.mark.django_db


@pytest.fixture
def tackle(company):
    return ItemFactory(company=company, gear_class="tackle_set", description="Tackle set", parts_expected=4)


def typed(company, count=4, **changes):
    data = {"measured_on": company.today().isoformat(), "parts": "5", "rove": "to_advantage"}
    data |= {"load_cell_words": "Hired cell 5", "conditions": "Dry"}
    for number in range(count):
        data |= {f"pairs-{number}-hand_n": "200", f"pairs-{number}-load_n": "0.82", f"pairs-{number}-state": "moving"}
    return data | changes


def test_pairs_typed_are_recorded_and_shown(company, inspector, tackle, signed_in):
    client = signed_in(inspector)
    address = reverse("efficiency_new", args=[tackle.tag])
    assert client.get(address).status_code == 200
    assert client.post(address, typed(company)).status_code == 302
    page = html_of(client.get(reverse("efficiency", args=[tackle.tag])))
    # 820 / 200 = 4.1 for five parts: 0.901 a sheave
    assert "90.1\u00a0%" in page
    assert "Hired cell 5" in page
    assert "<svg" in page


def test_refused_form_keeps_what_was_typed(company, lead, tackle, signed_in):
    address = reverse("efficiency_new", args=[tackle.tag])
    response = signed_in(lead).post(address, typed(company, count=2))
    assert response.status_code == 422
    page = html_of(response)
    assert "At least 3 pairs" in page
    assert 'value="0.82"' in page
    assert not EfficiencyMeasurement.objects.exists()


def test_half_a_pair_is_told_at_its_box(company, lead, tackle, signed_in):
    address = reverse("efficiency_new", args=[tackle.tag])
    response = signed_in(lead).post(address, typed(company, **{"pairs-3-load_n": ""}))
    assert response.status_code == 422
    assert "Missing in this row" in html_of(response)


def test_correction_starts_with_what_was_entered_and_replaces_it(company, lead, tackle, signed_in):
    wrong = record(lead, tackle)
    address = f"{reverse('efficiency_new', args=[tackle.tag])}?corrects={wrong.pk}"
    client = signed_in(lead)
    assert "Hired cell 5" in html_of(client.get(address))
    assert client.post(address, typed(company, because="Cell read in lbf")).status_code == 302
    page = html_of(client.get(reverse("efficiency", args=[tackle.tag])))
    assert "counts no more" in page
    assert "Cell read in lbf" in page


@pytest.mark.parametrize("number", ["999999", "x", "²"])
def test_correction_of_what_is_not_there_is_not_found(lead, tackle, signed_in, number):
    address = f"{reverse('efficiency_new', args=[tackle.tag])}?corrects={number}"
    assert signed_in(lead).get(address).status_code == 404


def test_page_of_a_tackle_leads_to_what_was_measured_on_it(lead, tackle, signed_in):
    page = html_of(signed_in(lead).get(reverse("item", args=[tackle.tag])))
    assert reverse("efficiency", args=[tackle.tag]) in page


def test_fall_against_its_own_history_is_told(lead, tackle, signed_in):
    record(lead, tackle)
    worse = [Pair(pair.hand_n * 1.25, pair.load_n) for pair in HAULED]
    record(lead, tackle, pairs=worse)
    page = html_of(signed_in(lead).get(reverse("efficiency", args=[tackle.tag])))
    assert "Fallen against its own history" in page


def test_history_takes_the_same_queries_for_one_and_for_many(lead, tackle, signed_in, django_assert_max_num_queries):
    client, address = signed_in(lead), reverse("efficiency", args=[tackle.tag])
    for _ in range(6):
        record(lead, tackle)
    with django_assert_max_num_queries(12):
        client.get(address)


def test_plan_page_offers_what_was_measured_and_takes_it(lead, company, signed_in):
    sheet = passing_sheet(company, lead=lead.person)
    block = sheet.assignments.get(role="moving_block").item
    row = record(lead, block)
    client = signed_in(lead)
    opened = client.get(reverse("plan", args=[sheet.stem_id]))
    assert f"Measured on {block.tag}" in html_of(opened)
    address = reverse("plan_efficiency", args=[sheet.stem_id])
    assert client.post(address, {"measurement": row.pk} | shown_token(opened)).status_code == 302
    assert PullPlan.objects.get(stem=sheet.stem_id).sheave_efficiency_ratio == row.sheave_efficiency_low
    page = html_of(client.get(reverse("plan", args=[sheet.stem_id])))
    assert "The plan takes" in page


@pytest.mark.parametrize("number", ["", "x", "²", "999999"])
def test_plan_is_left_alone_by_a_measurement_that_is_not_there(lead, company, signed_in, number):
    sheet = passing_sheet(company, lead=lead.person)
    before = PullPlan.objects.filter(stem=sheet.stem_id).values().get()
    client = signed_in(lead)
    assert client.post(reverse("plan_efficiency", args=[sheet.stem_id]), {"measurement": number}).status_code == 302
    assert PullPlan.objects.filter(stem=sheet.stem_id).values().get() == before


def test_high_end_better_than_the_default_is_used_for_what_a_crew_could_put_on(lead, company):
    from jobs.plans.data import load_plan_data
    from jobs.plans.to_mechanics import to_plan_input

    sheet = passing_sheet(company, lead=lead.person)
    block = sheet.assignments.get(role="moving_block").item
    assert to_plan_input(load_plan_data(sheet.stem, sheet)).best_sheave_efficiency == 0.98
    record(lead, block, pairs=[Pair(200.0, 990.0)] * 3)
    assert to_plan_input(load_plan_data(sheet.stem, sheet)).best_sheave_efficiency > 0.98
