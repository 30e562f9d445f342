"""Signing in: from where, how often, the second step a company asks for, devices, and a shared one left alone."""

import time

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal.auth import TOTP, format_hotp_value, hotp_value, yield_hotp_counters_from_time
from allauth.usersessions.models import UserSession
from django.core.cache import cache
from django.core.exceptions import ImproperlyConfigured, ValidationError
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from crewlog.models import Company, SignInLimit, User
from crewlog.services.reminders import make_calendar
from crewlog.settings import env_count
from crewlog.signin.address import UNKNOWN, client_address, network
from crewlog.signin.browsers import browser_words
from crewlog.signin.known_device import COOKIE
from crewlog.signin.limits import DEVICE, PAIR, STRANGERS, Bucket, forget_empty, use_try

pytestmark = pytest.mark.django_db
PASSWORD = "heron-on-the-weir-7"
LOGIN = "/accounts/login/"
ATTACKER, OWNER = "203.0.113.9", "198.51.100.4"
FIREFOX = "Mozilla/5.0 (Windows NT 10.0; Win64; x64; rv:140.0) Gecko/20100101 Firefox/140.0"


@pytest.fixture(autouse=True)
def passwords(request):
    """Everybody of the cast can sign in with the one password."""
    for name in ("owner", "inspector", "climber"):
        if name in request.fixturenames:
            member = request.getfixturevalue(name)
            member.user.set_password(PASSWORD)
            member.user.save()


@pytest.fixture(autouse=True)
def _no_limits_left_over():
    cache.clear()


@pytest.fixture
def behind(settings):
    """A function that says how many proxies stand before."""

    def stand(count):
        settings.PROXIES = count

    return stand


def sign_in(client, member, password=PASSWORD, *, address=OWNER, **more):
    sent = {"login": member.user.email, "password": password, **more}
    return client.post(LOGIN, sent, REMOTE_ADDR=address, HTTP_USER_AGENT=FIREFOX)


def guess(member, times, *, address=ATTACKER, client=None):
    return [sign_in(client or Client(), member, f"wrong-{n}", address=address) for n in range(times)]


def is_in(client):
    return client.get(reverse("more")).status_code == 200


# the true address


@pytest.mark.parametrize(
    ("proxies", "forwarded", "address"),
    [
        (0, "198.51.100.4", "192.0.2.1"),
        (1, "198.51.100.4", "198.51.100.4"),
        (1, "10.9.9.9, 127.0.0.1, 198.51.100.4", "198.51.100.4"),
        (2, "10.9.9.9, 198.51.100.4, 192.0.2.8", "198.51.100.4"),
        (2, "198.51.100.4", "192.0.2.1"),
        (1, "", "192.0.2.1"),
        (1, "not-an-address", "192.0.2.1"),
        (1, "198.51.100.4:51234", "198.51.100.4"),
        (1, "[2001:db8::7]:443", "2001:db8::7"),
        (1, "::ffff:198.51.100.4", "198.51.100.4"),
    ],
)
def test_the_address_is_counted_from_the_right(behind, rf, proxies, forwarded, address):
    behind(proxies)
    assert client_address(rf.get("/", HTTP_X_FORWARDED_FOR=forwarded, REMOTE_ADDR="192.0.2.1")) == address


def test_a_request_over_a_socket_has_no_address(rf):
    assert client_address(rf.get("/", REMOTE_ADDR="")) == UNKNOWN


def test_an_ipv6_network_counts_as_one_place():
    assert network("2001:db8:1:2:aaaa::1") == network("2001:db8:1:2:bbbb::9")
    assert network("2001:db8:1:2::1") != network("2001:db8:1:3::1")
    assert network("198.51.100.4") == "198.51.100.4"


@pytest.mark.parametrize("text", ["-1", "one", "1.5", "6", ""])
def test_a_wrong_number_of_proxies_is_said_at_start(monkeypatch, text):
    monkeypatch.setenv("CREWLOG_PROXIES", text)
    with pytest.raises(ImproperlyConfigured, match="CREWLOG_PROXIES must be a whole number from 0 to 5"):
        env_count("CREWLOG_PROXIES", default=0, most=5)


# limits


def test_wrong_guesses_from_anywhere_do_not_keep_others_out(owner, climber, behind):
    behind(1)
    proxy = {"REMOTE_ADDR": "192.0.2.1"}
    for n in range(40):
        Client().post(
            LOGIN, {"login": f"nobody{n}@example.org", "password": "x"}, HTTP_X_FORWARDED_FOR=ATTACKER, **proxy
        )
    sent = {"login": climber.user.email, "password": PASSWORD}
    assert Client().post(LOGIN, sent, HTTP_X_FORWARDED_FOR=OWNER, **proxy).status_code == 302


def test_a_spoofed_address_gives_no_further_guesses(owner, behind):
    behind(1)
    answers = [
        Client().post(
            LOGIN,
            {"login": owner.user.email, "password": f"wrong-{n}"},
            HTTP_X_FORWARDED_FOR=f"10.0.0.{n}, {ATTACKER}",
            REMOTE_ADDR="192.0.2.1",
        )
        for n in range(8)
    ]
    assert ["Too many" in answer.content.decode() for answer in answers] == [False] * 5 + [True] * 3


