"""The outbox: written with the fact, sent once, tried again, silent about links; and no page fails for it."""

import datetime as dt
import io
import re
import smtplib

import pytest
from django.core.mail import EmailMessage
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from crewlog.evidence import Entry
from crewlog.mail import outbox
from crewlog.mail.backends import ConsoleBackend
from crewlog.mail.models import MailStop, QueuedMail
from crewlog.mail.outbox import forget_old, queue_mail, send_due
from crewlog.mail.words import mail_words
from crewlog.models import Record
from crewlog.services.invitation import password_link, send_invitation, show_link
from crewlog.services.reminders import stop_mail
from jobs.services.sheets import issue_sheet, withdraw_sheet
from tests.factories.crewlog import MembershipFactory, PersonFactory
from tests.factories.jobs import passing_sheet

pytestmark = pytest.mark.django_db
PASSWORD = "heron-on-the-weir-7"


class Server:
    """A mail server that does what a test says; `taken` is what it took."""

    does: Exception | None = None
    at = "open"
    taken: list[EmailMessage]

    def __init__(self, **_):
        pass

    def open(self):
        if Server.does is not None and Server.at == "open":
            raise Server.does

    def send_messages(self, messages):
        if Server.does is not None and Server.at == "send":
            raise Server.does
        Server.taken += messages

    def close(self):
        pass


@pytest.fixture
def server(settings):
    settings.EMAIL_BACKEND = "tests.crewlog.test_mail.Server"
    Server.does, Server.at, Server.taken = None, "open", []
    return Server


@pytest.fixture
def client_of(signed_in, owner):
    return signed_in(owner)


def queue(key="a", to="cai@example.org"):
    return queue_mail(kind="test", to=to, facts={}, key=key)


def later(minutes):
    QueuedMail.objects.exclude(next_try=None).update(next_try=timezone.now() - dt.timedelta(minutes=minutes))


def test_a_mail_about_the_same_fact_is_written_and_sent_once(server):
    assert queue() is not None
    assert queue() is None
    assert queue(to="ines@example.org") is not None
    assert send_due().sent == 2
    assert send_due().sent == 0
    assert queue() is None
    assert sorted(one.to[0] for one in server.taken) == ["cai@example.org", "ines@example.org"]


def test_a_mail_that_went_out_keeps_no_text(server):
    queue()
    send_due()
    row = QueuedMail.objects.get()
    assert (row.body, row.next_try, row.attempts) == ("", None, 1)
    assert row.sent_at is not None


@pytest.mark.parametrize(
    ("rule", "facts"),
    [
        ("done_keeps_no_text", {"next_try": None, "body": "a link"}),
        ("sent_waits_no_more", {"sent_at": dt.datetime(2026, 1, 1, tzinfo=dt.UTC)}),
    ],
)
def test_the_database_refuses_what_must_not_be(rule, facts):
    queue()
    with pytest.raises(IntegrityError, match=rule), transaction.atomic():
        QueuedMail.objects.update(**facts)


def test_a_fact_that_is_rolled_back_takes_its_mail_with_it(server):
    with transaction.atomic():
        queue()
        transaction.set_rollback(True)
    assert not QueuedMail.objects.exists()


def test_a_server_that_is_away_leaves_the_mails_waiting_and_is_asked_once_a_run(server):
    server.does = ConnectionRefusedError(111, "Connection refused")
    queue("a")
    queue("b")
    outcome = send_due()
    assert (outcome.sent, outcome.failed, outcome.given_up) == (0, 1, 0)
    first, second = QueuedMail.objects.order_by("-attempts")
    assert (first.attempts, second.attempts) == (1, 0)
    assert "Connection refused" in first.last_error
    assert first.body
    server.does = None
    later(1)
    assert send_due().sent == 2


def test_the_wait_grows_with_each_attempt_until_the_mail_is_given_up(server):
    server.does, server.at = smtplib.SMTPDataError(451, b"try later"), "send"
    queue()
    waits = []
    for _ in outbox.WAITS_MIN:
        later(0)
        send_due()
        row = QueuedMail.objects.get()
        waits.append(round((row.next_try - timezone.now()).total_seconds() / 60))
    assert waits == list(outbox.WAITS_MIN)
    assert waits == sorted(waits)
    later(0)
    assert send_due().given_up == 1
    row = QueuedMail.objects.get()
    assert (row.body, row.next_try, row.sent_at) == ("", None, None)
    assert "try later" in row.last_error


def test_an_address_refused_for_good_is_given_up_at_once_and_the_others_go_out(server):
    server.at = "send"
    server.does = smtplib.SMTPRecipientsRefused({"cai@example.org": (550, b"no such mailbox")})
    queue()
    assert send_due().given_up == 1
    assert QueuedMail.objects.get().body == ""


def test_two_runs_at_once_send_a_mail_once(server):
    row = queue()
    assert outbox.claim(QueuedMail.objects.get(pk=row.pk))
    assert not outbox.claim(row)
    assert send_due().sent == 0


