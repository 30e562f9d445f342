"""What became of an issued sheet, and what its PDF and its page then say."""

import datetime as dt
import hashlib
import io

import pytest
import time_machine
from django.urls import reverse
from pypdf import PdfReader

from crewlog.models import IssuedDocument
from gear.events.services import record_event
from jobs.demo.tries import issued_paper
from jobs.errors import SheetRefused
from jobs.field.services import record_day
from jobs.models import Assignment, DayRecord, DayResult, PullPlan, Sheet, Stem
from jobs.sheets.assign import open_draft
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet, withdraw_sheet
from jobs.sheets.standing.rules import IssueFacts, is_over, standing_of
from jobs.sheets.standing.selectors import is_felled, standing
from jobs.sites.page_state import with_state
from tests.factories.jobs import SheetFactory, StemFactory, passing_sheet
from tests.factories.scenario import codes, fresh, item_in
from tests.given import Given
from tests.pages import html_of

DAY = dt.date(2026, 12, 4)
FACTS: Given = {"day": DAY, "window": "whole day"}


@pytest.mark.parametrize(
    ("facts", "today", "key"),
    [
        ({}, DAY, "stands"),
        ({}, DAY - dt.timedelta(days=9), "stands"),
        ({}, DAY + dt.timedelta(days=1), "lapsed"),
        ({"result": "stopped", "result_words": "Stopped"}, DAY, "stands"),
        ({"result": "stopped", "result_words": "Stopped"}, DAY + dt.timedelta(days=1), "lapsed"),
        ({"result": "fell", "result_words": "Fell as planned"}, DAY, "closed"),
        ({"result": "hung_up", "result_words": "Hung up"}, DAY, "closed"),
        ({"result": "fell", "result_words": "Fell as planned", "later_revision": 2}, DAY, "closed"),
        ({"later_revision": 2}, DAY, "superseded"),
        ({"withdrawn_because": ["B-04 fell"], "later_revision": 2, "result": "fell"}, DAY, "withdrawn"),
    ],
)
def test_gravest_state_that_applies_is_the_one(facts, today, key):
    found = standing_of(IssueFacts(**FACTS, **facts), today)
    assert found.key == key
    assert found.is_in_force is (key == "stands")


def test_a_stem_that_did_not_go_as_planned_needs_a_plan_of_its_own():
    fell = standing_of(IssueFacts(**FACTS, result="fell", result_words="Fell as planned"), DAY)
    hung = standing_of(IssueFacts(**FACTS, result="hung_up", result_words="Hung up"), DAY)
    assert fell.word == "Closed: fell as planned"
    assert "plan of its own" not in fell.why
    assert "plan of its own" in hung.why


@pytest.fixture
def issued(company, lead):
    sheet = passing_sheet(company, lead=lead.person)
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    return fresh(sheet)


@pytest.fixture
def client(lead, signed_in):
    return signed_in(lead)


def address(name, sheet):
    return reverse(name, args=[sheet.pk])


def pages_of(response):
    assert response.status_code == 200
    return [page.extract_text() for page in PdfReader(io.BytesIO(response.content)).pages]


def paper_of(sheet):
    return IssuedDocument.objects.get(of=sheet.issue.record_id)


@pytest.mark.django_db
def test_pdf_of_a_sheet_in_force_is_the_one_that_was_handed_out(issued, client):
    content = client.get(address("sheet_pdf", issued)).content
    assert hashlib.sha256(content).hexdigest() == paper_of(issued).sha256


@pytest.mark.django_db
def test_withdrawn_sheet_is_marked_on_every_page_with_its_reason_and_the_original_stays(issued, lead, client):
    before = pages_of(client.get(address("sheet_pdf", issued)))
    withdraw_sheet(actor=lead, sheet=issued, reason="B-04: dropped <b>7 m</b> & bent")
    marked = pages_of(client.get(address("sheet_pdf", issued)))
    assert len(marked) == len(before) > 1
    for page, was in zip(marked, before, strict=True):
        assert "WITHDRAWN" in page
        assert "B-04: dropped <b>7 m</b> & bent." in page.replace("\n", " ")
        assert set(was.split()) <= set(page.split())  # nothing of the page is gone
    original = client.get(address("sheet_pdf_original", issued)).content
    assert hashlib.sha256(original).hexdigest() == paper_of(issued).sha256


