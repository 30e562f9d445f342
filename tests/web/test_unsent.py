"""What was sent and not done: nobody meets a blank page, and the device hears what was taken."""
# ruff: noqa: F401, F811 - fixtures of the access test

from urllib.parse import parse_qs, urlsplit

import pytest
from django.apps import apps
from django.contrib.messages import get_messages
from django.core import signing
from django.test import Client
from django.urls import get_resolver, resolve, reverse

from crewlog.models import Role
from crewlog.unsent.note import SALT, read_note, with_note, without_note
from tests.factories.crewlog import PASSWORD
from tests.files import close_file
from tests.pages import html_of
from tests.web.test_access import ROWS, arguments, lapsed, split_row

pytestmark = pytest.mark.django_db
TOKEN = "0123456789abcdef"


def every_view(resolver):
    for pattern in resolver.url_patterns:
        if hasattr(pattern, "url_patterns"):
            yield from every_view(pattern)
        else:
            yield pattern.name, pattern.callback


POSTS_ONLY = sorted(name for name, view in every_view(get_resolver()) if hasattr(view, "does"))


def counts():
    """How many rows each table of ours holds."""
    ours = [model for label in ("crewlog", "gear", "jobs") for model in apps.get_app_config(label).get_models()]
    return {model._meta.label: model._default_manager.count() for model in ours}


def addresses(arguments):
    """Each named address once, with what it needs."""
    for name, needed, _, statuses in map(split_row, ROWS):
        yield name, reverse(name, kwargs={k: v for key in needed for k, v in arguments[key].items()}), statuses


def told(response):
    return [str(message) for message in get_messages(response.wsgi_request)]


def test_the_addresses_that_only_take_posts_are_the_ones_known():
    assert {"plan_set", "plan_keep", "plan_try", "duty_remove", "sheet_issue", "theme", "person_invite"} <= set(
        POSTS_ONLY
    )
    assert len(POSTS_ONLY) >= 18


@pytest.mark.parametrize("person", ["owner", "inspector"])
def test_no_address_answers_a_reader_with_a_blank_page(request, arguments, signed_in, person):
    client = signed_in(request.getfixturevalue(person))
    blank = set()
    for name, address, _ in addresses(arguments):
        answer = client.get(address)
        close_file(answer)
        blank |= {name} if answer.status_code == 405 else set()
    assert blank == set()


def posts_only_addresses(request, arguments):
    """Each such address with somebody who may use its page."""
    people = {
        name: request.getfixturevalue("inspector" if name.startswith("round") else "owner") for name in POSTS_ONLY
    }
    return [(name, address, people[name]) for name, address, _ in addresses(arguments) if name in POSTS_ONLY]


def test_an_address_that_only_takes_posts_leads_a_reader_to_its_page_and_does_nothing(request, arguments, signed_in):
    before = counts()
    for name, address, person in posts_only_addresses(request, arguments):
        client = signed_in(person)
        answer = client.get(address, follow=True)
        assert answer.status_code == 200, name
        assert answer.redirect_chain
        assert resolve(answer.redirect_chain[-1][0].split("#")[0]).url_name != name
        assert counts() == before, name
        does = vars(resolve(address).func)["does"]
        if does:
            assert f"“{does}” was not done. Use its button on this page." in html_of(answer)
        assert client.head(address).status_code == 302
        assert client.put(address).status_code == 405


def test_a_duty_removed_meanwhile_leads_to_the_jobs(owner, signed_in, arguments, outsider):
    assert signed_in(owner).get(reverse("duty_remove", args=[999_999]))["Location"] == reverse("jobs")
    address = reverse("duty_remove", kwargs=arguments["duty_id"])
    assert signed_in(outsider).get(address)["Location"] == reverse("jobs")


def sign_in_at(client, where, user):
    return client.post(where, {"login": user.email, "password": PASSWORD}, follow=True)


def test_after_a_dead_session_one_is_led_back_to_the_page_with_one_line(request, arguments, signed_in):
    before = counts()
    for name, address, person in posts_only_addresses(request, arguments):
        if name == "theme":
            continue  # asked by anybody, signed in or not
        away = Client().post(address, {"label": "typed"})
        assert counts() == before, name
        where = parse_qs(urlsplit(away["Location"]).query)["next"][0]
        back = signed_in(person).get(where, follow=True)
        assert back.status_code == 200, name
        page = html_of(back)
        assert page.count(f"“{vars(resolve(address).func)['does']}” was not done: the sign-in had ended.") == 1
        assert "Use its button" not in page
        assert "not-done" not in back.redirect_chain[-1][0]


def test_a_page_that_takes_its_own_form_says_that_nothing_was_saved(owner):
    away = Client().post(reverse("job_new"), {"client": "x"})
    client = Client()
    back = sign_in_at(client, away["Location"], owner.user)
    assert back.redirect_chain[-1][0] == reverse("job_new")
    assert "Nothing was saved: the sign-in had ended." in html_of(back)
    assert "the sign-in had ended" not in html_of(client.get(reverse("job_new")))