def test_an_owner_is_not_locked_out_by_guesses_from_elsewhere(owner):
    assert "Too many" in guess(owner, 60)[-1].content.decode()
    assert "Too many" in sign_in(Client(), owner, address=ATTACKER).content.decode()
    assert sign_in(Client(), owner, address=OWNER).status_code == 302


def test_many_addresses_at_once_slow_strangers_only(owner, settings, monkeypatch):
    known = Client()
    sign_in(known, owner)
    known.post(reverse("account_logout"))
    full = [Bucket.of(STRANGERS, "password", owner.user.email)]
    while use_try(full) is None:
        pass
    stranger = sign_in(Client(), owner, address="198.51.100.77")
    assert "Too many" in stranger.content.decode()
    assert "set a new password by a link" in stranger.content.decode()
    assert sign_in(known, owner, address="198.51.100.77").status_code == 302


def test_a_known_device_has_tries_of_its_own_and_no_more_than_those(owner):
    known = Client()
    sign_in(known, owner)
    known.post(reverse("account_logout"))
    answers = guess(owner, DEVICE.tries + 1, client=known, address=OWNER)
    assert "Too many" not in answers[-2].content.decode()
    assert "Too many" in answers[-1].content.decode()
    assert sign_in(Client(), owner, address=OWNER).status_code == 302


def test_a_device_stays_known_until_the_password_changes(owner, rf):
    known = Client()
    sign_in(known, owner)
    known.post(reverse("account_logout"))
    owner.user.set_password("another-password-of-hers-9")
    owner.user.save()
    answers = guess(owner, PAIR.tries + 1, client=known)
    assert "Too many" in answers[-1].content.decode()


def test_a_forged_device_is_a_stranger(owner):
    forger = Client()
    forger.cookies[COOKIE] = "eyJkZXZpY2UiOiJ4In0:forged:signature"
    assert "Too many" in guess(owner, PAIR.tries + 1, client=forger)[-1].content.decode()


def test_an_unknown_account_is_limited_as_a_known_one_is(owner, climber):
    climber.user.email = "nobody@example.org"
    known, unknown = ([answer.content.decode() for answer in guess(who, 7)] for who in (owner, climber))
    assert ["Too many" in page for page in known] == ["Too many" in page for page in unknown]


def test_a_right_password_takes_its_try_back(owner):
    for _ in range(PAIR.tries * 3):
        assert sign_in(Client(), owner, address=OWNER).status_code == 302


def test_whoever_set_a_password_by_the_link_signs_in_from_a_known_device(owner, settings):
    from crewlog.services.invitation import password_link

    settings.SITE_ADDRESS = "http://testserver"
    client = Client()
    page = client.get(password_link(owner.user), follow=True)
    client.post(page.redirect_chain[-1][0], {"password1": "newer-heron-8-weir", "password2": "newer-heron-8-weir"})
    while use_try([Bucket.of(STRANGERS, "password", owner.user.email)]) is None:
        pass
    assert sign_in(client, owner, "newer-heron-8-weir").status_code == 302


def test_a_limit_fills_again_with_time(time_machine_now):
    bucket = [Bucket.of(PAIR, "x")]
    assert [use_try(bucket) is None for _ in range(6)] == [True] * 5 + [False]
    time_machine_now.shift(61)
    assert use_try(bucket) is None
    assert use_try(bucket).minutes == 1
    assert forget_empty() == 0
    time_machine_now.shift(3600)
    assert forget_empty() == 1


@pytest.fixture
def time_machine_now():
    import time_machine

    with time_machine.travel("2026-11-25T08:00:00Z", tick=False) as traveller:
        yield traveller


def test_the_table_of_limits_names_nobody(owner):
    guess(owner, 2)
    said = str(list(SignInLimit.objects.values_list("key")))
    assert owner.user.email not in said
    assert ATTACKER not in said


def test_the_remaining_limits_work_in_the_cache_that_is_run(owner, settings):
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "limits"}}
    call_command("createcachetable", verbosity=0)
    answers = [
        Client().post(reverse("account_reset_password"), {"email": f"a{n}@example.org"}, REMOTE_ADDR=ATTACKER)
        for n in range(21)
    ]
    assert [answer.status_code for answer in answers] == [302] * 20 + [429]
    assert "Wait a minute" in answers[-1].content.decode()
    mine = Client().post(reverse("account_reset_password"), {"email": owner.user.email}, REMOTE_ADDR=OWNER)
    assert mine.status_code == 302


# codes


def set_up_app(member):
    TOTP.activate(member.user, "JBSWY3DPEHPK3PXP")


def code_now():
    return format_hotp_value(hotp_value("JBSWY3DPEHPK3PXP", next(iter(yield_hotp_counters_from_time()))))


