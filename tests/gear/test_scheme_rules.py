"""Which classes a stored rule of inspection is for."""

from dataclasses import replace
from importlib import import_module
from types import SimpleNamespace

import pytest
from django.apps import apps
from django.db import connection
from django.urls import reverse

from crewlog.evidence import verify
from gear.classes import BY_CODE
from gear.models import SchemeRule
from gear.scheme_book import SchemeBook
from gear.services.schemes import OwnRule, add_own_rule, ensure_default_schemes
from tests.factories.gear import ItemFactory
from tests.pages import html_of

pytestmark = pytest.mark.django_db
LIFTING = ("lift_or_lower",)


@pytest.fixture
def rule(company):
    """The default rule for lifting accessories."""
    ensure_default_schemes(company)
    return SchemeRule.objects.get(scheme__company=company, use="lift_or_lower", months=6)


def months(company, gear_class):
    found = SchemeBook.of(company).intervals(gear_class=gear_class, uses=LIFTING)
    return min(interval.months for interval in found)


@pytest.mark.parametrize("declared", BY_CODE.values(), ids=lambda declared: declared.code)
def test_a_lifting_accessory_is_examined_every_six_months_and_what_is_installed_every_twelve(rule, company, declared):
    assert months(company, declared.code) == (6 if declared.is_accessory else 12)
    assert rule.is_for(declared.code) is declared.is_accessory


def test_a_class_declared_later_falls_under_the_rules_a_company_has(rule, company, monkeypatch):
    monkeypatch.setitem(BY_CODE, "newcomer", replace(BY_CODE["connector"], code="newcomer"))
    monkeypatch.setitem(BY_CODE, "bolted", replace(BY_CODE["bollard"], code="bolted"))
    assert months(company, "newcomer") == 6
    assert months(company, "bolted") == 12
    assert rule.classes[-1] == "newcomer"


def test_a_rule_for_all_gear_is_for_a_class_declared_later(rule, company, monkeypatch):
    monkeypatch.setitem(BY_CODE, "newcomer", replace(BY_CODE["connector"], code="newcomer"))
    assert SchemeRule.objects.get(scheme__company=company, use="measure").is_for("newcomer")


def test_the_page_counts_the_classes_of_the_rule(rule, owner, signed_in):
    page = html_of(signed_in(owner).get(reverse("schemes")))
    assert f"{sum(declared.is_accessory for declared in BY_CODE.values())} classes of accessories" in page


def migrated(name):
    step = getattr(import_module("gear.migrations.0023_rules_name_accessories"), name)
    step(apps, SimpleNamespace(connection=connection))


def test_rules_stored_as_a_list_of_classes_name_the_accessories_and_their_company_still_verifies(rule, owner, company):
    listed = import_module("gear.migrations.0023_rules_name_accessories").LISTED
    mine = add_own_rule(actor=owner, rule=OwnRule("Ours", "lift_or_lower", 4, "contract", gear_classes=tuple(listed)))
    ItemFactory(company=company)
    migrated("list_classes")
    rule.refresh_from_db()
    assert rule.gear_classes == listed
    assert not verify(company).holds
    migrated("name_accessories")
    for each in (rule, mine):
        each.refresh_from_db()
    assert rule.gear_classes == ["accessories"]
    assert mine.gear_classes == listed  # as its record has it
    assert verify(company).holds
