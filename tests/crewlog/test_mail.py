"""The outbox: written with the fact, sent once, tried again, silent about links; and no page fails for it."""

import datetime as dt
import io
import smtplib

import pytest
from django.core.mail import EmailMessage
from django.core.management import CommandError, call_command
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from crewlog.mail import outbox
from crewlog.mail.backends import ConsoleBackend
from crewlog.mail.outbox import forget_old, queue_mail, send_due
from crewlog.mail.words import mail_words
from crewlog.models.mail import MailStop, QueuedMail
from crewlog.people.invitation import password_link, send_invitation
from crewlog.people.reminders import stop_mail
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet, withdraw_sheet
from tests.factories.crewlog import MembershipFactory
from tests.factories.jobs import passing_sheet
from tests.mail_server import put_in_place

pytestmark = pytest.mark.django_db
PASSWORD = "heron-on-the-weir-7"


@pytest.fixture
def server(settings):
    return put_in_place(settings)


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
    server.takes = frozenset({"ines@example.org"})
    queue()
    queue(to="ines@example.org")
    outcome = send_due()
    assert (outcome.sent, outcome.given_up) == (1, 1)
    assert [one.to[0] for one in server.taken] == ["ines@example.org"]
    assert QueuedMail.objects.get(to="cai@example.org").body == ""


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


# a withdrawn sheet


def issued(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    return sheet


def test_a_withdrawn_sheet_is_told_to_its_lead_and_the_owner(server, company, owner, lead, outsider):
    other = MembershipFactory(company=company, role="crew_lead")
    sheet = issued(company, lead)
    withdraw_sheet(actor=other, sheet=sheet, reason="B-07: dropped")
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
    withdraw_sheet(actor=lead, sheet=issued(company, lead), reason="Wind")
    send_due()
    assert [one.to[0] for one in server.taken] == [lead.user.email]
    client.post(reverse("reminders"), {"do": "withdrawals"})
    assert not MailStop.objects.exists()
    stop_mail(actor=owner, kind=MailStop.WITHDRAWAL, stopped=False)
    assert not MailStop.objects.exists()


def test_a_withdrawal_that_is_rolled_back_is_not_told(server, company, owner, lead):
    sheet = issued(company, lead)
    with transaction.atomic():
        withdraw_sheet(actor=lead, sheet=sheet, reason="Wind")
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
