"""The digest by e-mail: to whom, what, once a day, and nothing when nothing is due."""

import datetime as dt
import io

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.utils import timezone

from crewlog.errors import RuleBroken
from crewlog.models import DigestSent, Membership, QueuedMail
from crewlog.people.reminders import wish_digest
from gear.models import GearItem
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import acknowledge_withdrawal, issue_sheet, withdraw_sheet
from tests.factories.gear import ItemFactory, days_ago
from tests.factories.jobs import passing_sheet

pytestmark = pytest.mark.django_db


def send(**options):
    out = io.StringIO()
    call_command("send_digest", stdout=out, **options)
    return out.getvalue()


@pytest.fixture
def reader(owner):
    wish_digest(actor=owner, wanted=True)
    return owner


def stir(company):
    """One item for each section."""
    ItemFactory(company=company, tag="B-01", overdue=True)
    ItemFactory(company=company, tag="B-02", due_soon=True)
    ItemFactory(company=company, tag="B-03", remark_overdue=True)
    lent = ItemFactory(company=company, tag="B-04", borrowed_from="A neighbour")
    GearItem.objects.filter(pk=lent.pk).update(due_back_on=days_ago(lent, -3))


def test_nothing_due_sends_nothing(reader, company):
    ItemFactory(company=company)
    assert send() == "0 queued, 0 queued earlier, 1 with nothing due.\n"
    assert mail.outbox == []


def test_it_says_what_is_overdue_due_remarked_and_due_back(reader, company):
    stir(company)
    send()
    (message,) = mail.outbox
    assert message.to == [reader.user.email]
    assert message.subject == "Sallow Reach Tree Works: 1 overdue"
    parts = message.body.split("\n\n")
    said = {part.splitlines()[0]: part for part in parts}
    assert "B-01" in said["Overdue"]
    assert "B-02" in said["Due within 30 days"]
    assert "B-03" in said["Remarks to be mended"]
    assert "B-04" in said["Borrowed, due back"]
    assert "/reminders/" in parts[-1]


def test_it_goes_once_a_person_and_day_however_often_it_runs(reader, company):
    stir(company)
    assert send().startswith("1 queued")
    assert send() == "0 queued, 1 queued earlier, 0 with nothing due.\n"
    tomorrow = company.today() + dt.timedelta(days=1)
    assert send(on=tomorrow.isoformat()).startswith("1 queued")
    assert len(mail.outbox) == 2


def test_a_dry_run_prints_and_neither_sends_nor_counts(reader, company):
    stir(company)
    assert "B-01" in send(dry_run=True)
    assert mail.outbox == []
    assert not DigestSent.objects.exists()


def test_a_digest_the_server_did_not_take_waits_and_goes_out_later(reader, company, settings):
    stir(company)
    settings.EMAIL_BACKEND = "tests.jobs.test_digest.DeadBackend"
    with pytest.raises(CommandError, match="no mail server") as caught:
        send()
    assert caught.value.returncode == 1
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    QueuedMail.objects.update(next_try=timezone.now())
    assert send() == "0 queued, 1 queued earlier, 0 with nothing due.\n"
    assert [message.to for message in mail.outbox] == [[reader.user.email]]


def test_without_mail_the_command_says_so_and_counts_nothing(reader, company, settings):
    stir(company)
    settings.MAIL_IS_SET_UP = False
    with pytest.raises(CommandError, match="Mail is not set up"):
        send()
    assert not DigestSent.objects.exists()


class DeadBackend:
    """A mail server that is away."""

    def __init__(self, **_):
        pass

    def open(self):
        raise ConnectionRefusedError("no mail server")


def test_it_goes_to_owners_and_inspectors_who_asked_and_are_still_here(owner, inspector, lead, company):
    stir(company)
    with pytest.raises(RuleBroken):
        wish_digest(actor=lead, wanted=True)
    for member in (owner, inspector):
        wish_digest(actor=member, wanted=True)
    wish_digest(actor=owner, wanted=False)
    send()
    assert [message.to for message in mail.outbox] == [[inspector.user.email]]
    Membership.objects.filter(pk=inspector.pk).update(ends_on=dt.date(2020, 1, 1))
    assert send() == "0 queued, 0 queued earlier, 0 with nothing due.\n"


def test_a_withdrawn_sheet_stands_in_it_until_it_is_acknowledged(reader, lead, company):
    sheet = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    withdrawal = withdraw_sheet(actor=lead, sheet=sheet, reason="Block fell")
    assert "Block fell" in send(dry_run=True)
    acknowledge_withdrawal(actor=reader, withdrawal=withdrawal)
    assert "Block fell" not in send(dry_run=True)


def test_another_companys_gear_is_not_in_it(reader, outsider):
    ItemFactory(company=outsider.company, tag="X-01", overdue=True)
    assert send().startswith("0 queued")


def test_a_wrong_date_is_an_error_of_the_input(reader):
    with pytest.raises(CommandError, match="is no date") as caught:
        send(on="25.11.2026")
    assert caught.value.returncode == 1