@pytest.mark.django_db
def test_marked_pages_keep_their_size_and_stand_below_the_slab(issued, lead, client):
    withdraw_sheet(actor=lead, sheet=issued, reason="Wind got up")
    marked = PdfReader(io.BytesIO(client.get(address("sheet_pdf", issued)).content))
    original = PdfReader(io.BytesIO(client.get(address("sheet_pdf_original", issued)).content))
    sizes = {(float(page.mediabox.width), float(page.mediabox.height)) for page in original.pages}
    for page in marked.pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) in sizes
        heights: Given = {}

        def place(text, ctm, matrix, _font, _size, heights=heights):
            if text.strip():
                heights.setdefault(text.strip(), matrix[4] * ctm[1] + matrix[5] * ctm[3] + ctm[5])

        page.extract_text(visitor_text=place)
        slab = heights.pop("WITHDRAWN")
        assert all(y < slab for y in heights.values())


@pytest.mark.django_db
def test_superseded_sheet_is_marked_with_the_revision_that_stands_instead(issued, lead, client):
    draft = open_draft(actor=lead, stem=issued.stem)
    issue_sheet(actor=lead, sheet=draft, looked_at=EVERYTHING)
    assert all("SUPERSEDED BY REVISION 2" in page for page in pages_of(client.get(address("sheet_pdf", issued))))


@pytest.mark.django_db
def test_sheet_whose_day_has_passed_says_so_on_page_list_and_pdf(issued, client):
    later = dt.datetime.combine(issued.day + dt.timedelta(days=1), dt.time(12), dt.UTC)
    with time_machine.travel(later, tick=False):
        page = html_of(client.get(address("sheet", issued)))
        assert "Its day has passed" in page
        assert "Sheet valid" not in page
        assert "Sheet valid" not in html_of(client.get(reverse("sheets")))
        assert all("ITS DAY HAS PASSED" in text for text in pages_of(client.get(address("sheet_pdf", issued))))


def close(sheet, lead, result="fell"):
    used = list(Assignment.objects.filter(sheet=sheet, item__isnull=False).select_related("item"))
    record_day(actor=lead, sheet=sheet, result=result, used=used)


@pytest.mark.django_db
def test_after_it_fell_as_planned_a_sheet_is_closed_and_its_stem_felled(issued, lead, client):
    close(issued, lead)
    page = html_of(client.get(address("sheet", issued)))
    assert "Closed: fell as planned" in page
    assert "Sheet valid" not in page
    job = html_of(client.get(reverse("job", args=[issued.stem.job_id])))
    assert "Felled" in job
    assert "Sheet valid" not in job
    assert all("CLOSED: FELL AS PLANNED" in text for text in pages_of(client.get(address("sheet_pdf", issued))))


@pytest.mark.django_db
def test_a_stem_that_fell_gets_no_next_revision_and_asks_for_nothing(issued, lead, client):
    draft = open_draft(actor=lead, stem=issued.stem)
    PullPlan.objects.filter(stem=issued.stem).update(gust_m_s=14.0)
    with pytest.raises(SheetRefused):
        issue_sheet(actor=lead, sheet=fresh(draft), looked_at=EVERYTHING)
    page = client.get(reverse("today")).context["page"]
    assert [row.title for row in page.decisions if row.mark == "refused"]
    assert "Planned for gusts of" in page.jobs[0].gust_words
    assert "Next revision" in html_of(client.get(address("sheet", issued)))
    close(issued, lead)
    page = client.get(reverse("today")).context["page"]
    assert not [row.title for row in page.decisions if row.mark == "refused"]
    assert "Planned for gusts of" not in page.jobs[0].gust_words
    assert "Next revision" not in html_of(client.get(address("sheet", issued)))
    assert "stem-felled" in codes(draft)
    assert "Felled" in html_of(client.get(reverse("job", args=[issued.stem.job_id])))


@pytest.mark.django_db
def test_a_day_recorded_again_raises_the_stem_and_a_closed_sheet_stays_closed_under_a_later_one(issued, lead):
    close(issued, lead)
    draft = open_draft(actor=lead, stem=issued.stem)
    assert both_ways(issued.stem) == (True, True)
    close(issued, lead, result="hung_up")
    assert both_ways(issued.stem) == (False, False)
    issue_sheet(actor=lead, sheet=draft, looked_at=EVERYTHING)
    sheets = list(with_state(Sheet.objects.filter(stem=issued.stem)))
    first = next(each for each in sheets if each.revision == 1)
    assert standing(first, sheets, issued.day).key == "closed"