def test_a_dead_session_leads_an_htmx_request_back_to_the_page_it_came_from(arguments):
    stem = arguments["stem_id"]
    page = reverse("plan", kwargs=stem)
    headers = {"HX-Request": "true", "HX-Current-URL": f"http://testserver{page}?a=b"}
    answer = Client().post(reverse("plan_try", kwargs=stem), {}, headers=headers)
    assert answer.status_code == 204
    where = parse_qs(urlsplit(answer["HX-Redirect"]).query)["next"][0]
    assert urlsplit(where).path == page
    assert (
        read_note(parse_qs(urlsplit(where).query)["not-done"][0])
        == "“Work it out” was not done: the sign-in had ended."
    )


def test_another_sites_page_is_not_gone_back_to():
    headers = {"HX-Request": "true", "HX-Current-URL": "https://elsewhere.example/x/"}
    answer = Client().get(reverse("store"), headers=headers)
    assert parse_qs(urlsplit(answer["HX-Redirect"]).query)["next"] == [reverse("store")]


def test_a_note_that_is_not_ours_is_not_told(owner, signed_in):
    for note in ("Keep", signing.dumps("Keep", salt="another")):
        answer = signed_in(owner).get(reverse("jobs"), {"not-done": note})
        assert answer.status_code == 200
        assert "was not done" not in html_of(answer)
    assert read_note(signing.dumps("Keep", salt=SALT)) == "“Keep” was not done: the sign-in had ended."


def test_a_note_takes_the_place_of_an_older_one_and_leaves_the_rest():
    twice = with_note(with_note("/store/?q=a&s=", "One"), "Two")
    assert twice.count("not-done=") == 1
    assert without_note(twice) == "/store/?q=a&s="


def test_what_was_accepted_is_named_to_the_device_and_a_refusal_is_not(owner, signed_in, arguments):
    client = signed_in(owner)
    job = arguments["job_id"]
    refused = client.post(reverse("stem_new", kwargs=job), {"_draft": TOKEN})
    assert refused.status_code == 422
    assert "drafts-taken" not in refused.cookies
    person = arguments["person_id"]
    taken = client.post(reverse("person_edit", kwargs=person), {"name": "Orla Quenby", "_draft": TOKEN})
    assert taken.status_code == 302
    cookie = taken.cookies["drafts-taken"]
    assert cookie.value == TOKEN
    assert cookie["httponly"] == ""
    assert cookie["samesite"] == "Lax"
    more = client.post(reverse("person_edit", kwargs=person), {"name": "Orla Quenby", "_draft": "f" * 16})
    assert more.cookies["drafts-taken"].value == f"{TOKEN}.{'f' * 16}"


def test_a_refusal_that_leads_on_keeps_the_draft(owner, signed_in, arguments):
    answer = signed_in(owner).post(reverse("plan_set", kwargs=arguments["stem_id"]), {"change": "no", "_draft": TOKEN})
    assert answer.status_code == 302
    assert "drafts-taken" not in answer.cookies


@pytest.mark.parametrize("token", ["", "0123", "g" * 16, f"{TOKEN};x", TOKEN.upper() * 9])
def test_what_is_no_token_is_not_sent_back(owner, signed_in, token):
    answer = signed_in(owner).post(
        reverse("person_edit", args=[owner.person_id]), {"name": "Orla Quenby", "_draft": token}
    )
    assert answer.status_code == 302
    assert "drafts-taken" not in answer.cookies


def test_a_dead_session_names_nothing_as_accepted():
    answer = Client().post(reverse("job_new"), {"_draft": TOKEN})
    assert answer.status_code == 302
    assert "drafts-taken" not in answer.cookies


def test_a_page_asks_who_is_here(owner, signed_in):
    assert Client().get(reverse("who_is_here")).json()["person"] == ""
    client = signed_in(owner)
    answer = client.get(reverse("who_is_here"))
    assert answer.json()["person"] == str(owner.person_id)
    assert "no-store" in answer["Cache-Control"]
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = client.cookies
    token = strict.get(reverse("who_is_here")).json()["token"]
    sent = {"name": "Orla Quenby", "csrfmiddlewaretoken": token}
    assert strict.post(reverse("person_edit", args=[owner.person_id]), sent).status_code == 302


def test_a_stale_token_says_what_was_not_done_and_leads_back(owner, signed_in, arguments):
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = signed_in(owner).cookies
    address = reverse("plan_keep", kwargs=arguments["stem_id"])
    before = counts()
    answer = strict.post(address, {"_draft": TOKEN})
    page = html_of(answer)
    assert answer.status_code == 403
    assert "<h1>Not saved</h1>" in page
    assert "“Keep as revision” was not done." in page
    assert f'href="{address}"' in page
    assert "drafts-taken" not in answer.cookies
    assert counts() == before
    assert strict.get(address)["Location"] == reverse("plan", kwargs=arguments["stem_id"])


def test_a_lapsed_member_is_nobody_here(signed_in, lapsed):
    assert lapsed.role == Role.AUDITOR
    assert signed_in(lapsed).get(reverse("who_is_here")).json()["person"] == ""
    assert signed_in(lapsed).get(reverse("duty_remove", args=[1]))["Location"] == reverse("jobs")
