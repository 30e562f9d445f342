"""The opening of a gate: what one new column of an item brings with it."""

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from gear.fact_changes.words import label_of, value_words
from gear.lists.columns import BY_NAME
from gear.models import FactChange, GearItem
from tests.factories.gear import ItemFactory
from tests.gear.fact_changes.changing import carabiner, change

pytestmark = pytest.mark.django_db


def test_it_is_asked_for_when_an_item_is_registered(signed_in, owner):
    html = signed_in(owner).get(reverse("item_new")).content.decode()
    assert 'name="opening_mm"' in html
    assert "how wide the gate opens" in html


def test_it_is_listed_in_millimetres():
    assert BY_NAME["opening_mm"].written_heading == "Opening (mm)"


def test_a_wider_opening_waits_for_its_answer(owner, company):
    item = carabiner(company, opening_mm=20.0)
    change(owner, item, "opening_mm", opening_mm=24.0)
    assert FactChange.objects.waiting().filter(item=item).exists()
    item.refresh_from_db()
    assert item.opening_mm == 20.0
    assert f"{label_of('opening_mm')}: {value_words('opening_mm', 20.0, 'metric')}" == "Opening: 20.0\u00a0mm"


def test_nought_is_refused():
    item = ItemFactory(evidence=False)
    with pytest.raises(IntegrityError), transaction.atomic():
        GearItem.objects.filter(pk=item.pk).update(opening_mm=0)
