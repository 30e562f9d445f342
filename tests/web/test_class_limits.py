"""Limits of use as pages: what one puts out of use is shown before it is saved."""

import pytest
from django.urls import reverse

from gear.models import ClassLimit
from gear.register.services import count_uses
from tests.factories.gear import ItemFactory
from tests.pages import html_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def rope(company, owner):
    item = ItemFactory(company=company, tag="R-01", gear_class="rope")
    count_uses(actor=owner, item=item, on=company.today(), description="Book", uses=12)
    return item


def asked(**changes):
    return {"class": "rope", "uses": "12", "share": "80"} | changes


def test_what_a_limit_uses_up_is_shown_and_nothing_saved_until_it_is_set(signed_in, owner, rope):
    client = signed_in(owner)
    page = html_of(client.get(reverse("class_limit_change"), asked()))
    assert "At their limit at once: 1" in page
    assert "R-01" in page
    assert not ClassLimit.objects.exists()
    assert client.post(reverse("class_limit_change"), asked()).status_code == 302
    row = ClassLimit.objects.get()
    assert (row.gear_class, row.most_uses, row.peak_share_ratio) == ("rope", 12, 0.8)
    assert "12 of 12" in html_of(client.get(rope.get_absolute_url()))
    assert "The company&#x27;s limit for its class" in html_of(client.get(rope.get_absolute_url()))
    loads = html_of(client.get(reverse("class_limits")))
    assert 'value="12"' in loads
    assert 'value="80"' in loads


def test_a_limit_that_uses_up_nothing_says_so_and_can_be_taken_back(signed_in, owner, rope):
    client = signed_in(owner)
    assert "No item is at this limit" in html_of(client.get(reverse("class_limit_change"), asked(uses="13")))
    client.post(reverse("class_limit_change"), asked(uses="13"))
    client.post(reverse("class_limit_change"), asked(uses="", share="100"))
    row = ClassLimit.objects.get()
    assert (row.most_uses, row.peak_share_ratio) == (None, None)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [({"uses": "many"}, "whole number"), ({"uses": "0"}, "At least 1"), ({"share": "120"}, "never looser")],
)
def test_a_refused_limit_keeps_what_was_typed_in_its_own_row(signed_in, owner, rope, wrong, says):
    response = signed_in(owner).get(reverse("class_limit_change"), asked(**wrong))
    page = html_of(response)
    assert response.status_code == 422
    assert says in page
    assert page.count(f'value="{next(iter(wrong.values()))}"') == 1


def test_others_read_and_do_not_set(signed_in, lead, rope):
    page = signed_in(lead).get(reverse("class_limits"))
    assert page.status_code == 200
    assert "Any number of uses" in html_of(page)
    assert "<input" not in html_of(page).split("<main")[1]
