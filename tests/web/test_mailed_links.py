"""Links by mail, as pages give them: from our address, to whom they belong, and shown to the owner without mail."""

import re

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from crewlog.mail.outbox import send_due
from crewlog.models import Record
from crewlog.models.mail import QueuedMail
from crewlog.people.invitation import show_link
from tests.factories.crewlog import PersonFactory
from tests.given import Given
from tests.mail_server import put_in_place
from tests.pages import html_of

pytestmark = pytest.mark.django_db
PASSWORD = "heron-on-the-weir-7"


@pytest.fixture
def server(settings):
    return put_in_place(settings)


@pytest.fixture
def client_of(signed_in, owner):
    return signed_in(owner)


def test_no_page_fails_when_the_mail_server_is_away(server, client_of, climber, owner):
    server.does = TimeoutError("timed out")
    answer = client_of.post(reverse("person_invite", args=[climber.person_id]))
    assert answer.status_code == 302
    assert send_due().failed == 1
    page = html_of(client_of.get(reverse("person", args=[climber.person_id])))
    assert "waits: timed out" in page


def test_a_link_comes_from_our_address_whatever_host_was_asked(server, settings, owner, climber):
    settings.SITE_ADDRESS = "https://crew.example"
    settings.ALLOWED_HOSTS = ["*"]
    owner.user.set_password(PASSWORD)
    owner.user.save()
    poisoned: Given = {"HTTP_HOST": "evil.example", "HTTP_X_FORWARDED_HOST": "evil.example"}
    Client().post(reverse("account_reset_password"), {"email": owner.user.email}, **poisoned)
    client = Client()
    client.force_login(owner.user, backend="allauth.account.auth_backends.AuthenticationBackend")
    client.post(reverse("person_invite", args=[climber.person_id]), **poisoned)
    client.post(
        reverse("account_change_password"),
        {"oldpassword": PASSWORD, "password1": f"{PASSWORD}-2", "password2": f"{PASSWORD}-2"},
        **poisoned,
    )
    assert send_due().sent == 3
    for message in server.taken:
        assert "https://crew.example" in message.body
        assert "evil" not in message.body + str(message.extra_headers)


def test_an_unknown_address_gets_no_mail_and_the_page_says_the_same(owner):
    answers = []
    for email in (owner.user.email, "nobody@example.org"):
        answer = Client().post(reverse("account_reset_password"), {"email": email}, follow=True)
        token = r"\w{64}"  # of the form
        answers.append((answer.redirect_chain, re.sub(token, "", html_of(answer))))
    assert answers[0] == answers[1]
    assert [row.to for row in QueuedMail.objects.all()] == [owner.user.email]


def test_an_unknown_address_costs_as_many_writes_as_a_known_one(owner):
    """Writes are what takes time: each is put on the disk before the page answers."""
    counts = []
    for email in (owner.user.email, "nobody@example.org"):
        with connection.execute_wrapper(counter := Counter()):
            Client().post(reverse("account_reset_password"), {"email": email})
        counts.append(counter.commits)
    assert abs(counts[0] - counts[1]) <= 1


class Counter:
    """Counts statements that write mail."""

    def __init__(self):
        self.commits = 0

    def __call__(self, execute, sql, params, many, context):
        if sql.startswith(("INSERT", "DELETE", "UPDATE")) and "queuedmail" in sql:
            self.commits += 1
        return execute(sql, params, many, context)


def test_at_most_three_links_an_hour_go_to_an_address(owner):
    for _ in range(6):
        answer = Client().post(reverse("account_reset_password"), {"email": owner.user.email})
        assert answer.status_code == 302
    assert QueuedMail.objects.filter(kind="password_reset").count() <= 3


def test_a_changed_password_is_told(server, owner, company):
    company.time_zone = "Europe/London"
    company.save()
    owner.user.set_password(PASSWORD)
    owner.user.save()
    client = Client(HTTP_USER_AGENT="Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0")
    assert client.post(reverse("account_login"), {"login": owner.user.email, "password": PASSWORD}).status_code == 302
    sent = {"oldpassword": PASSWORD, "password1": f"{PASSWORD}-2", "password2": f"{PASSWORD}-2"}
    client.post(reverse("account_change_password"), sent)
    send_due()
    (message,) = server.taken
    assert message.subject == "Your password was changed"
    assert "Firefox on Linux at 127.0.0.1" in message.body
    assert "Europe/London" in message.body


