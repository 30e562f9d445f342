"""What every answer carries, and the addresses that programs ask for by convention."""

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.factories.gear import ItemFactory
from tests.files import close_file

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "name", ["today", "store", "crew", "company", "records", "jobs", "account_login", "list_template"]
)
def test_pages_are_kept_by_no_cache(owner, signed_in, name):
    answer = signed_in(owner).get(reverse(name))
    said = {word.strip() for word in answer["Cache-Control"].split(",")}
    assert {"private", "no-store"} <= said


def test_refusals_and_pages_not_found_are_kept_by_no_cache(climber, signed_in):
    client = signed_in(climber)
    for address in (reverse("company"), "/no/such/place/"):
        assert "no-store" in client.get(address)["Cache-Control"]


def test_static_files_and_the_worker_of_rounds_may_be_kept(owner, signed_in):
    client = signed_in(owner)
    style = client.get("/static/crewlog/crewlog.css")
    assert style.status_code == 200
    assert "no-store" not in style.get("Cache-Control", "")
    close_file(style)
    assert client.get(reverse("round_worker"))["Cache-Control"] == "no-cache"


def test_no_page_may_use_the_devices_sensors(owner, signed_in):
    policy = signed_in(owner).get(reverse("store"))["Permissions-Policy"]
    for name in ("camera", "microphone", "geolocation", "usb"):
        assert f"{name}=()" in policy


def test_the_icon_is_found_where_browsers_look_for_it():
    answer = Client().get("/favicon.ico", follow=True)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "image/svg+xml"
    answer.close()


def test_search_engines_are_told_to_stay_away():
    assert Client().get("/robots.txt").content.decode() == "User-agent: *\nDisallow: /\n"


def test_security_txt_names_the_contact_and_has_not_expired(settings):
    assert Client().get("/.well-known/security.txt").status_code == 404
    settings.SECURITY_CONTACT, settings.SITE_ADDRESS = "safety@crew.example", "https://crew.example"
    answer = Client().get("/.well-known/security.txt")
    said = dict(line.split(": ", 1) for line in answer.content.decode().splitlines())
    assert said["Contact"] == "mailto:safety@crew.example"
    assert said["Canonical"] == "https://crew.example/.well-known/security.txt"
    expires = dt.datetime.fromisoformat(said["Expires"])
    assert dt.timedelta(days=30) < expires - timezone.now() < dt.timedelta(days=366)
    settings.SECURITY_CONTACT = "https://crew.example/report"
    assert b"Contact: https://crew.example/report" in Client().get("/.well-known/security.txt").content


@pytest.mark.parametrize("number", [2**63, 2**64 + 1, 10**400])
@pytest.mark.parametrize("address", ["/jobs/{}/", "/stems/{}/", "/sheets/{}/pdf/", "/rounds/{}/", "/reports/{}/"])
def test_numbers_that_no_column_holds_are_at_no_address(owner, signed_in, address, number):
    assert signed_in(owner).get(address.format(number)).status_code == 404


@pytest.mark.parametrize(
    "address", ["/gear/B%00/", "/gear/%00/edit/", "/store/?q=a%00b", "/find/?tag=%00", "/store/?%00=1"]
)
def test_nul_is_in_no_address(owner, signed_in, address):
    assert signed_in(owner).get(address).status_code == 404


def test_nul_in_a_form_is_refused_at_its_box(owner, signed_in):
    item = ItemFactory(company=owner.company)
    answer = signed_in(owner).post(reverse("item_out", args=[item.tag]), {"because": "a\x00b"})
    assert answer.status_code == 422
    assert "Null characters are not allowed" in answer.content.decode()


def test_a_length_that_is_no_number_is_a_bad_request(owner, signed_in):
    answer = signed_in(owner).post(reverse("theme"), {}, headers={"Content-Length": "x"})
    assert answer.status_code == 400
