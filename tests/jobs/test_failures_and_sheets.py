"""A failure that arrives from a round withdraws the sheets it hits in the same transaction, and is on Today."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from crewlog.evidence import verify
from gear.failures.services import take_back_failure
from gear.fitness import apply_evidence
from gear.models import FailureFound, GearItem
from jobs.models import SheetWithdrawal
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from jobs.sheets.standing.selectors import unseen_withdrawals
from jobs.today.page import today_page
from tests.factories.gear import examiner
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import item_in
from tests.gear.rounds import answer, opened, row_of, sign
from tests.pages import html_of


@pytest.fixture
def ines(inspector):
    return examiner(inspector)


@pytest.fixture
def sheet(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    return sheet


@pytest.fixture
def block(sheet):
    return GearItem.objects.get(pk=item_in(sheet, "moving_block").pk)


def fail_on_the_phone(ines, block):
    draft = opened(ines, block)
    answer(ines, draft, block, answer_cracks="fail", saw_cracks="crack at the pin")
    return draft


def test_a_fail_that_arrives_withdraws_the_sheet_before_the_round_is_signed(ines, lead, sheet, block):
    draft = fail_on_the_phone(ines, block)
    withdrawal = SheetWithdrawal.objects.get()
    assert withdrawal.sheet == sheet
    assert "crack at the pin" in withdrawal.reason
    assert withdrawal.record.device_time is not None
    assert list(unseen_withdrawals(lead.company, lead.person)) == [withdrawal]
    assert draft.closed_at is None
    answer(ines, draft, block, answer_cracks="fail")
    sign(ines, draft)
    assert SheetWithdrawal.objects.count() == 1
    assert verify(ines.company).holds


def test_answer_hold_and_withdrawal_are_kept_or_lost_together(ines, sheet, block, monkeypatch):
    def undo(losses, entry):
        raise RuntimeError("the power went")

    monkeypatch.setattr(apply_evidence, "listeners", [*apply_evidence.listeners, undo])
    draft = opened(ines, block)
    with pytest.raises(RuntimeError):
        answer(ines, draft, block, answer_cracks="fail")
    assert not FailureFound.objects.exists()
    assert not SheetWithdrawal.objects.exists()
    assert not row_of(draft, block).answers.exists()


def test_an_answer_taken_back_gives_no_sheet_back(ines, sheet, block):
    draft = fail_on_the_phone(ines, block)
    answer(ines, draft, block, answer_cracks="good")
    row = row_of(draft, block)
    take_back_failure(actor=ines, row=row, because="glove on the wrong tile", looked_at_again=True)
    assert GearItem.objects.get(pk=block.pk).quarantined_on is None
    assert SheetWithdrawal.objects.filter(sheet=sheet).exists()


def test_today_of_owner_and_inspector_names_it_until_the_employer_is_told(signed_in, owner, ines, lead, sheet, block):
    draft = fail_on_the_phone(ines, block)
    title = f"{block.tag} failed: say how the employer was told"
    for who in (owner, ines):
        page = today_page(who, may_plan=True)
        assert page.decisions[0].title == title
        assert "crack at the pin" in page.decisions[0].why
        assert "Ines Varrow" in page.decisions[0].why
    assert title not in [each.title for each in today_page(lead, may_plan=True).decisions]
    sign(ines, draft)
    address = reverse("item_told", args=[block.tag])
    client = signed_in(owner)
    for name in ("store", "today"):
        assert address in html_of(client.get(reverse(name)))
    assert "crack at the pin" in html_of(client.get(reverse("store")))
    assert address in html_of(client.get(block.get_absolute_url()))
    assert client.post(address, {"how": ""}).status_code == 422
    failure = client.get(address).context["form"]["failure"].value()
    at = timezone.now() + dt.timedelta(minutes=1)
    told = {"failure": failure, "at": f"{at:%Y-%m-%dT%H:%M}", "how": "By word of mouth", "danger": "could"}
    assert client.post(address, told).status_code == 302
    for name in ("store", "today"):
        assert address not in html_of(client.get(reverse(name)))
    assert "By word of mouth" in html_of(client.get(block.get_absolute_url()))


def test_another_company_sees_nothing_of_it(signed_in, outsider, ines, sheet, block):
    fail_on_the_phone(ines, block)
    assert block.tag not in html_of(signed_in(outsider).get(reverse("store")))
    assert not FailureFound.objects.untold(outsider.company).exists()