def test_what_is_done_for_a_month_is_forgotten(server):
    queue()
    send_due()
    assert forget_old() == 0
    assert forget_old(timezone.now() + dt.timedelta(days=31)) == 1


def test_neither_password_nor_links_stand_in_what_is_kept_of_a_failure(server, settings, caplog):
    settings.EMAIL_HOST_PASSWORD = "s3cret-of-the-server"
    server.does = OSError("s3cret-of-the-server is wrong, see https://example.org/reset/abc-def")
    queue()
    send_due()
    kept = QueuedMail.objects.get().last_error + caplog.text
    assert "is wrong, see https://example.org/" in kept
    assert "s3cret" not in kept
    assert "abc-def" not in kept


def test_the_console_prints_no_link():
    stream = io.StringIO()
    body = "Here:\nhttps://crew.example/accounts/password/reset/key/3-xyz/\n"
    ConsoleBackend(stream=stream).send_messages([EmailMessage("Choose", body, "a@b.org", ["c@d.org"])])
    assert "https://crew.example/…" in stream.getvalue()
    assert "3-xyz" not in stream.getvalue()


def test_a_subject_is_one_line_and_names_are_not_escaped(company):
    company.name = "Reach & Sons <\nBcc: x@example.org"
    words = mail_words("digest", {"company": company, "headline": "1 overdue", "sections": ()})
    assert words.subject == "Reach & Sons <"
    assert "\n" not in words.subject


# pages


def test_no_page_fails_when_the_mail_server_is_away(server, client_of, climber, owner):
    server.does = TimeoutError("timed out")
    answer = client_of.post(reverse("person_invite", args=[climber.person_id]))
    assert answer.status_code == 302
    assert send_due().failed == 1
    page = client_of.get(reverse("person", args=[climber.person_id])).content.decode()
    assert "waits: timed out" in page


def test_a_link_comes_from_our_address_whatever_host_was_asked(server, settings, owner, climber):
    settings.SITE_ADDRESS = "https://crew.example"
    settings.ALLOWED_HOSTS = ["*"]
    owner.user.set_password(PASSWORD)
    owner.user.save()
    poisoned = {"HTTP_HOST": "evil.example", "HTTP_X_FORWARDED_HOST": "evil.example"}
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
        answers.append((answer.redirect_chain, re.sub(token, "", answer.content.decode())))
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
    asked = client_of.get(reverse("person_sign_in", args=[person.pk])).content.decode()
    assert "Give it and show the link" in asked
    page = client_of.post(reverse("person_sign_in", args=[person.pk]), {"email": "wren@example.test", "role": "crew"})
    text = page.content.decode()
    assert page.status_code == 200
    assert "no-store" in page["Cache-Control"]
    assert "within 3 days" in text
    link = page.context["link"]
    assert link.startswith("http://testserver/accounts/password/reset/key/")
    assert not QueuedMail.objects.exists()
    assert Client().get(link, follow=True).status_code == 200
    again = client_of.get(reverse("person", args=[person.pk])).content.decode()
    assert "Mail is not set up here" in again
    assert link not in again


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
    page = client_of.get(reverse("person", args=[climber.person_id])).content.decode()
    assert "Show a link" not in page
    answer = client_of.post(reverse("person_invite", args=[climber.person_id]), {"do": "show"}, follow=True)
    assert "by mail only" in answer.content.decode()
    assert "/password/reset/key/" not in answer.content.decode()


@pytest.mark.parametrize("who", ["lead", "inspector", "climber"])
def test_nobody_but_the_owner_sees_a_link(request, who, signed_in, climber, settings):
    settings.MAIL_IS_SET_UP = False
    client = signed_in(request.getfixturevalue(who))
    assert client.post(reverse("person_invite", args=[climber.person_id]), {"do": "show"}).status_code == 403


def test_without_mail_a_forgotten_password_leads_to_the_owner(settings, owner):
    settings.MAIL_IS_SET_UP = False
    asked = Client().get(reverse("account_reset_password")).content.decode()
    done = Client().post(reverse("account_reset_password"), {"email": owner.user.email}, follow=True)
    for page in (asked, done.content.decode()):
        assert "Mail is not set up here" in page
    assert not QueuedMail.objects.exists()


# a withdrawn sheet


def issued(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead.person, sheet=sheet)
    return sheet


def test_a_withdrawn_sheet_is_told_to_its_lead_and_the_owner(server, company, owner, lead, inspector, outsider):
    other = MembershipFactory(company=company, role="crew_lead")
    sheet = issued(company, lead)
    withdraw_sheet(sheet=sheet, reason="B-07: dropped", entry=Entry(actor=inspector.person))
    send_due()
    assert {one.to[0] for one in server.taken} == {owner.user.email, lead.user.email}
    assert other.user.email not in {one.to[0] for one in server.taken}
    message = server.taken[0]
    assert message.subject == f"{company}: sheet {sheet.number} is withdrawn"
    assert "B-07: dropped" in message.body
    assert reverse("sheet", args=[sheet.pk]) in message.body


