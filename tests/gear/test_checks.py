"""The system checks of classes of gear: the database knows no list of them."""

from dataclasses import replace

import pytest

from gear import checks
from gear.catalogue.classes import BY_CODE, CLASSES
from gear.models import ClassLimit, GearItem
from tests.factories.gear import ItemFactory

pytestmark = pytest.mark.django_db


def test_what_is_declared_passes():
    assert checks.check_codes(None) == []


@pytest.mark.parametrize("code", ["", "rope", "accessories", "a_code_of_21_letters_"])
def test_a_code_that_is_taken_empty_or_too_long_is_refused(monkeypatch, code):
    monkeypatch.setattr(checks, "CLASSES", (*CLASSES, replace(BY_CODE["connector"], code=code)))
    (error,) = checks.check_codes(None)
    assert error.id == "gear.E001"
    assert repr(code) in error.msg


def test_a_store_of_declared_classes_passes(company):
    ItemFactory(company=company)
    assert checks.check_stored_classes(None, databases=["default"]) == []


def test_a_class_that_stands_in_the_store_and_is_declared_no_more_is_named(company):
    GearItem.objects.filter(pk=ItemFactory(company=company).pk).update(gear_class="hammock")
    ClassLimit.objects.create(company=company, gear_class="net", most_uses=3)
    found = checks.check_stored_classes(None, databases=["default"])
    assert [error.msg for error in found] == [
        "The store has 'hammock', which is no class.",
        "The store has 'net', which is no class.",
    ]


def test_no_database_is_asked_where_none_is_to_be_checked(django_assert_num_queries):
    with django_assert_num_queries(0):
        assert checks.check_stored_classes(None) == []


def test_columns_of_a_class_leave_a_new_one_out_of_the_migrations():
    for model in (GearItem, ClassLimit):
        field = model._meta.get_field("gear_class")
        assert dict(field.choices) == {declared.code: declared.name for declared in CLASSES}
        assert callable(field.deconstruct()[3]["choices"])
