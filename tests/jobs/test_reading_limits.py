"""A reading outside what its sheet allows is answered at once, in words, shape and colour, and on the lead's Today."""

import datetime as dt
import json
import zoneinfo

import pytest
from django.urls import reverse
from django.utils import timezone

from crewlog.models import Company
from gear.models import GearItem
from jobs.field.services import record_day, record_reading
from jobs.models import Assignment, IssuedSheet, Reading
from jobs.plans.quantities import band_read
from jobs.readings.limits import limits_in
from jobs.readings.rules import PlaceLimits, judge
from jobs.sheets.check import check_sheet
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from jobs.wording.unit_formatter import UnitFormatter
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import fresh
from tests.pages import html_of

LIMITS = PlaceLimits(least_n=980.0, most_n=2130.0, proof_n=2820.0, proof_most_n=4000.0, full_n=2820.0)


@pytest.mark.parametrize(
    ("moment", "force_n", "key"),
    [
        ("pre_tension", 979.0, "below"),
        ("pre_tension", 980.0, "in"),
        ("pre_tension", 2130.0, "in"),
        ("pre_tension", 2131.0, "above"),
        ("proof", 2819.0, "below"),
        ("proof", 2820.0, "in"),
        ("proof", 4000.0, "in"),
        ("proof", 4001.0, "above"),
        ("full_pull", 100.0, "in"),
        ("full_pull", 2821.0, "above"),
        ("other", 100.0, "in"),
        ("other", 2131.0, "above"),
    ],
)
def test_each_moment_has_its_own_limits_and_a_value_on_a_limit_is_within(moment, force_n, key):
    assert judge(moment, force_n, LIMITS).key == key


@pytest.mark.parametrize(("force_n", "words"), [(9000.0, "Slack off. Nobody cuts."), (10.0, "Haul on. Nobody cuts.")])
def test_before_the_cut_either_side_of_the_band_says_what_to_do(force_n, words):
    assert judge("pre_tension", force_n, LIMITS).action == words


@pytest.fixture
def sheet(company, lead):
    made = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=made, looked_at=EVERYTHING)
    return fresh(made)


def limits(sheet):
    return limits_in(json.loads(IssuedSheet.objects.get(sheet=sheet).snapshot))


@pytest.mark.django_db
def test_limits_of_a_reading_are_the_figures_the_sheet_prints(company, lead):
    made = passing_sheet(company, lead=lead.person)
    check = check_sheet(fresh(made))
    band = band_read(check.outcome.result, check.outcome.envelope)
    printed = (band.minimum.value, band.maximum.value)
    issue_sheet(actor=lead, sheet=made, looked_at=EVERYTHING)
    line = limits(made)["line"]
    assert check.plan_data.plan.tension_gauge == "in_line"
    assert (line.least_n, line.most_n) == pytest.approx(printed)
    assert line.full_n == pytest.approx(check.outcome.result.tackle_tension_n)


@pytest.mark.django_db
def test_hand_limits_are_narrower_than_the_line_over_its_advantage_on_both_sides(sheet):
    line, hand = limits(sheet)["line"], limits(sheet)["hand"]
    assert hand.least_n * 5 > line.least_n  # five parts give five at most, and fewer with friction
    assert hand.most_n * 5 > line.most_n > hand.most_n
    assert hand.most_n < line.most_n / 4


@pytest.mark.django_db
def test_sheet_issued_before_limits_were_kept_still_answers(sheet):
    snapshot = json.loads(IssuedSheet.objects.get(sheet=sheet).snapshot)
    kept = limits_in(snapshot)
    del snapshot["reading_limits"]
    assert limits_in(snapshot)["line"].full_n == pytest.approx(kept["line"].full_n)
    for place, worked in limits_in(snapshot).items():
        assert worked.most_n <= kept[place].most_n * (1 + 1e-9)
        assert worked.least_n >= kept[place].least_n * (1 - 1e-9)


@pytest.mark.django_db
@pytest.mark.parametrize(("name", "value"), [("people", "three"), ("people", -1)])
def test_sheet_of_a_request_that_is_no_longer_read_has_no_limits(sheet, name, value):
    snapshot = json.loads(IssuedSheet.objects.get(sheet=sheet).snapshot)
    del snapshot["reading_limits"]
    snapshot["request"][name] = value
    assert limits_in(snapshot) == {}


def typed(sheet, force, moment="pre_tension", **changes):
    zone = zoneinfo.ZoneInfo(sheet.stem.job.company.time_zone)
    facts = {"kind": "line", "force_n": force, "gauge": GearItem.objects.get(tag="L-01").pk, "moment": moment}
    facts["read_at"] = timezone.now().astimezone(zone).strftime("%Y-%m-%dT%H:%M")
    return facts | changes


def post(client, sheet, force, **changes):
    return client.post(reverse("reading_new", args=[sheet.pk]), typed(sheet, force, **changes), follow=True)


def text_of(response):
    return html_of(response).replace("\u00a0", " ")


