"""Every account page stands in our shell, without inline script, in our words."""

import re

import pytest
from django.contrib.auth import get_user_model
from django.urls import reverse

from tests.pages import html_of

pytestmark = pytest.mark.django_db
SIGNED_OUT = [
    "account_login",
    "account_signup",
    "account_reset_password",
    "account_reset_password_done",
    "account_inactive",
    "account_email_verification_sent",
]
SIGNED_IN = [
    "account_logout",
    "account_change_password",
    "account_email",
    "account_reauthenticate",
    "mfa_index",
    "mfa_activate_totp",
    "mfa_add_webauthn",
    "mfa_list_webauthn",
    "devices",
]


@pytest.fixture
def signed_in(client):
    """A sign-in without a company, its password given a moment ago."""
    user = get_user_model().objects.create_user(email="ada@example.org", password="quiet-lock-keeper-9")
    client.force_login(user)
    again = {"password": "quiet-lock-keeper-9", "next": reverse("mfa_index")}
    assert client.post(reverse("account_reauthenticate"), again).status_code == 302
    return client


def assert_stands_in_the_shell(response):
    page = html_of(response)
    assert response.status_code == 200
    assert 'class="bar"' in page
    assert page.count("<h1") == 1
    assert re.search(r"<title>[^<]+ · Crewlog</title>", page)
    assert not re.search(r"<script(?![^>]*(?:\ssrc=|type=\"application/json\"))|\sstyle=|placeholder", page)
    assert not re.search(r"\bplease\b|Are you sure", page, flags=re.IGNORECASE)
    for control in re.findall(r"<input(?![^>]*(?:hidden|radio|checkbox))[^>]*>", page):
        name = re.search(r'id="([^"]+)"', control).group(1)
        assert f'<label for="{name}"' in page


@pytest.mark.parametrize("name", SIGNED_OUT)
def test_page_for_anyone_stands_in_the_shell(client, name):
    assert_stands_in_the_shell(client.get(reverse(name)))


@pytest.mark.parametrize("name", SIGNED_IN)
def test_page_of_the_own_account_stands_in_the_shell(signed_in, name):
    assert_stands_in_the_shell(signed_in.get(reverse(name)))


def test_wrong_password_is_answered_with_a_summary(client):
    response = client.post(reverse("account_login"), {"login": "ada@example.org", "password": "not-the-password"})
    assert_stands_in_the_shell(response)
    assert "One thing to put right" in html_of(response)


def test_used_link_to_a_new_password_says_so(client):
    page = client.get(reverse("account_reset_password_from_key", args=["x", "y-z"]))
    assert_stands_in_the_shell(page)
    assert "This link no longer works" in html_of(page)


def test_authenticator_app_leads_to_recovery_codes_and_off_again(signed_in):
    from allauth.mfa.totp.internal.auth import format_hotp_value, hotp_value, yield_hotp_counters_from_time

    page = html_of(signed_in.get(reverse("mfa_activate_totp")))
    secret = re.search(r'id="secret" type="text" value="([A-Z2-7]+)"', page).group(1)
    code = format_hotp_value(hotp_value(secret, next(iter(yield_hotp_counters_from_time()))))
    answer = signed_in.post(reverse("mfa_activate_totp"), {"code": code})
    assert answer.status_code == 302
    codes = signed_in.get(reverse("mfa_view_recovery_codes"))
    assert_stands_in_the_shell(codes)
    assert html_of(codes).count("<li>") >= 10
    assert_stands_in_the_shell(signed_in.get(reverse("mfa_index")))
    assert_stands_in_the_shell(signed_in.get(reverse("mfa_generate_recovery_codes")))
    assert_stands_in_the_shell(signed_in.get(reverse("mfa_deactivate_totp")))
