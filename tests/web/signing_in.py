"""People signing in from places: shared by the tests of signing in."""

from allauth.mfa.totp.internal.auth import TOTP, format_hotp_value, hotp_value, yield_hotp_counters_from_time
from django.test import Client
from django.urls import reverse

PASSWORD = "heron-on-the-weir-7"
LOGIN = "/accounts/login/"
ATTACKER, OWNER = "203.0.113.9", "198.51.100.4"
FIREFOX = "Mozilla/5.0 (Windows NT 10.0; Win64; x64; rv:140.0) Gecko/20100101 Firefox/140.0"


def let_in(*members):
    """Everybody can sign in with the one password."""
    for member in members:
        member.user.set_password(PASSWORD)
        member.user.save()


def sign_in(client, member, password=PASSWORD, *, address=OWNER, **more):
    sent = {"login": member.user.email, "password": password, **more}
    return client.post(LOGIN, sent, REMOTE_ADDR=address, HTTP_USER_AGENT=FIREFOX)


def guess(member, times, *, address=ATTACKER, client=None):
    return [sign_in(client or Client(), member, f"wrong-{n}", address=address) for n in range(times)]


def is_in(client):
    return client.get(reverse("more")).status_code == 200


def set_up_app(member):
    TOTP.activate(member.user, "JBSWY3DPEHPK3PXP")


def code_now():
    return format_hotp_value(hotp_value("JBSWY3DPEHPK3PXP", next(iter(yield_hotp_counters_from_time()))))
