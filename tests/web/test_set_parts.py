"""The parts of a tackle set, as pages."""

import datetime as dt

import pytest
from django.urls import reverse

from gear.models import GearItem, PartChange
from tests.factories.gear import ItemFactory
from tests.pages import html_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def browse(signed_in, lead):
    return signed_in(lead)


@pytest.fixture
def tackle(company):
    made = ItemFactory(company=company, tag="X-01", gear_class="tackle_set", parts_expected=2)
    ItemFactory(company=company, tag="R-01", rope=True, assembly=made)
    ItemFactory(company=company, tag="B-01", assembly=made)
    ItemFactory(company=company, tag="R-02", rope=True)
    return made


def day(tackle, days=0):
    return (tackle.company.today() - dt.timedelta(days=days)).isoformat()


def change(client, tackle, **typed):
    facts = {"kind": "swap", "out": "R-01", "part": "r-02", "on": day(tackle, 10), "because": "core showing"} | typed
    return client.post(reverse("set_change", args=[tackle.tag]), facts)


def shown_on(client, tackle, days):
    response = client.get(reverse("set_parts", args=[tackle.tag]), {"on": day(tackle, days)})
    return [row.part.tag for row in response.context["parts"]]


def test_the_page_says_which_rope_was_in_the_set_on_a_day(browse, tackle):
    assert change(browse, tackle).status_code == 302
    assert shown_on(browse, tackle, 11) == ["B-01", "R-01"]
    assert shown_on(browse, tackle, 10) == ["B-01", "R-02"]
    html = html_of(browse.get(reverse("set_parts", args=["X-01"])))
    assert "Taken out" in html
    assert "core showing" in html


def test_both_items_say_where_they_were(browse, tackle):
    change(browse, tackle)
    assert "Was part of" in html_of(browse.get(reverse("item", args=["R-01"])))
    assert "Put into X-01" in html_of(browse.get(reverse("item", args=["R-02"])))


def test_a_part_is_put_in_by_its_scanned_address(browse, tackle):
    assert change(browse, tackle, kind="out", part="").status_code == 302
    put = change(browse, tackle, kind="in", out="", part="https://crew.example/gear/R-02/")
    assert put.status_code == 302
    assert GearItem.objects.get(tag="R-02").assembly == tackle


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"kind": ""}, "kind"),
        ({"out": ""}, "out"),
        ({"out": "R-02"}, "out"),
        ({"part": ""}, "part"),
        ({"part": "R-99"}, "part"),
        ({"kind": "in", "part": "R-01"}, "part"),
        ({"because": ""}, "because"),
        ({"on": "yesterday"}, "on"),
        ({"on": "2999-01-01"}, None),
    ],
)
def test_a_refused_change_keeps_what_was_typed_and_changes_nothing(browse, tackle, typed, field):
    response = change(browse, tackle, **typed)
    assert response.status_code == 422
    errors = response.context["form"].errors
    assert (field or "__all__") in errors
    if "because" not in typed:
        assert "core showing" in html_of(response)
    assert not PartChange.objects.exists()


def test_a_wrong_day_is_corrected_from_the_page(browse, tackle):
    change(browse, tackle)
    row = PartChange.objects.get(change="in")
    url = reverse("set_correct", args=["X-01", row.pk])
    assert "R-02 put in on" in html_of(browse.get(url))
    typed = {"part": "R-02", "on": day(tackle, 3), "because": "went in a week later"}
    assert browse.post(url, typed).status_code == 302
    assert shown_on(browse, tackle, 5) == ["B-01"]
    assert "no longer counts" in html_of(browse.get(reverse("set_parts", args=["X-01"])))
    assert browse.post(url, typed).status_code == 422


def test_a_day_nobody_can_read_is_refused_with_its_reason(browse, tackle):
    response = browse.get(reverse("set_parts", args=["X-01"]), {"on": "soon"})
    assert response.status_code == 422
    assert "2026-11-25" in html_of(response)


def test_an_item_that_is_no_set_has_no_page_of_parts(browse, tackle):
    assert browse.get(reverse("set_parts", args=["R-01"])).status_code == 404


def test_a_change_of_another_set_is_not_corrected_here(browse, tackle, company):
    change(browse, tackle)
    ItemFactory(company=company, tag="X-02", gear_class="tackle_set", parts_expected=2)
    row = PartChange.objects.first()
    assert browse.get(reverse("set_correct", args=["X-02", row.pk])).status_code == 404


def test_the_page_asks_no_more_questions_for_more_parts(browse, tackle, company, django_assert_max_num_queries):
    GearItem.objects.filter(pk=tackle.pk).update(parts_expected=14)
    for n in range(12):
        ItemFactory(company=company, tag=f"C-{n:02d}", assembly=tackle)
    assert change(browse, tackle).status_code == 302
    with django_assert_max_num_queries(16):
        browse.get(reverse("set_parts", args=["X-01"]))