def test_every_mail_of_the_library_has_words_of_ours(owner, rf):
    from crewlog.signin import mails

    for prefix in (*mails.LINKS, *mails.NOTICES):
        facts = {"user": owner.user, "password_reset_url": f"https://crew.example/{prefix}"}
        mails.queue(prefix, "orla@example.org", facts, rf.get("/"))
    rows = QueuedMail.objects.all()
    assert len({row.subject for row in rows}) >= 8
    assert len(rows) >= len(mails.NOTICES) + 2
    for row in rows:
        assert row.subject
        assert "please" not in row.body.lower()
        assert "None" not in row.body


# without mail


def test_without_mail_the_owner_sees_the_link_and_nothing_is_queued(settings, client_of, company):
    settings.MAIL_IS_SET_UP = False
    settings.SITE_ADDRESS = "http://testserver"
    person = PersonFactory(company=company)
    asked = html_of(client_of.get(reverse("person_sign_in", args=[person.pk])))
    assert "Give it and show the link" in asked
    page = client_of.post(reverse("person_sign_in", args=[person.pk]), {"email": "wren@example.test", "role": "crew"})
    text = html_of(page)
    assert page.status_code == 200
    assert "no-store" in page["Cache-Control"]
    assert "within 3 days" in text
    link = page.context["link"]
    assert link.startswith("http://testserver/accounts/password/reset/key/")
    assert not QueuedMail.objects.exists()
    assert Client().get(link, follow=True).status_code == 200
    again = html_of(client_of.get(reverse("person", args=[person.pk])))
    assert "Mail is not set up" in again
    assert link not in again


def test_a_sign_in_given_with_its_link_shown_is_recorded_once_and_its_draft_accepted(settings, client_of, company):
    settings.MAIL_IS_SET_UP = False
    person = PersonFactory(company=company)
    where = reverse("person_sign_in", args=[person.pk])
    sent = {"email": "wren@example.test", "role": "crew", "form_key": "k" * 24, "_draft": "0123456789abcdef"}
    page = client_of.post(where, sent)
    assert page.context["link"]
    assert page.cookies["drafts-taken"].value == "0123456789abcdef"
    assert client_of.post(where, sent)["Location"] == reverse("person", args=[person.pk])
    shown = {"do": "show", "form_key": "s" * 24}
    for _ in range(2):
        answer = client_of.post(reverse("person_invite", args=[person.pk]), shown)
    assert answer["Location"] == reverse("person", args=[person.pk])
    assert Record.objects.filter(kind="crewlog.password-link-shown").count() == 2


def test_that_a_link_was_shown_stays_on_record_and_the_link_does_not(owner, climber):
    climber.user.set_unusable_password()
    climber.user.save()
    link = show_link(actor=owner, member=climber)
    record = Record.objects.get(kind="crewlog.password-link-shown")
    assert str(climber.person_id) in record.body
    assert link not in record.body


def test_the_owner_is_not_shown_the_link_of_somebody_who_has_a_password_and_gets_mail(client_of, climber):
    climber.user.set_password(PASSWORD)
    climber.user.save()
    page = html_of(client_of.get(reverse("person", args=[climber.person_id])))
    assert "Show a link" not in page
    answer = client_of.post(reverse("person_invite", args=[climber.person_id]), {"do": "show"}, follow=True)
    assert "by mail only" in html_of(answer)
    assert "/password/reset/key/" not in html_of(answer)


@pytest.mark.parametrize("who", ["lead", "inspector", "climber"])
def test_nobody_but_the_owner_sees_a_link(request, who, signed_in, climber, settings):
    settings.MAIL_IS_SET_UP = False
    client = signed_in(request.getfixturevalue(who))
    assert client.post(reverse("person_invite", args=[climber.person_id]), {"do": "show"}).status_code == 403


def test_without_mail_a_forgotten_password_leads_to_the_owner(settings, owner):
    settings.MAIL_IS_SET_UP = False
    asked = html_of(Client().get(reverse("account_reset_password")))
    done = Client().post(reverse("account_reset_password"), {"email": owner.user.email}, follow=True)
    for page in (asked, html_of(done)):
        assert "Mail is not set up" in page
    assert not QueuedMail.objects.exists()
