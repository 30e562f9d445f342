"""Devices that are signed in: listed, ended, and a shared one that was left alone."""

import re
import time
from typing import Any
from urllib.parse import unquote

import pytest
from allauth.usersessions.models import UserSession
from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from crewlog.models import User
from crewlog.people.reminders import make_calendar
from crewlog.signin.browsers import browser_words
from crewlog.signin.known_device import COOKIE
from tests.pages import html_of
from tests.web.signing_in import (
    FIREFOX,
    LOGIN,
    PASSWORD,
    code_now,
    is_in,
    let_in,
    set_up_app,
    sign_in,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def passwords(request):
    """Everybody of the cast can sign in with the one password."""
    cache.clear()
    let_in(
        *(request.getfixturevalue(name) for name in ("owner", "inspector", "climber") if name in request.fixturenames)
    )


def test_the_page_lists_devices_and_marks_this_one(owner):
    here, there = Client(), Client()
    sign_in(there, owner, address="198.51.100.20")
    sign_in(here, owner)
    page = html_of(here.get(reverse("devices"), HTTP_USER_AGENT=FIREFOX))
    assert page.count("Firefox on Windows") >= 2
    assert "198.51.100.20" in page
    assert page.count("This device") == 1


def test_one_device_is_signed_out_and_the_other_goes_on(owner):
    here, there = Client(), Client()
    sign_in(there, owner)
    sign_in(here, owner)
    row = UserSession.objects.get(session_key=there.session.session_key)
    assert here.post(reverse("device_end", args=[row.pk])).status_code == 302
    assert is_in(here)
    assert not is_in(there)
    assert not UserSession.objects.filter(pk=row.pk).exists()


def test_nobody_signs_out_the_device_of_another(owner, climber):
    mine, theirs = Client(), Client()
    sign_in(mine, owner)
    sign_in(theirs, climber)
    row = UserSession.objects.get(session_key=theirs.session.session_key)
    mine.post(reverse("device_end", args=[row.pk]))
    assert is_in(theirs)


def test_every_other_device_is_signed_out_also_one_that_no_list_names(owner, signed_in):
    here, unlisted = Client(), signed_in(owner)
    sign_in(here, owner)
    token = make_calendar(actor=owner)
    here.post(reverse("devices_end"), {"do": "others"})
    assert is_in(here)
    assert not is_in(unlisted)
    assert Client().get(reverse("calendar_feed", args=[token])).status_code == 200
    assert "calendar address keeps working" in html_of(here.get(reverse("devices")))


def test_every_device_is_signed_out_this_one_too(owner):
    here, there = Client(), Client()
    sign_in(there, owner)
    sign_in(here, owner)
    forms = re.findall(r"<form.*?</form>", html_of(here.get(reverse("devices"))), re.S)
    leaving = [form for form in forms if "data-sign-out" in form]  # what was typed on this device is forgotten
    assert [re.findall(r'value="(all|others)"', form) for form in leaving] == [["all"]]
    assert here.post(reverse("devices_end"), {"do": "all"})["Location"] == LOGIN
    assert not is_in(here)
    assert not is_in(there)
    assert not UserSession.objects.exists()


def test_a_changed_password_signs_the_other_devices_out(owner):
    here, there = Client(), Client()
    sign_in(there, owner)
    sign_in(here, owner)
    sent = {"oldpassword": PASSWORD, "password1": "newer-heron-8-weir", "password2": "newer-heron-8-weir"}
    assert here.post(reverse("account_change_password"), sent).status_code == 302
    assert is_in(here)
    assert not is_in(there)


def test_sessions_from_before_stay_good(owner):
    assert User(password="x").get_session_auth_hash() != User(password="x", session_epoch=1).get_session_auth_hash()
    from django.contrib.auth.base_user import AbstractBaseUser

    plain: Any = AbstractBaseUser
    assert owner.user.get_session_auth_hash() == plain._get_session_auth_hash(owner.user)


def test_signing_out_forgets_browser_and_address_at_once(owner):
    client = Client()
    sign_in(client, owner)
    assert UserSession.objects.count() == 1
    client.post(reverse("account_logout"))
    assert not UserSession.objects.exists()


def test_browser_and_address_go_with_the_session(owner):
    client = Client()
    sign_in(client, owner)
    client.session.delete()
    call_command("sweep_sign_ins")
    assert not UserSession.objects.exists()


@pytest.mark.parametrize(
    ("agent", "words"),
    [
        (FIREFOX, "Firefox on Windows"),
        ("Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 Chrome/140.0 Mobile Safari/537.36", "Chrome on Android"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X) Version/19.0 Safari/604.1", "Safari on an iPhone"),
        ("", "an unknown browser"),
        ("<script>alert(1)</script>", "an unknown browser"),
    ],
)
def test_a_browser_is_named_in_words(agent, words):
    assert browser_words(agent) == words


# a shared device


def left_alone(client, minutes):
    session = client.session
    session["seen_at"] = int(time.time()) - 60 * minutes
    session.save()


def test_a_shared_device_is_signed_out_when_it_was_left_alone(owner):
    client = Client()
    answer = sign_in(client, owner, shared="on")
    assert answer.cookies["sessionid"]["max-age"] == ""
    left_alone(client, 19)
    assert is_in(client)
    left_alone(client, 21)
    gone = client.get(reverse("store"))
    assert unquote(gone["Location"]) == f"{LOGIN}?next={reverse('store')}"
    page = html_of(client.get(gone["Location"]))
    assert "was not used for 20 minutes" in page
    assert "was not used" not in html_of(client.get(LOGIN))
    assert not UserSession.objects.exists()


def test_the_company_says_after_how_many_minutes(owner, company):
    company.shared_idle_min = 5
    company.save()
    client = Client()
    sign_in(client, owner, shared="on")
    left_alone(client, 6)
    assert not is_in(client)


def test_ones_own_device_stays_signed_in(owner):
    client = Client()
    answer = sign_in(client, owner)
    assert int(answer.cookies["sessionid"]["max-age"]) == 14 * 24 * 60 * 60
    left_alone(client, 60 * 24)
    assert is_in(client)


def test_a_shared_device_is_not_known_afterwards(owner):
    client = Client()
    sign_in(client, owner, shared="on")
    assert COOKIE not in client.cookies


def test_a_shared_device_stays_shared_through_the_second_step(owner):
    set_up_app(owner)
    client = Client()
    sign_in(client, owner, shared="on")
    answer = client.post(reverse("mfa_authenticate"), {"code": code_now()})
    assert answer.status_code == 302
    assert COOKIE not in client.cookies
    left_alone(client, 21)
    assert not is_in(client)


@pytest.mark.parametrize("minutes", [4, 241])
def test_the_minutes_stay_within_bounds(company, minutes):
    company.shared_idle_min = minutes
    with pytest.raises(ValidationError, match="5 to 240"):
        company.full_clean()
