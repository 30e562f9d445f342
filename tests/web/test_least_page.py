"""A plan asked backwards: the answer passes, the step before does not, and it can be set in the plan."""

import re

import pytest
from django.urls import reverse

from jobs.mechanics.plan.crew import thickness_grid
from jobs.models import PullPlan
from jobs.plans.calculation import calculate
from jobs.plans.data import load_plan_data
from jobs.plans.inverse import FIELDS, ask, own_refusals, with_value
from tests.factories.jobs import PlanFactory, StemFactory
from tests.pages import html_of
from tests.web.posting import shown_token

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan(company, lead):
    return PlanFactory(complete=True, stem__job__company=company, stem__job__lead=lead.person, haulers=2)


def asked(plan, what):
    return ask(load_plan_data(plan.stem), what)


def test_fewest_people_pass_and_one_fewer_do_not(plan):
    answer = asked(plan, "people")
    plan_data = load_plan_data(plan.stem)
    assert own_refusals(calculate(with_value(plan_data, "haulers", answer.value))) == ()
    assert "too-few-people" in own_refusals(calculate(with_value(plan_data, "haulers", answer.value - 1)))
    assert answer.before.codes


def test_thickest_hinge_passes_in_full(plan):
    plan.haulers = 4
    plan.save()
    answer = asked(plan, "hinge_thickness")
    assert answer.value in set(thickness_grid(answer.outcome.result.working.situation.diameter_m))
    assert own_refusals(answer.outcome) == ()


@pytest.mark.parametrize("what", FIELDS)
def test_each_question_has_its_page_and_its_answer_can_be_set(plan, lead, signed_in, what):
    plan.haulers = 4
    plan.save()
    client = signed_in(lead)
    opened = client.get(reverse("plan_least", args=[plan.stem_id]), {"what": what})
    page = html_of(opened)
    change = re.search(r'name="change" value="([^"]+)"', page)[1]
    assert change.startswith(FIELDS[what] + "=")
    assert "Governs" in page
    assert (
        client.post(reverse("plan_set", args=[plan.stem_id]), {"change": change} | shown_token(opened)).status_code
        == 302
    )
    assert str(getattr(PullPlan.objects.get(pk=plan.pk), FIELDS[what])) == change.partition("=")[2]


def test_nothing_in_range_says_why(plan, lead, signed_in):
    plan.gust_m_s = 14.0
    plan.save()
    page = html_of(signed_in(lead).get(reverse("plan_least", args=[plan.stem_id]), {"what": "parts"}))
    assert "No tackle between two parts and eight parts passes: " in page
    assert "wind-above-limit" not in page


def test_empty_plan_is_not_asked(company, lead, signed_in):
    stem = StemFactory(job__company=company)
    page = html_of(signed_in(lead).get(reverse("plan_least", args=[stem.pk]), {"what": "parts"}))
    assert "open answers" in page


def test_who_may_not_plan_reads_and_sets_nothing(plan, climber, signed_in):
    page = html_of(signed_in(climber).get(reverse("plan_least", args=[plan.stem_id]), {"what": "people"}))
    assert "Governs" in page
    assert "Set in the plan" not in page


def test_question_that_is_none_offers_the_five(plan, lead, signed_in):
    page = html_of(signed_in(lead).get(reverse("plan_least", args=[plan.stem_id]), {"what": "luck"}))
    assert [name for name in FIELDS if f'href="?what={name}"' in page] == list(FIELDS)