@pytest.mark.django_db
def test_nine_kilonewton_before_the_cut_is_answered_with_the_limit_and_what_to_do(sheet, climber, signed_in):
    response = post(signed_in(climber), sheet, "9.00")
    page = text_of(response)
    most = UnitFormatter("metric").force_limit(limits(sheet)["line"].most_n).replace("\u00a0", " ")
    assert f"9.00 kN: above the maximum before the cut, {most}" in page
    assert "Slack off. Nobody cuts." in page
    assert "verdict--refused" in page
    assert [message.level_tag for message in response.context["messages"]] == ["error"]


@pytest.mark.django_db
def test_a_reading_in_the_band_is_answered_as_such(sheet, climber, signed_in):
    line = limits(sheet)["line"]
    response = post(signed_in(climber), sheet, f"{(line.least_n + line.most_n) / 2000:.2f}")
    assert [message.level_tag for message in response.context["messages"]] == ["success"]
    assert "verdict--refused" not in text_of(response)
    assert "within the maximum before the cut" in text_of(response)


@pytest.mark.django_db
def test_the_answer_comes_while_the_figure_is_typed_and_nothing_is_recorded(sheet, climber, signed_in):
    client = signed_in(climber)
    address = reverse("reading_judge", args=[sheet.pk])
    asked = {"kind": "line", "moment": "pre_tension"}
    assert "Slack off" in text_of(client.get(address, asked | {"force_n": "9.00"}))
    assert "Haul on" in text_of(client.get(address, asked | {"force_n": "0.01"}))
    assert "verdict" not in text_of(client.get(address, asked | {"force_n": "nine"}))
    assert "verdict" not in text_of(client.get(address, {"force_n": "9.00"}))
    assert not Reading.objects.exists()


def read(actor, sheet, force_n, moment="pre_tension", ago_s=60):
    gauge = GearItem.objects.get(tag="L-01")
    at = timezone.now() - dt.timedelta(seconds=ago_s)
    return record_reading(
        actor=actor, sheet=sheet, kind="line", moment=moment, force_n=force_n, gauge=gauge, read_at=at
    )


def on_today(signed_in, member):
    return [row.title for row in signed_in(member).get(reverse("today")).context["page"].readings]


@pytest.mark.django_db
def test_a_reading_above_stays_on_the_leads_today_until_the_day_is_recorded(sheet, lead, climber, signed_in):
    line = limits(sheet)["line"]
    read(climber, sheet, 9000.0, ago_s=90)
    read(climber, sheet, (line.least_n + line.most_n) / 2, ago_s=30)
    (row,) = signed_in(lead).get(reverse("today")).context["page"].readings
    assert "above the maximum before the cut" in row.title
    assert "Slack off" not in row.why  # the newest reading of that moment is in the band
    assert "A later reading followed" in row.why
    used = list(Assignment.objects.filter(sheet=sheet, item__isnull=False).select_related("item"))
    record_day(actor=lead, sheet=sheet, result="fell", used=used)
    assert on_today(signed_in, lead) == []


@pytest.mark.django_db
def test_a_reading_after_a_stop_is_on_today_and_on_the_page_of_what_was_done(sheet, lead, climber, signed_in):
    used = list(Assignment.objects.filter(sheet=sheet, item__isnull=False).select_related("item"))
    record_day(actor=lead, sheet=sheet, result="stopped", used=used)
    read(climber, sheet, 9000.0)
    (title,) = on_today(signed_in, lead)
    assert "above the maximum before the cut" in title
    done = signed_in(lead).get(reverse("sheet_done", args=[sheet.pk])).context["page"]
    assert done.last_wrong is not None


@pytest.mark.django_db
def test_a_reading_below_is_answered_by_the_next_of_its_moment(sheet, lead, climber, signed_in):
    line = limits(sheet)["line"]
    read(climber, sheet, line.least_n / 2, ago_s=90)
    (title,) = on_today(signed_in, lead)
    assert "below the least before the cut" in title
    read(climber, sheet, (line.least_n + line.most_n) / 2, ago_s=30)
    assert on_today(signed_in, lead) == []


@pytest.mark.django_db
def test_a_reading_that_was_corrected_no_longer_counts(sheet, lead, climber, signed_in):
    wrong = read(climber, sheet, 9000.0)
    gauge = GearItem.objects.get(tag="L-01")
    line = limits(sheet)["line"]
    record_reading(
        actor=climber, sheet=sheet, kind="line", moment="pre_tension", force_n=line.most_n * 0.9, gauge=gauge,
        read_at=wrong.read_at, corrects=wrong,
    )  # fmt: skip
    assert on_today(signed_in, lead) == []


@pytest.mark.django_db
def test_today_asks_as_often_with_many_readings_as_with_one(sheet, lead, climber, signed_in, django_assert_num_queries):
    from jobs.readings.pages import reading_alerts

    company = Company.objects.get(pk=sheet.stem.job.company_id)
    for count in (1, 5):
        for _ in range(count):
            read(climber, sheet, 9000.0)
        with django_assert_num_queries(1):
            reading_alerts(company)
