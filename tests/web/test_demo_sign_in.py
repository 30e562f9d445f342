"""Signing in with one press is the demo's own: no other database, process, machine or proxy offers it."""

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from crewlog import demo
from crewlog.demo import served
from crewlog.demo.people import offered
from jobs.demo.tries import tries_for
from tests.factories.crewlog import MembershipFactory
from tests.pages import html_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def marked(monkeypatch):
    """A database that carries the demo's mark."""
    monkeypatch.setattr(served, "is_demo_database", lambda: True)


@pytest.fixture
def serving(monkeypatch):
    """A process that the demo's command serves from."""
    monkeypatch.setattr(served.Serving, "by_the_demo", True)


def asked(member, **more):
    """(does the page offer people, what one press answers)."""
    facts = {"HTTP_HOST": "127.0.0.1:8000", **more}
    client = Client()
    page = html_of(client.get(reverse("account_login"), **facts))
    answer = client.post(reverse("demo_sign_in", args=[member.pk]), **facts)
    return "Sign in to the demo as" in page, answer.status_code


def test_the_demo_signs_in_with_one_press_by_role(marked, serving, owner, climber, auditor):
    client = Client()
    page = html_of(client.get(reverse("account_login"), HTTP_HOST="127.0.0.1:8000"))
    places = [page.index(f"<b>{role}</b>") for role in ("Owner", "Crew member", "Auditor")]
    assert places == sorted(places)
    answer = client.post(reverse("demo_sign_in", args=[climber.pk]), HTTP_HOST="127.0.0.1:8000")
    assert answer.status_code == 302
    assert client.get(reverse("more")).context["request"].member == climber


def test_a_database_without_the_mark_offers_nothing_even_when_the_demo_serves(serving, owner, settings):
    settings.DEBUG = settings.LOCAL = True
    assert asked(owner) == (False, 404)


def test_a_database_with_the_mark_offers_nothing_when_something_else_serves(marked, owner, settings, monkeypatch):
    settings.DEBUG = settings.LOCAL = True
    for name in ("CREWLOG_DEMO", "CREWLOG_LOCAL", "CREWLOG_DEBUG"):
        monkeypatch.setenv(name, "yes")
    assert asked(owner) == (False, 404)


@pytest.mark.parametrize(
    "from_elsewhere",
    [
        {"REMOTE_ADDR": "192.0.2.7"},
        {"HTTP_X_FORWARDED_FOR": "127.0.0.1"},
        {"HTTP_FORWARDED": "for=127.0.0.1"},
        {"HTTP_X_FORWARDED_HOST": "demo.example"},
        {"HTTP_X_REAL_IP": "203.0.113.8"},
        {"HTTP_HOST": "demo.example:8000"},
        {"HTTP_HOST": "127.0.0.1.evil.example:8000"},
    ],
)
def test_nobody_from_another_machine_is_offered_anything(marked, serving, owner, settings, from_elsewhere):
    settings.ALLOWED_HOSTS = ["*"]
    assert asked(owner, **from_elsewhere) == (False, 404)


def test_behind_a_proxy_nothing_is_offered(marked, serving, owner, settings):
    settings.PROXIES = 1
    assert asked(owner) == (False, 404)


def test_a_reader_of_the_address_is_not_signed_in(marked, serving, owner):
    answer = Client().get(reverse("demo_sign_in", args=[owner.pk]), HTTP_HOST="127.0.0.1:8000")
    assert answer.status_code == 405


def test_who_may_not_sign_in_is_not_offered(owner, climber, company):
    climber.user.is_active = False
    climber.user.save()
    MembershipFactory(company=company, role="auditor", ends_on="2020-01-01")
    assert [one.id for one in offered()] == [owner.pk]


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the mark of SQLite's own file")
def test_the_mark_is_read_from_the_database():
    assert not demo.is_demo_database()
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA application_id = {demo.DEMO_MARK}")
        try:
            assert demo.is_demo_database()
        finally:
            cursor.execute("PRAGMA application_id = 0")


def test_a_real_company_is_named_nothing_to_try(owner, signed_in):
    assert tries_for(owner) == ()
    assert "Things to try" not in html_of(signed_in(owner).get(reverse("today")))
