"""The calendar of a member: what it holds, who reads it, and when its address stops."""

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse
from icalendar import Calendar

from crewlog.evidence import verify
from crewlog.models import CalendarFeed, Membership, Record, User
from crewlog.people.reminders import make_calendar, revoke_calendar
from crewlog.people.services import end_membership
from gear.models import GearItem
from gear.reminders.days import reminders
from tests.factories.gear import ItemFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def rope(company):
    item = ItemFactory(company=company, rope=True, tag="R-07")
    GearItem.objects.filter(pk=item.pk).update(
        next_due_on=dt.date(2026, 3, 1),
        remark_due_on=dt.date(2026, 2, 1),
        remark="whip the end",
        borrowed_from="A neighbour",
        due_back_on=dt.date(2026, 4, 1),
        life_ends_on=None,
    )
    return item


def read(token):
    return Client().get(reverse("calendar_feed", args=[token]))


def events(answer):
    return {str(event["uid"]): event for event in Calendar.from_ical(answer.content).walk("VEVENT")}


def test_the_calendar_is_read_without_sign_in_and_kept_by_nobody(owner, rope):
    answer = read(make_calendar(actor=owner))
    assert answer.status_code == 200
    assert answer["Content-Type"].startswith("text/calendar")
    assert answer["Cache-Control"] == "private, no-store"
    assert answer["Referrer-Policy"] == "no-referrer"


def test_each_day_is_an_event_of_the_whole_day_with_alarms(owner, rope, settings):
    settings.SITE_ADDRESS = "https://gear.example.test"
    found = events(read(make_calendar(actor=owner)))
    due = found[f"{owner.company_id}-{rope.pk}-inspection@gear.example.test"]
    assert due.decoded("dtstart") == dt.date(2026, 3, 1)
    assert due.decoded("dtend") == dt.date(2026, 3, 2)
    assert str(due["summary"]) == "R-07: inspection due"
    assert str(due["url"]) == "https://gear.example.test/gear/R-07/"
    triggers = [alarm.decoded("trigger") for alarm in due.walk("VALARM")]
    assert triggers == [dt.timedelta(days=-6, hours=-15), dt.timedelta(hours=9)]
    remark = found[f"{owner.company_id}-{rope.pk}-remark@gear.example.test"]
    assert "whip the end" in str(remark["description"])
    back = found[f"{owner.company_id}-{rope.pk}-back@gear.example.test"]
    assert str(back["summary"]) == "R-07: due back to A neighbour"


def test_ids_of_events_stay_when_a_date_moves(owner, rope):
    token = make_calendar(actor=owner)
    before = set(events(read(token)))
    GearItem.objects.filter(pk=rope.pk).update(next_due_on=dt.date(2026, 3, 9))
    assert set(events(read(token))) == before


def test_another_companys_gear_and_retired_gear_are_no_part_of_it(owner, outsider, rope, company):
    ItemFactory(company=outsider.company, tag="X-01", overdue=True)
    ItemFactory(company=company, tag="X-02", retired=True)
    assert "X-0" not in read(make_calendar(actor=owner)).content.decode()


def test_a_new_address_ends_the_one_before_and_revoking_ends_it_too(owner):
    first = make_calendar(actor=owner)
    second = make_calendar(actor=owner)
    assert [read(first).status_code, read(second).status_code] == [404, 200]
    revoke_calendar(actor=owner)
    revoke_calendar(actor=owner)
    assert read(second).status_code == 404
    assert Record.objects.filter(kind="crewlog.calendar-revoked").count() == 1
    assert verify(owner.company).holds


def test_the_address_ends_with_the_membership(owner, climber, inspector, rope):
    tokens = {member: make_calendar(actor=member) for member in (climber, inspector)}
    end_membership(actor=owner, person=climber.person, on=owner.company.today())
    Membership.objects.filter(pk=inspector.pk).update(ends_on=dt.date(2020, 1, 1))
    assert [read(token).status_code for token in tokens.values()] == [404, 404]
    assert User.objects.filter(pk=climber.user_id, is_active=False).exists()


def test_the_address_is_stored_as_a_hash_and_shown_once(owner, signed_in):
    client = signed_in(owner)
    made = client.post(reverse("reminders"), {"do": "make"})
    address = made.context["address"]
    assert address in made.content.decode()
    assert made["Referrer-Policy"] == "same-origin"  # nothing to other sites, and our own forms keep their origin
    token = address.rstrip("/").split("/")[-2]
    assert len(token) >= 43
    assert not CalendarFeed.objects.filter(token_sha256=token).exists()
    assert read(token).status_code == 200
    again = client.get(reverse("reminders"))
    assert token not in again.content.decode()
    client.post(reverse("reminders"), {"do": "revoke"})
    assert read(token).status_code == 404


def test_reminders_cost_one_query_however_many(company, django_assert_num_queries):
    for n in range(4):
        ItemFactory(company=company, tag=f"B-{n}", overdue=True)
    with django_assert_num_queries(1):
        assert len(reminders(company, until=company.today())) == 4