def test_codes_are_limited_by_device_and_address_as_passwords_are(owner):
    set_up_app(owner)
    attacker, mine = Client(), Client()
    assert sign_in(attacker, owner, address=ATTACKER)["Location"] == reverse("mfa_authenticate")
    tried = [attacker.post(reverse("mfa_authenticate"), {"code": f"00000{n}"}, REMOTE_ADDR=ATTACKER) for n in range(8)]
    assert "Too many" in tried[-1].content.decode()
    assert "Too many" not in tried[2].content.decode()
    sign_in(mine, owner)
    assert mine.post(reverse("mfa_authenticate"), {"code": code_now()}, REMOTE_ADDR=OWNER).status_code == 302
    assert is_in(mine)


# the second step by role


@pytest.fixture
def asks_owners(company):
    company.second_step_owners = True
    company.save()


def test_a_new_company_asks_nobody_for_a_second_step(owner, signed_in):
    assert signed_in(owner).get(reverse("store")).status_code == 200


def test_an_owner_without_the_second_step_gets_its_page_alone(asks_owners, owner, signed_in):
    client = signed_in(owner)
    for name in ("today", "store", "company", "crew", "records", "devices", "account_change_password"):
        answer = client.get(reverse(name))
        assert (answer.status_code, answer["Location"]) == (302, reverse("mfa_index")), name
    page = client.get(reverse("mfa_index"))
    assert page.status_code == 200
    assert "Set one up to go on" in page.content.decode()
    assert client.get(reverse("account_logout")).status_code == 200
    assert client.get(reverse("account_reset_password")).status_code == 200


def test_nothing_can_be_posted_without_it_either(asks_owners, owner, signed_in, company):
    answer = signed_in(owner).post(reverse("company"), {"name": "Changed"})
    assert answer["Location"] == reverse("mfa_index")
    assert Company.objects.get(pk=company.pk).name != "Changed"


def test_a_part_or_data_is_told_and_not_led_to_a_page(asks_owners, owner, signed_in):
    client = signed_in(owner)
    part = client.get(reverse("store"), headers={"HX-Request": "true"})
    assert (part.status_code, part["HX-Redirect"]) == (204, reverse("mfa_index"))
    data = client.post(reverse("store"), "{}", content_type="application/json")
    assert (data.status_code, data.json()["error"]) == (403, "second-step-missing")


def test_other_roles_go_on_and_inspectors_are_asked_apart(asks_owners, inspector, climber, signed_in, company):
    assert signed_in(climber).get(reverse("store")).status_code == 200
    assert signed_in(inspector).get(reverse("store")).status_code == 200
    company.second_step_inspectors = True
    company.save()
    assert signed_in(inspector).get(reverse("store"))["Location"] == reverse("mfa_index")


def test_with_it_everything_opens_and_the_last_one_cannot_be_switched_off(asks_owners, owner):
    client = Client()
    sign_in(client, owner)
    set_up_app(owner)
    assert client.get(reverse("store")).status_code == 200
    client.post(reverse("account_reauthenticate"), {"password": PASSWORD})
    client.post(reverse("mfa_deactivate_totp"))
    assert Authenticator.objects.filter(user=owner.user, type="totp").exists()


def test_recovery_codes_alone_are_no_second_step(asks_owners, owner, signed_in):
    Authenticator.objects.create(user=owner.user, type="recovery_codes", data={})
    assert signed_in(owner).get(reverse("store"))["Location"] == reverse("mfa_index")


def test_the_owner_sets_who_is_asked_and_it_stays_on_record(owner, signed_in, company):
    client = signed_in(owner)
    page = client.get(reverse("company"))
    initial = page.context["form"].initial
    sent = {
        **initial,
        "address": "1 New Row",
        "time_zone": "Europe/London",
        "second_step_inspectors": "on",
        "shared_idle_min": "30",
    }
    sent = {name: value for name, value in sent.items() if value is not False}
    assert client.post(reverse("company"), sent).status_code == 302
    company.refresh_from_db()
    assert (company.second_step_owners, company.second_step_inspectors, company.shared_idle_min) == (False, True, 30)
    refused = client.post(reverse("company"), {**sent, "shared_idle_min": "1"})
    assert refused.status_code == 422
    assert "5 to 240 minutes" in refused.content.decode()


# devices


def test_the_page_lists_devices_and_marks_this_one(owner):
    here, there = Client(), Client()
    sign_in(there, owner, address="198.51.100.20")
    sign_in(here, owner)
    page = here.get(reverse("devices"), HTTP_USER_AGENT=FIREFOX).content.decode()
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
    token = make_calendar(member=owner)
    here.post(reverse("devices_end"), {"do": "others"})
    assert is_in(here)
    assert not is_in(unlisted)
    assert Client().get(reverse("calendar_feed", args=[token])).status_code == 200
    assert "calendar address keeps working" in here.get(reverse("devices")).content.decode()


def test_every_device_is_signed_out_this_one_too(owner):
    here, there = Client(), Client()
    sign_in(there, owner)
    sign_in(here, owner)
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

    assert owner.user.get_session_auth_hash() == AbstractBaseUser._get_session_auth_hash(owner.user)


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
    assert gone["Location"] == f"{LOGIN}?next={reverse('store')}"
    page = client.get(gone["Location"]).content.decode()
    assert "was not used for 20 minutes" in page
    assert "was not used" not in client.get(LOGIN).content.decode()
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
