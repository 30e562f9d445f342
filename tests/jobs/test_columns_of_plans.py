"""The parts of a plan's form, and what the columns of stems and plans say of each other and are called."""

import re

import pytest
from django.db import IntegrityError, transaction

from crewlog.quantities.columns import ALWAYS, BoundedColumn, declared_columns
from jobs.models import CrownPart, Place, PullPlan, Redirect, Stem, StemSection
from jobs.plans.completeness import missing_words
from jobs.plans.cures import GRIDS
from jobs.plans.form_groups import BEGINS, GROUPS
from jobs.plans.forms import PlanForm
from jobs.plans.views import opened
from tests.factories.jobs import PlanFactory
from tests.factories.scenario import unsaved_plan_data
from tests.given import stand_in
from tests.rows import every_row

COLUMNS = declared_columns(PullPlan)


def test_every_column_stands_in_one_part_of_the_form():
    assert [name for names in GROUPS.values() for name in names] == [column.name for column in COLUMNS]
    assert list(GROUPS) == list(BEGINS.values())


def test_every_box_is_in_the_form_once():
    form = PlanForm(plan_data=unsaved_plan_data())
    assert sorted(box.name for boxes in form.groups.values() for box in boxes) == sorted(form.fields)


@every_row("column", [*declared_columns(Stem), *COLUMNS], ids=lambda column: column.name)
def test_a_column_names_only_what_its_row_has(column):
    assert not column.method or column.method in {each.name for each in declared_columns(column.model)}
    assert column.needed in ("", ALWAYS) or hasattr(column.model(), column.needed)


@every_row("column", [*declared_columns(Stem), *COLUMNS], ids=lambda column: column.name)
def test_no_answer_is_called_by_its_column(column):
    for words in (column.words, missing_words(column)):
        assert "_" not in words
        assert not re.search(r" (m|n|deg|kg|ratio|m s|m3)$", words), words


def test_what_a_cure_sets_is_a_figure_between_bounds():
    assert all(isinstance(PullPlan._meta.get_field(name), BoundedColumn) for name in GRIDS)


@pytest.mark.parametrize("group", [*GROUPS, "places"])
def test_a_part_that_findings_speak_of_stands_open(group):
    page = stand_in(open_groups=frozenset({group}))
    found = opened(PlanForm(plan_data=unsaved_plan_data()), page)
    assert [name for name, is_open in found.items() if is_open] == [group]


WITH_BOUNDS = (Stem, StemSection, CrownPart, PullPlan, Redirect, Place)


def row_of(model, plan):
    """A stored row of this model, of a complete plan."""
    if model is Redirect:
        return plan.redirects.create(number=1, distance_m=5, azimuth_deg=0, slope_deg=0, height_m=1, friction_ratio=0.9)
    rows = {PullPlan: plan, Stem: plan.stem, Place: plan.places, StemSection: plan.stem.sections}
    found = rows.get(model, plan.stem.crown_parts)
    return found if isinstance(found, model) else found.first()


def held_by_the_database():
    columns = [column for model in WITH_BOUNDS for column in declared_columns(model)]
    return [column for column in columns if isinstance(column, BoundedColumn) and column.check_name]


@pytest.mark.parametrize("column", held_by_the_database(), ids=str)
def test_the_database_refuses_what_lies_outside_the_bounds(column, company):
    row = row_of(column.model, PlanFactory(stem__job__company=company, complete=True))
    just_outside = {"gte": -1, "gt": 0, "lt": 0, "lte": 1}
    outside = [bound + just_outside[lookup] for lookup, bound in column.bounds.items()]
    assert outside
    for value in outside:
        with pytest.raises(IntegrityError, match=column.check_name), transaction.atomic():
            type(row).objects.filter(pk=row.pk).update(**{column.name: value})
