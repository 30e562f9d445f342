"""Which classes a stored rule of inspection is for."""

from dataclasses import replace

import pytest
from django.urls import reverse

from gear.catalogue.classes import BY_CODE
from gear.fitness.inspection_rules import InspectionRules
from gear.models import SchemeRule
from gear.schemes.services import ensure_default_schemes
from tests.pages import html_of
from tests.rows import every_row

pytestmark = pytest.mark.django_db
LIFTING = ("lift_or_lower",)


@pytest.fixture
def rule(company):
    """The default rule for lifting accessories."""
    ensure_default_schemes(company)
    return SchemeRule.objects.get(scheme__company=company, use="lift_or_lower", months=6)


def months(company, gear_class):
    found = InspectionRules.of(company).intervals(gear_class=gear_class, uses=LIFTING)
    return min(interval.months for interval in found)


@every_row("declared", BY_CODE.values(), ids=lambda declared: declared.code)
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
