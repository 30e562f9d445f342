"""A change of fact on the report of the examination that follows it."""

import pytest

from gear.examinations.services import Answer, Verdict, record_inspection
from gear.fact_changes.services import answer_change
from tests.factories.gear import good_examination
from tests.gear.fact_changes.changing import carabiner, change
from tests.gear.test_reports import ADDRESS, described, flat, issued, paper

pytestmark = pytest.mark.django_db


@pytest.fixture
def company(company):
    company.address = ADDRESS
    company.save()
    return company


def report_of(inspector, item, **examination):
    row = record_inspection(
        actor=inspector, item=item, examination=good_examination(item, **examination), verdict=Verdict("fit")
    )
    return paper(issued(inspector, [row]))


def test_the_report_names_each_change_with_old_and_new_why_and_whether_it_counts(owner, inspector, company):
    described(inspector)
    item = carabiner(company)
    change(owner, item, "minor_axis", minor_axis_strength_n=9_000.0)
    (read,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    text = report_of(inspector, item, markings={read.pk: Answer("agrees")})
    assert flat("facts changed on record since the examination before") in text
    assert flat("50.00 kN → 90.00 kN") in text
    assert flat("The marking was read wrongly: Stamp is 90") in text
    assert flat(f"counts, read on it, record {read.answer.record.sequence}") in text
    assert flat("waits, record") in text


def test_a_report_without_changes_says_nothing_of_them_and_the_next_one_not_of_old_ones(owner, inspector, company):
    described(inspector)
    item = carabiner(company)
    assert flat("facts changed on record") not in report_of(inspector, item)
    (made,) = change(owner, item, "breaking_strength", breaking_strength_n=90_000.0)
    answer_change(actor=inspector, change=made, agrees=False, words="Reads 50.")
    assert flat("does not count, record") in report_of(inspector, item)
    assert flat("facts changed on record") not in report_of(inspector, item)