def test_who_stopped_these_mails_gets_none_and_can_have_them_again(server, company, owner, lead, signed_in):
    client = signed_in(owner)
    client.post(reverse("reminders"), {"do": "no-withdrawals"})
    assert MailStop.objects.get().membership == owner
    withdraw_sheet(sheet=issued(company, lead), reason="Wind", entry=Entry(actor=lead.person))
    send_due()
    assert [one.to[0] for one in server.taken] == [lead.user.email]
    client.post(reverse("reminders"), {"do": "withdrawals"})
    assert not MailStop.objects.exists()
    stop_mail(member=owner, kind=MailStop.WITHDRAWAL, stopped=False)


def test_a_withdrawal_that_is_rolled_back_is_not_told(server, company, owner, lead):
    sheet = issued(company, lead)
    with transaction.atomic():
        withdraw_sheet(sheet=sheet, reason="Wind", entry=Entry(actor=lead.person))
        assert QueuedMail.objects.exists()
        transaction.set_rollback(True)
    assert send_due().sent == 0


# commands


def run(name, *args):
    out = io.StringIO()
    call_command(name, *args, stdout=out)
    return out.getvalue()


def test_the_test_mail_goes_out_at_once(server):
    assert "took a test mail to orla@example.org" in run("send_test_mail", "orla@example.org")
    assert [one.to for one in server.taken] == [["orla@example.org"]]
    assert not QueuedMail.objects.exists()


@pytest.mark.parametrize(
    ("does", "cause"),
    [
        (ConnectionRefusedError(111, "Connection refused"), "ConnectionRefusedError: .*Connection refused"),
        (smtplib.SMTPAuthenticationError(535, b"bad\nlogin"), "SMTPAuthenticationError: .*bad"),
    ],
)
def test_a_test_mail_that_fails_says_why_in_one_line(server, does, cause):
    server.does, server.at = does, "send"
    with pytest.raises(CommandError, match=cause) as caught:
        run("send_test_mail", "orla@example.org")
    assert caught.value.returncode == 1
    assert "\n" not in str(caught.value)


def test_a_wrong_address_and_missing_mail_are_errors_of_the_input(server, settings):
    with pytest.raises(CommandError, match="is no mail address"):
        run("send_test_mail", "orla")
    settings.MAIL_IS_SET_UP = False
    for name, args in (("send_test_mail", ["orla@example.org"]), ("send_queued_mail", [])):
        with pytest.raises(CommandError, match="Mail is not set up"):
            run(name, *args)


def test_the_command_sends_what_waits_and_says_what_does_not_go(server):
    queue("a")
    assert run("send_queued_mail") == "1 sent, 0 waiting, 0 given up, 0 old rows deleted.\n"
    server.does = OSError("no route")
    queue("b")
    with pytest.raises(CommandError, match="Not sent: no route"):
        run("send_queued_mail")
    assert QueuedMail.objects.get(sent_at=None).attempts == 1


def test_an_invitation_asked_for_twice_goes_out_once_a_second(owner, climber):
    link = password_link(climber.user)
    for _ in range(2):
        queue_mail(kind="invitation", to=climber.user.email, facts={}, key=link, user=climber.user)
    assert QueuedMail.objects.count() == 1
    assert send_invitation(actor=owner, member=climber)


def test_mails_of_a_removed_sign_in_go_with_it(owner, climber):
    send_invitation(actor=owner, member=climber)
    climber.user.delete()
    assert not QueuedMail.objects.exists()


def test_a_mail_is_tried_after_the_commit_and_not_before(
    owner, climber, settings, monkeypatch, django_capture_on_commit_callbacks
):
    settings.MAIL_TRY_AT_ONCE = True
    tried = []
    monkeypatch.setattr(outbox, "try_soon", lambda: tried.append(QueuedMail.objects.count()))
    with django_capture_on_commit_callbacks(execute=True):
        send_invitation(actor=owner, member=climber)
        assert tried == []
    assert tried == [1]


def test_a_try_that_breaks_does_not_break_the_request(
    settings, signed_in, owner, climber, monkeypatch, caplog, django_capture_on_commit_callbacks
):
    settings.MAIL_TRY_AT_ONCE = True

    def no_thread():
        raise RuntimeError("can't start new thread")

    monkeypatch.setattr(outbox, "try_soon", no_thread)
    with django_capture_on_commit_callbacks(execute=True):
        answer = signed_in(owner).post(reverse("person_invite", args=[climber.person_id]))
    assert answer.status_code == 302
    assert QueuedMail.objects.count() == 1
    assert "can't start new thread" in caplog.text


def test_one_thread_runs_and_looks_once_more_for_what_came_meanwhile():
    attempt = outbox.Attempt()
    assert attempt.want()
    assert attempt.goes_on()
    assert not attempt.want()
    assert attempt.goes_on()
    assert not attempt.goes_on()
    assert attempt.want()
