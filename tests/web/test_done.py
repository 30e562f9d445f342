"""The page of what was done on a sheet's day, a reading and the day's record, as pages."""

import zoneinfo

import pytest
from django.urls import reverse
from django.utils import timezone

from gear.models import LoadRecord
from jobs.models import DayRecord, Reading
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.jobs import passing_sheet
from tests.pages import html_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(company, lead):
    made = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=made, looked_at=EVERYTHING)
    return made


@pytest.fixture
def browse(signed_in, lead):
    return signed_in(lead)


def url(name, sheet):
    return reverse(name, args=[sheet.pk])


def post_reading(client, sheet, query="", **typed):
    zone = zoneinfo.ZoneInfo(sheet.stem.job.company.time_zone)
    cell = sheet.assignments.get(role="tension_gauge").item
    facts = {
        "kind": "line",
        "force_n": "2.1",
        "gauge": cell.pk,
        "moment": "full_pull",
        "read_at": timezone.now().astimezone(zone).strftime("%Y-%m-%dT%H:%M"),
        "note": "steady",
    }
    return client.post(url("reading_new", sheet) + query, facts | typed)


def post_day(client, sheet, **typed):
    used = [str(row.pk) for row in sheet.assignments.filter(item__isnull=False)]
    return client.post(url("sheet_done_record", sheet), {"result": "fell", "used": used, "note": ""} | typed)


def test_from_a_reading_to_what_each_item_carried(browse, signed_in, climber, sheet):
    assert post_reading(signed_in(climber), sheet).status_code == 302
    assert post_day(browse, sheet).status_code == 302
    html = html_of(browse.get(url("sheet_done", sheet))).replace("\N{NO-BREAK SPACE}", " ")
    assert "Fell as planned" in html
    assert "2.10 kN" in html
    assert "Calculated from a reading" in html
    assert "Measured with L-01" in html
    assert "Cai Thrush" in html


def test_a_reading_after_the_day_was_recorded_asks_to_record_it_again(browse, sheet):
    post_day(browse, sheet)
    assert "came after the day was recorded" not in html_of(browse.get(url("sheet_done", sheet)))
    post_reading(browse, sheet)
    assert "came after the day was recorded" in html_of(browse.get(url("sheet_done", sheet)))
    again = browse.get(url("sheet_done_record", sheet))
    assert again.context["form"].initial["result"] == "fell"
    assert post_day(browse, sheet, result="split").status_code == 302
    assert DayRecord.objects.count() == 2


def test_a_reading_is_corrected_from_the_page(browse, sheet):
    post_reading(browse, sheet)
    wrong = Reading.objects.get()
    query = f"?corrects={wrong.pk}"
    assert browse.get(url("reading_new", sheet) + query).context["form"].initial["force_n"] == 2100.0
    assert post_reading(browse, sheet, query, force_n="1.9").status_code == 302
    assert "counts no more" in html_of(browse.get(url("sheet_done", sheet)))
    for number in ("x", "²"):
        assert browse.get(url("reading_new", sheet) + f"?corrects={number}").status_code == 404


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"kind": ""}, "kind"),
        ({"force_n": "0"}, "force_n"),
        ({"force_n": "2,1"}, "force_n"),
        ({"gauge": ""}, "gauge"),
        ({"moment": ""}, "moment"),
        ({"read_at": ""}, "read_at"),
        ({"read_at": "2020-01-01T10:00"}, "read_at"),
    ],
)
def test_a_refused_reading_keeps_what_was_typed(browse, sheet, typed, field):
    response = post_reading(browse, sheet, **typed)
    assert response.status_code == 422
    assert field in response.context["form"].errors
    assert "steady" in html_of(response)
    assert not Reading.objects.exists()


def test_a_refused_day_keeps_what_was_ticked_and_records_nothing(browse, sheet):
    one = str(sheet.assignments.filter(item__isnull=False).first().pk)
    response = post_day(browse, sheet, result="", used=[one], note="rope jammed")
    assert response.status_code == 422
    assert "rope jammed" in html_of(response)
    assert response.context["form"]["used"].value() == [one]
    assert not LoadRecord.objects.exists()


def test_every_item_that_was_to_hang_is_ticked_at_first(browse, sheet):
    form = browse.get(url("sheet_done_record", sheet)).context["form"]
    assert len(form.initial["used"]) == sheet.assignments.filter(item__isnull=False, rank=0).count()


def test_the_page_asks_a_fixed_number_of_questions(browse, sheet, django_assert_max_num_queries):
    for _ in range(4):
        post_reading(browse, sheet)
    post_day(browse, sheet)
    with django_assert_max_num_queries(16):
        browse.get(url("sheet_done", sheet))
