"""What a hold on a job or an item reaches: everyone on its sheets, issued or not."""

import pytest
from django.urls import reverse

from crewlog.evidence import Entry, append_row
from crewlog.evidence.documents import purge_document
from crewlog.models import IssuedDocument
from crewlog.people.removal import RemovalRefused, remove_person_data
from crewlog.people.services import end_membership
from crewlog.retention.services import lift_hold, place_hold
from jobs.models import Duty, IssuedSheet
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.holds import people_of_items_sheets, people_of_job
from jobs.sheets.services import issue_sheet
from tests.factories.jobs import SheetFactory, passing_sheet
from tests.factories.scenario import fresh, item_in
from tests.pages import html_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person, reference="0412")


def codes(actor, person):
    with pytest.raises(RemovalRefused) as caught:
        remove_person_data(actor=actor, person=person, because="asked in writing")
    return [reason.code for reason in caught.value.reasons]


def test_a_hold_on_a_job_reaches_who_holds_a_duty_on_its_draft(sheet, owner, lead, company):
    cutter = Duty.objects.get(sheet=sheet, duty="cutter").person
    end_membership(actor=owner, person=cutter, on=company.today())
    hold = place_hold(actor=owner, about="job", subject="0412", because="claim")
    assert {str(cutter.pk), str(lead.person_id)} <= people_of_job(company, hold.subject)
    assert codes(owner, cutter)[0] == "hold-stands:job"
    lift_hold(actor=owner, hold=hold, because="settled")
    assert "hold-stands:job" not in codes(owner, cutter)


def test_a_hold_on_an_item_reaches_who_stood_on_a_sheet_that_lists_it(sheet, owner, company):
    cutter = Duty.objects.get(sheet=sheet, duty="cutter").person
    end_membership(actor=owner, person=cutter, on=company.today())
    block = item_in(sheet, "moving_block")
    assert str(cutter.pk) in people_of_items_sheets(company, str(block.pk))
    place_hold(actor=owner, about="item", subject=block.tag, because="insurer asks")
    assert codes(owner, cutter)[0] == "hold-stands:item"


def test_paper_that_stands_in_the_evidence_itself_is_said_openly(sheet, owner, lead, company):
    cutter = Duty.objects.get(sheet=sheet, duty="cutter").person
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    end_membership(actor=owner, person=cutter, on=company.today())
    assert "paper-in-evidence" not in codes(owner, cutter)
    issued = IssuedSheet.objects.get(sheet=sheet)
    assert bytes(issued.pdf) == b""
    again = SheetFactory(stem=sheet.stem, number=sheet.number, revision=2)
    old = IssuedSheet(sheet=again, issued_by=lead.person, snapshot="{}", mechanics_version="0", pdf=b"%PDF")
    old.snapshot_sha256 = old.chain_head = "0" * 64
    append_row(company, Entry(actor=lead.person), old, people=[cutter])
    assert "paper-in-evidence" in codes(owner, cutter)


def test_the_page_of_a_sheet_says_that_its_paper_was_let_go(sheet, owner, lead, signed_in):
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    paper = IssuedDocument.objects.get()
    purge_document(document=paper, entry=Entry(actor=owner.person), because="A person on it was removed.")
    client = signed_in(lead)
    gone = client.get(reverse("sheet_pdf", args=[sheet.pk]))
    assert gone.status_code == 410
    assert paper.sha256 in html_of(gone)
    page = html_of(client.get(reverse("sheet", args=[sheet.pk])))
    assert "PDF deleted" in page
    assert reverse("sheet_pdf", args=[sheet.pk]) not in page
    assert fresh(sheet).issue.paper() is None
