"""Checking a row's constraints together says the same as Django does asking for each."""

import pytest
from django.core.exceptions import ValidationError
from django.db import models

from crewlog.models.constraints import ChecksTogether
from gear.models import GearItem
from tests.factories.gear import ItemFactory

# None for the checks, which hold, and one for the tag that is never used twice.
QUERIES = 1


def said_by_each(item, exclude=None):
    """What Django's own validation says."""
    try:
        models.Model.validate_constraints(item, exclude=exclude)
    except ValidationError as error:
        return error.message_dict
    return {}


def said_together(item, exclude=None):
    try:
        item.validate_constraints(exclude=exclude)
    except ValidationError as error:
        return error.message_dict
    return {}


@pytest.fixture
def item(company):
    return ItemFactory(company=company, length_m=3.0)


def test_items_are_checked_together():
    assert issubclass(GearItem, ChecksTogether)


def test_sound_row_passes_in_one_query(item, django_assert_num_queries):
    with django_assert_num_queries(QUERIES):
        assert said_together(item) == {}


@pytest.mark.parametrize(
    "changes",
    [
        {"length_m": -1.0},
        {"design_factor": 0.5},
        {"pulls_at_ground": False},
        {"length_m": 0.0, "design_factor": 0.5, "sheave_efficiency": 1.2},
        {"quarantined_on": "2026-01-01"},
        {"length_m": None},  # unknown is null, and a check of null passes
    ],
)
def test_what_fails_is_said_as_django_says_it(item, changes):
    for name, value in changes.items():
        setattr(item, name, value)
    assert said_together(item) == said_by_each(item)
    assert bool(said_together(item)) is (changes != {"length_m": None})


def test_tag_used_twice_is_still_found_when_every_check_passes(item):
    other = ItemFactory.build(company=item.company, tag=item.tag.lower(), registered_on=item.registered_on)
    assert "never used twice" in str(said_together(other))


def test_checks_of_excluded_fields_are_left_out_as_django_leaves_them_out(item):
    item.length_m = -1.0
    item.design_factor = 0.5
    assert said_together(item, exclude={"length_m"}) == said_by_each(item, exclude={"length_m"})
    assert "length" not in str(said_together(item, exclude={"length_m"}))
    assert "design factor" in str(said_together(item, exclude={"length_m"}))
