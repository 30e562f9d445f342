"""The plan's page: the crew's task stands against the crew, a search that stopped says so, links lead to the box."""

import pytest
from django.urls import reverse

from jobs.models import PullPlan, Stem
from jobs.plans import cures, inverse
from jobs.plans.calculation import calculate
from jobs.plans.data import load_plan_data
from jobs.plans.findings import word_finding
from jobs.plans.inverse import ask, own_refusals, with_value
from jobs.plans.page import plan_page
from jobs.plans.page_cures import cures_page
from jobs.plans.page_findings import field_place
from jobs.plans.page_inverse import asked_page
from jobs.sheets.page_assign import fill_words
from jobs.wording.unit_formatter import UnitFormatter
from tests.factories.jobs import PlanFactory, passing_sheet
from tests.pages import html_of

pytestmark = pytest.mark.django_db
READER = UnitFormatter("metric")


@pytest.fixture
def plan(company, lead):
    return PlanFactory(complete=True, stem__job__company=company, stem__job__lead=lead.person)


def plan_data_of(plan, **changes):
    PullPlan.objects.filter(pk=plan.pk).update(**changes)
    return load_plan_data(Stem.objects.with_plan().get(pk=plan.stem_id))


def page_of(plan, **changes):
    plan_data = plan_data_of(plan, **changes)
    outcome = calculate(plan_data)
    return plan_page(plan_data, outcome), outcome.result


def test_people_are_set_against_the_crews_task_and_not_against_what_the_gear_is_sized_by(plan):
    page, result = page_of(plan)
    assert result.crew_hauling_force_n < result.hauling_force_n
    (hand,) = [figure for figure in page.figures if figure.label == "At the hand"]
    assert f"{hand.number}\u00a0{hand.unit}" == READER.hand(result.crew_hauling_force_n)
    assert "keep up" in hand.note


def test_figure_at_the_hand_is_the_one_its_finding_speaks_of(plan):
    page, result = page_of(plan, haulers=1)
    (hand,) = [figure for figure in page.figures if figure.label == "At the hand"]
    assert hand.is_wrong
    facts = result.finding("too-few-people").facts
    assert f"{hand.number}\u00a0{hand.unit}" == READER.hand(facts["hand_force_n"])


def test_a_load_path_without_gear_is_not_said_to_pass_while_the_plan_has_open_answers(plan):
    page, _ = page_of(plan, gust_m_s=None)
    assert page.gear_words == "Load path: no gear assigned yet"
    assert page.gear_mark == "open"


def test_a_load_path_with_gear_says_that_nothing_is_refused(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    plan_data = load_plan_data(sheet.stem, sheet)
    page = plan_page(plan_data, calculate(plan_data))
    assert (page.gear_words, page.gear_mark) == ("Load path: nothing refused", "ok")


def test_too_few_haulers_leads_to_the_number_of_haulers_and_opens_its_group(plan):
    page, _ = page_of(plan, haulers=1)
    row = next(row for row in page.findings if row.id == "finding-too-few-people")
    assert row.cures[0].href == reverse("plan", args=[plan.stem_id]) + "#id_haulers"
    assert "tackle" in page.open_groups
    assert "places" not in page.open_groups


def test_a_place_of_the_haulers_still_leads_to_the_places(plan):
    finding = word_finding("in-line-of-rope:haulers", {"distance_m": 1.0}, READER)
    assert "#id_places-" in field_place(finding, plan.stem)


@pytest.fixture
def always_failing_in_full(monkeypatch):
    """Values pass at every corner, and the study of the spread refuses each: the case in which a search gives up."""
    monkeypatch.setattr(inverse, "first_fails", lambda plan_data: ())
    for module in (inverse, cures):
        monkeypatch.setattr(module, "own_refusals", lambda outcome: ("too-few-people",))


def test_a_search_that_stopped_early_says_so_and_never_none(plan, always_failing_in_full):
    plan_data = plan_data_of(plan)
    page = asked_page(plan_data, ask(plan_data, "attach_height"))
    assert page.is_given_up
    assert "passes: " not in page.against
    assert f"The search stopped at {READER.length(3.7)}" in page.against


def test_page_of_a_search_that_stopped_is_no_refusal(plan, lead, signed_in, always_failing_in_full):
    address = reverse("plan_least", args=[plan.stem_id])
    text = html_of(signed_in(lead).get(address, {"what": "attach_height"}))
    assert "Lowest line: not found" in text
    assert "Lowest line: none" not in text


def test_cures_that_were_not_searched_to_the_end_are_named(plan, always_failing_in_full):
    plan_data = plan_data_of(plan, attach_height_m=3.0)
    page = cures_page(plan_data, calculate(plan_data))
    assert page.cures == ()
    assert "line height" in page.none_words
    assert "cures all of it" not in page.none_words


def test_lowest_line_is_found_where_many_heights_fail_only_at_the_worst_case(plan):
    plan_data = plan_data_of(plan, haulers=4, gust_tolerance_m_s=1.0)
    answer = ask(plan_data, "attach_height")
    assert answer.given_up_at is None
    assert answer.value is not None
    assert not own_refusals(calculate(with_value(plan_data, "attach_height_m", answer.value)))


@pytest.mark.parametrize(
    ("count", "words"),
    [(1, "Cure it"), (2, "Cure both"), (3, "Cure all three"), (10, "Cure all ten"), (12, "Cure all 12")],
)
def test_button_that_fills_counts_in_plain_words(count, words):
    assert fill_words(count) == f"{words} from the store"
