"""Alterations, as pages."""

import re

import pytest
from django.urls import reverse

from gear.models import GearItem
from tests.factories.gear import ItemFactory
from tests.pages import html_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def browse(signed_in, owner):
    return signed_in(owner)


@pytest.fixture
def rope(company):
    return ItemFactory(company=company, rope=True, tag="R-07")


def alter(client, item, **typed):
    """What is answered once the new name was seen, where its length stands in its name."""
    day, page = item.company.today().isoformat(), reverse("item_alter", args=[item.tag])
    typed = {"altered_on": day, "description": "end worn"} | typed
    response = client.post(page, typed)
    seen = re.search(r'name="seen" value="(\w+)"', html_of(response))
    return client.post(page, typed | {"seen": seen[1]}) if seen else response


def test_a_rope_is_cut_shorter(browse, rope):
    assert alter(browse, rope, kind="shortened", length_after_m="41.5").status_code == 302
    rope.refresh_from_db()
    assert rope.length_m == 41.5
    assert rope.examination_pending_since == rope.company.today()


def test_a_new_end_is_recorded(browse, rope):
    assert alter(browse, rope, kind="re_terminated", terminations=["spliced_eye", "sewn_eye"]).status_code == 302
    rope.refresh_from_db()
    assert rope.terminations == ["spliced_eye", "sewn_eye"]


def test_pieces_get_tags_of_their_own(browse, rope):
    assert alter(browse, rope, kind="divided", piece_1_tag="R-21", piece_1_m="12 m").status_code == 302
    assert GearItem.objects.get(tag="R-21").parent == rope


@pytest.mark.parametrize(
    "typed",
    [
        {"kind": ""},
        {"kind": "shortened"},
        {"kind": "shortened", "length_after_m": "46"},
        {"kind": "re_terminated"},
        {"kind": "divided"},
        {"kind": "divided", "piece_1_tag": "R-21"},
        {"kind": "divided", "piece_1_tag": "R-21", "piece_1_m": "45"},
        {"kind": "divided", "piece_1_tag": "R-07", "piece_1_m": "5"},
    ],
)
def test_a_refused_alteration_changes_nothing_and_keeps_what_was_typed(browse, rope, typed):
    response = alter(browse, rope, **typed)
    assert response.status_code == 422
    assert "end worn" in html_of(response)
    assert GearItem.objects.get().length_m == 45.0
    assert rope.events.count() == 0
