"""From where somebody signs in, and how often it may be tried."""

import pytest
from django.core.cache import cache
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from crewlog.models import SignInLimit
from crewlog.settings import env_count
from crewlog.signin.address import UNKNOWN, client_address, network
from crewlog.signin.known_device import COOKIE
from crewlog.signin.limits import DEVICE, PAIR, STRANGERS, Bucket, forget_empty, use_try
from tests.given import Given
from tests.pages import html_of
from tests.web.signing_in import ATTACKER, LOGIN, OWNER, PASSWORD, code_now, guess, is_in, let_in, set_up_app, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def passwords(request):
    """Everybody of the cast can sign in with the one password."""
    cache.clear()
    let_in(
        *(request.getfixturevalue(name) for name in ("owner", "inspector", "climber") if name in request.fixturenames)
    )


@pytest.fixture
def behind(settings):
    """A function that says how many proxies stand before."""

    def stand(count):
        settings.PROXIES = count

    return stand


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
        env_count("CREWLOG_PROXIES", default=0, max_value=5)


# limits


def test_wrong_guesses_from_anywhere_do_not_keep_others_out(owner, climber, behind):
    behind(1)
    proxy: Given = {"REMOTE_ADDR": "192.0.2.1"}
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
    assert ["Too many" in html_of(answer) for answer in answers] == [False] * 5 + [True] * 3


def test_an_owner_is_not_locked_out_by_guesses_from_elsewhere(owner):
    assert "Too many" in html_of(guess(owner, 60)[-1])
    assert "Too many" in html_of(sign_in(Client(), owner, address=ATTACKER))
    assert sign_in(Client(), owner, address=OWNER).status_code == 302


def test_many_addresses_at_once_slow_strangers_only(owner, settings, monkeypatch):
    known = Client()
    sign_in(known, owner)
    known.post(reverse("account_logout"))
    full = [Bucket.of(STRANGERS, "password", owner.user.email)]
    while use_try(full) is None:
        pass
    stranger = sign_in(Client(), owner, address="198.51.100.77")
    assert "Too many" in html_of(stranger)
    assert "set a new password by a link" in html_of(stranger)
    assert sign_in(known, owner, address="198.51.100.77").status_code == 302


def test_a_known_device_has_tries_of_its_own_and_no_more_than_those(owner):
    known = Client()
    sign_in(known, owner)
    known.post(reverse("account_logout"))
    answers = guess(owner, DEVICE.tries + 1, client=known, address=OWNER)
    assert "Too many" not in html_of(answers[-2])
    assert "Too many" in html_of(answers[-1])
    assert sign_in(Client(), owner, address=OWNER).status_code == 302


def test_a_device_stays_known_until_the_password_changes(owner, rf):
    known = Client()
    sign_in(known, owner)
    known.post(reverse("account_logout"))
    owner.user.set_password("another-password-of-hers-9")
    owner.user.save()
    answers = guess(owner, PAIR.tries + 1, client=known)
    assert "Too many" in html_of(answers[-1])


def test_a_forged_device_is_a_stranger(owner):
    forger = Client()
    forger.cookies[COOKIE] = "eyJkZXZpY2UiOiJ4In0:forged:signature"
    assert "Too many" in html_of(guess(owner, PAIR.tries + 1, client=forger)[-1])


def test_an_unknown_account_is_limited_as_a_known_one_is(owner, climber):
    climber.user.email = "nobody@example.org"
    known, unknown = ([html_of(answer) for answer in guess(who, 7)] for who in (owner, climber))
    assert ["Too many" in page for page in known] == ["Too many" in page for page in unknown]


def test_a_right_password_takes_its_try_back(owner):
    for _ in range(PAIR.tries * 3):
        assert sign_in(Client(), owner, address=OWNER).status_code == 302


def test_whoever_set_a_password_by_the_link_signs_in_from_a_known_device(owner, settings):
    from crewlog.people.invitation import password_link

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
    assert "Wait a minute" in html_of(answers[-1])
    mine = Client().post(reverse("account_reset_password"), {"email": owner.user.email}, REMOTE_ADDR=OWNER)
    assert mine.status_code == 302


# codes


def test_codes_are_limited_by_device_and_address_as_passwords_are(owner):
    set_up_app(owner)
    attacker, mine = Client(), Client()
    assert sign_in(attacker, owner, address=ATTACKER)["Location"] == reverse("mfa_authenticate")
    tried = [attacker.post(reverse("mfa_authenticate"), {"code": f"00000{n}"}, REMOTE_ADDR=ATTACKER) for n in range(8)]
    assert "Too many" in html_of(tried[-1])
    assert "Too many" not in html_of(tried[2])
    sign_in(mine, owner)
    assert mine.post(reverse("mfa_authenticate"), {"code": code_now()}, REMOTE_ADDR=OWNER).status_code == 302
    assert is_in(mine)
