"""Heads that were stored with a sheet or printed on its PDF must stand in the chain before it."""

import io

import pytest
from reportlab.pdfgen.canvas import Canvas

from crewlog.evidence import Entry, verify
from crewlog.evidence.documents import document_bytes, keep_document
from crewlog.evidence.heads import misplaced, printed_head, printed_heads
from crewlog.models import Record
from jobs.models import Assignment, Duty, Sheet
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from jobs.sheets.state_check import one_sheet
from jobs.sites.services import save_anchor
from tests.factories.crewlog import PersonFactory
from tests.factories.gear import ItemFactory
from tests.factories.jobs import passing_sheet

pytestmark = pytest.mark.django_db


@pytest.fixture
def issue(company, lead):
    return issue_sheet(actor=lead, sheet=passing_sheet(company, lead=lead.person), looked_at=EVERYTHING)


def faults(issue, **options):
    return verify(issue.record.company, every=True, **options).faults


def test_the_pdf_of_a_sheet_prints_the_head_that_is_stored_with_it(issue, company):
    assert printed_head(document_bytes(issue.record)) == issue.chain_head
    assert list(printed_heads(company)) == [(issue.record.sequence, "jobs.sheet-issued", issue.chain_head)]
    assert faults(issue, files=True) == ()


def test_a_head_elsewhere_is_found_missing_or_too_late(issue, company):
    last = Record.objects.for_company(company).last().previous_hash
    found = list(misplaced(company, [(3, "a.b", "e" * 64), (3, "a.b", last), (1, "a.b", "0" * 64)], where="stored"))
    assert found == [
        f"record 3 (a.b): the head {'e' * 12}… stored is not in the chain",
        f"record 3 (a.b): the head {last[:12]}… stored stands after it in the chain",
    ]


def test_a_pdf_that_prints_another_head_is_a_fault(issue, company):
    last = Record.objects.for_company(company).last()
    first = Record.objects.for_company(company).exclude(kind="jobs.sheet-issued").first()
    keep_document(of=first, entry=Entry(actor=None), content=one_page(f"Record chain {last.previous_hash}"))
    (fault,) = faults(issue, files=True)
    assert "printed on its PDF stands after it in the chain" in fault


def one_page(text):
    out = io.BytesIO()
    canvas = Canvas(out)
    canvas.drawString(20, 20, text)
    canvas.save()
    return out.getvalue()


@pytest.mark.parametrize("content", [b"", b"no pdf", b"%PDF-1.4 broken"])
def test_what_is_no_pdf_prints_no_head(content):
    assert printed_head(content) == ""


# rows of an issued sheet


def test_a_sheet_whose_day_was_moved_differs_from_its_snapshot(issue):
    Sheet.objects.filter(pk=issue.sheet_id).update(day="2031-01-01")
    (fault,) = faults(issue)
    assert "has the day 2031-01-01, but was issued with" in fault


def test_a_sheet_with_another_item_alternate_or_use_differs_from_its_snapshot(issue, company):
    rows = Assignment.objects.filter(sheet=issue.sheet_id, item__isnull=False)
    first = rows.first()
    spare = ItemFactory(company=company, tag="Z-99")
    rows.filter(pk=first.pk).update(item=spare)
    assert f"does not hold at {first.role} what it was issued with" in faults(issue)[0]
    rows.filter(pk=first.pk).update(item=first.item, loaded="across")
    assert f"does not hold at {first.role} what it was issued with" in faults(issue)[0]
    rows.filter(pk=first.pk).update(loaded=first.loaded)
    assert faults(issue) == ()
    alternate = Assignment.objects.create(sheet=issue.sheet, role=first.role, rank=1, item=spare)
    assert f"does not hold at {first.role} what it was issued with" in faults(issue)[0]
    alternate.delete()
    rows.filter(pk=first.pk).delete()
    assert f"does not hold at {first.role} what it was issued with" in faults(issue)[0]


def test_a_sheet_with_other_people_differs_from_its_snapshot(issue, company):
    duty = Duty.objects.filter(sheet=issue.sheet_id, duty="hauler").first()
    Duty.objects.filter(pk=duty.pk).update(person=PersonFactory(company=company, name="Fenn Arden"))
    assert "does not name the people it was issued with" in faults(issue)[0]
    duty.delete()
    assert "does not name the people it was issued with" in faults(issue)[0]


def test_an_anchor_that_is_renamed_on_record_is_no_fault_and_one_renamed_by_hand_is(issue, lead):
    anchor = Assignment.objects.filter(sheet=issue.sheet_id, role="anchor").get().anchor
    by_hand = type(anchor).objects.filter(pk=anchor.pk)
    by_hand.update(name="Something else")
    assert "does not hold at anchor what it was issued with" in faults(issue)[0]
    by_hand.update(name=anchor.name)
    save_anchor(actor=lead, job=anchor.job, anchor=anchor, facts={"name": "Oak by the gate"})
    assert faults(issue) == ()


def test_an_unreadable_snapshot_is_one_fault(issue):
    issue.snapshot = "{}"
    assert list(one_sheet(issue, {})) == ["was issued with a snapshot that cannot be read"]