def both_ways(stem):
    """Whether a stem is down, asked of the database and of fetched rows."""
    rows = with_state(Sheet.objects.filter(stem=stem))
    return Stem.objects.felled().filter(pk=stem.pk).exists(), is_felled(stem, rows)


@pytest.mark.django_db
@pytest.mark.parametrize(("result", "on_site"), [("stopped", True), ("fell", False), ("hung_up", False)])
def test_the_demo_offers_as_on_site_no_paper_of_a_closed_sheet(issued, lead, result, on_site):
    assert issued_paper(lead.company) is not None
    close(issued, lead, result=result)
    assert (issued_paper(lead.company) is not None) is on_site


@pytest.mark.django_db
def test_the_demo_offers_as_on_site_no_paper_of_a_day_that_has_passed(issued, lead):
    Sheet.objects.filter(pk=issued.pk).update(day=lead.company.today() - dt.timedelta(days=1))
    assert issued_paper(lead.company) is None


@pytest.mark.django_db
def test_a_closed_sheet_holds_no_gear(issued, lead):
    stem = StemFactory(measured=True, job__company=issued.stem.job.company, job__lead=lead.person)
    other = SheetFactory(stem=stem, day=issued.day)
    Assignment.objects.create(sheet=other, role="moving_block", item=item_in(issued, "moving_block"))
    assert "double-booked:moving_block" in codes(other)
    close(issued, lead)
    assert "double-booked:moving_block" not in codes(other)


@pytest.mark.django_db
def test_an_item_that_fails_after_the_day_is_told_to_the_lead_and_the_sheet_stays_closed(issued, lead, owner, client):
    close(issued, lead)
    block = item_in(issued, "moving_block")
    record_event(actor=owner, item=block, kind="drop", happened_on=issued.day, description="7 m", gear_loaded=True)
    assert issued.withdrawals.count() == 1
    page = html_of(client.get(address("sheet", issued)))
    assert "Closed: fell as planned" in page
    assert "Since then" in page


@pytest.mark.django_db
def test_a_day_that_is_recorded_again_after_an_item_failed_stays_closed(issued, lead, owner, client):
    close(issued, lead)
    block = item_in(issued, "moving_block")
    record_event(actor=owner, item=block, kind="drop", happened_on=issued.day, description="7 m", gear_loaded=True)
    close(issued, lead)
    assert issued.withdrawals.count() == 1
    assert "Closed: fell as planned" in html_of(client.get(address("sheet", issued)))
    assert "Felled" in html_of(client.get(reverse("job", args=[issued.stem.job_id])))


@pytest.mark.django_db
@pytest.mark.parametrize("result", DayResult.values)
def test_a_day_ends_the_work_in_the_rule_and_in_the_database_alike(issued, lead, result):
    close(issued, lead, result=result)
    assert DayRecord.objects.ending().filter(sheet=issued).exists() is is_over(result)


@pytest.mark.django_db
def test_a_day_that_was_stopped_leaves_the_sheet_in_force(issued, lead, client):
    close(issued, lead, result="stopped")
    assert "Sheet valid" in html_of(client.get(address("sheet", issued)))
    assert Sheet.objects.standing().filter(pk=issued.pk).exists()


@pytest.mark.django_db
def test_sheet_says_when_the_plans_working_copy_is_now_refused(issued, client):
    assert "The plan is now refused" not in html_of(client.get(address("sheet", issued)))
    PullPlan.objects.filter(stem=issued.stem).update(gust_m_s=14.0)
    page = html_of(client.get(address("sheet", issued)))
    assert "The plan is now refused" in page
    assert "stop and issue a new revision" in page
    assert "Sheet valid" in page


@pytest.mark.django_db
def test_sheet_says_when_its_plan_was_changed_and_still_passes(issued, client):
    PullPlan.objects.filter(stem=issued.stem).update(gust_m_s=issued.stem.plan.gust_m_s - 1.0)
    page = html_of(client.get(address("sheet", issued)))
    assert "The plan was changed after this sheet was issued" in page
    assert "now refused" not in page


@pytest.mark.django_db
def test_sheet_says_when_an_answer_it_rests_on_was_taken_back(issued, client):
    Stem.objects.filter(pk=issued.stem_id).update(hinge_soundness="not_known")
    assert "The plan now has open answers" in html_of(client.get(address("sheet", issued)))
