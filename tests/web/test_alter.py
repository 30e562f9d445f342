"""Alterations and inspection schemes, as pages."""

import pytest
from django.urls import reverse

from gear.models import GearItem, InspectionScheme, SchemeRule
from tests.factories.gear import ItemFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def browse(signed_in, owner):
    return signed_in(owner)


@pytest.fixture
def rope(company):
    return ItemFactory(company=company, rope=True, tag="R-07")


def alter(client, item, **typed):
    day = item.company.today().isoformat()
    return client.post(reverse("item_alter", args=[item.tag]), {"altered_on": day, "description": "end worn"} | typed)


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
    assert "end worn" in response.content.decode()
    assert GearItem.objects.get().length_m == 45.0
    assert rope.events.count() == 0


@pytest.mark.parametrize("who", ["lead", "inspector", "climber", "auditor"])
def test_everyone_reads_the_schemes_and_only_the_owner_sets_them(who, request, signed_in, company):
    ItemFactory(company=company)
    client = signed_in(request.getfixturevalue(who))
    scheme = InspectionScheme.objects.filter(company=company).first()
    assert "LOLER 1998" in client.get(reverse("schemes")).content.decode()
    assert client.post(reverse("schemes"), {"switch": scheme.pk}).status_code == 403
    scheme.refresh_from_db()
    assert scheme.is_active == (not scheme.name.startswith("North"))


def test_a_scheme_is_switched_off_and_on(browse, company):
    ItemFactory(company=company)
    scheme = InspectionScheme.objects.get(company=company, name__startswith="United Kingdom")
    for now in (False, True):
        assert browse.post(reverse("schemes"), {"switch": scheme.pk}).status_code == 302
        scheme.refresh_from_db()
        assert scheme.is_active is now


@pytest.mark.parametrize(("months", "status", "kept"), [("6", 302, 6), ("13", 422, 12), ("0", 422, 12), ("x", 422, 12)])
def test_an_interval_is_shortened_and_never_lengthened_past_its_default(browse, company, months, status, kept):
    ItemFactory(company=company)
    rule = SchemeRule.objects.get(scheme__company=company, use="pull_at_ground", scheme__is_active=True)
    response = browse.post(reverse("schemes"), {"rule": rule.pk, "months": months})
    assert response.status_code == status
    rule.refresh_from_db()
    assert rule.months == kept


def test_another_companys_scheme_cannot_be_set(browse, company):
    theirs = ItemFactory().company.inspection_schemes.first()
    assert browse.post(reverse("schemes"), {"switch": theirs.pk}).status_code == 404
    rule = SchemeRule.objects.filter(scheme__company=theirs.company).first()
    assert browse.post(reverse("schemes"), {"rule": rule.pk, "months": "1"}).status_code == 404
