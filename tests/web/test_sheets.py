"""Sheets: refused with every reason, issued when nothing is refused, withdrawn, read by an auditor."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from crewlog.models import Record
from jobs.models import IssuedSheet, Sheet, SheetRefusal, SheetWithdrawal, SourceNote
from jobs.sheets.assign import open_draft
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from tests.factories.jobs import SheetFactory, StemFactory, passing_sheet
from tests.pages import html_of
from tests.web.posting import shown_token

pytestmark = pytest.mark.django_db
LOOKED_AT = {"looked_at": sorted(EVERYTHING)}


@pytest.fixture
def sheet(company, lead):
    return passing_sheet(company, lead=lead.person)


@pytest.fixture
def issued(sheet, lead):
    issue_sheet(actor=lead, sheet=sheet, looked_at=EVERYTHING)
    return Sheet.objects.get(pk=sheet.pk)


@pytest.fixture
def client(lead, signed_in):
    return signed_in(lead)


def url(name, sheet):
    return reverse(name, args=[sheet.pk])


def words(page):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html_of(page))).replace("\u00a0", " ")


def refuse(sheet, client):
    """Make the sheet refused for its wind, and try to issue it."""
    sheet.stem.plan.gust_m_s = 14.0
    sheet.stem.plan.save()
    return client.post(url("sheet_issue", sheet), LOOKED_AT)


def test_a_draft_that_nothing_refuses_offers_to_issue(sheet, client):
    page = client.get(url("sheet", sheet))
    assert "Issue the sheet" in words(page)
    assert "Nothing is refused" in words(page)


def test_a_refused_draft_has_no_button_and_says_why(sheet, client):
    sheet.assignments.filter(role="cleat").delete()
    page = client.get(url("sheet", sheet))
    text = words(page)
    assert "Issue the sheet" not in text
    assert url("sheet_issue", sheet) not in html_of(page)
    assert "once every reason is cured" in text
    assert "position empty" in text
    assert f"{reverse('assign', args=[sheet.stem_id])}#cleat" in html_of(page)


def test_a_refusal_has_no_override_and_leaves_a_record(sheet, client):
    response = refuse(sheet, client)
    assert response.status_code == 422
    assert "Wind above the limit" in words(response)
    assert SheetRefusal.objects.filter(sheet=sheet).count() == 1
    assert not IssuedSheet.objects.exists()


def test_issuing_gives_the_paper_its_hash_and_the_head_of_the_chain(sheet, client):
    response = client.post(url("sheet_issue", sheet), LOOKED_AT | shown_token(client.get(url("sheet", sheet))))
    assert response["Location"] == url("sheet", sheet)
    row = IssuedSheet.objects.get(sheet=sheet)
    text = words(client.get(url("sheet", sheet)))
    assert "Sheet valid" in text
    assert row.snapshot_sha256 in text
    assert row.chain_head in text
    paper = client.get(url("sheet_pdf", sheet))
    assert paper["Content-Type"] == "application/pdf"
    assert paper.content == row.paper()
    assert paper.content.startswith(b"%PDF-")


def test_the_paper_of_a_draft_does_not_exist(sheet, client):
    assert client.get(url("sheet_pdf", sheet)).status_code == 404


def test_an_issued_sheet_is_not_issued_again(issued, client):
    response = client.post(url("sheet_issue", issued), LOOKED_AT, follow=True)
    assert "is issued" in words(response)
    assert IssuedSheet.objects.count() == 1


def test_a_change_for_the_better_after_a_refusal_asks_for_its_source(sheet, client):
    refuse(sheet, client)
    sheet.stem.plan.gust_m_s = 5.0
    sheet.stem.plan.save()
    page = client.get(url("sheet", sheet))
    assert "Changed after a refusal" in words(page)
    assert "Issue the sheet" not in words(page)
    change = next(row for row in page.context["page"].changes if row.path == "plan.gust_m_s")
    assert change.needs_source
    empty = client.post(url("sheet_source", sheet), {"path": change.path, "value": change.value, "source": "  "})
    assert empty.status_code == 422
    data = {"path": change.path, "value": change.value, "source": "Anemometer on the bank"}
    assert client.post(url("sheet_source", sheet), data).status_code == 302
    assert SourceNote.objects.get(sheet=sheet).source == "Anemometer on the bank"
    assert "Issue the sheet" in words(client.get(url("sheet", sheet)))


def test_the_issued_sheet_lists_what_was_changed_after_the_refusal(sheet, client):
    refuse(sheet, client)
    sheet.stem.plan.gust_m_s = 5.0
    sheet.stem.plan.save()
    change = next(c for c in client.get(url("sheet", sheet)).context["page"].changes if c.path == "plan.gust_m_s")
    client.post(url("sheet_source", sheet), {"path": change.path, "value": change.value, "source": "Anemometer"})
    shown = shown_token(client.get(url("sheet", sheet)))
    assert client.post(url("sheet_issue", sheet), LOOKED_AT | shown).status_code == 302
    text = words(client.get(url("sheet", sheet)))
    assert "Source: Anemometer" in text


def test_the_day_of_a_sheet_is_a_day_of_its_job(sheet, client):
    response = client.post(url("sheet_day", sheet), {"day": "2020-01-01"})
    assert response.status_code == 422
    assert "day" in response.context["form"].errors
    last = sheet.stem.job.last_day.isoformat()
    data = {"day": last, "starts_at": "08:00", "ends_at": "12:00"} | shown_token(client.get(url("sheet_day", sheet)))
    assert client.post(url("sheet_day", sheet), data).status_code == 302
    sheet.refresh_from_db()
    assert sheet.day.isoformat() == last


@pytest.mark.parametrize(
    "changes", [{"starts_at": "08:00"}, {"starts_at": "12:00", "ends_at": "08:00"}, {"ends_at": "25:99"},
                {"starts_at": "8\x00", "ends_at": "9" * 10_000}],
)  # fmt: skip
def test_a_window_that_is_none_is_told(sheet, client, changes):
    data = {"day": sheet.day.isoformat()} | changes
    assert client.post(url("sheet_day", sheet), data).status_code == 422


def test_withdrawing_says_why_and_the_paper_no_longer_stands(issued, client):
    assert client.post(url("sheet_withdraw", issued), {"reason": ""}).status_code == 422
    assert client.post(url("sheet_withdraw", issued), {"reason": "Wind got up"}).status_code == 302
    text = words(client.get(url("sheet", issued)))
    assert "is no longer valid" in text
    assert "Wind got up" in text
    assert "Sheet valid" not in text


def test_a_withdrawal_is_seen_once_by_each(issued, lead, owner, client, signed_in):
    client.post(url("sheet_withdraw", issued), {"reason": "Wind got up"})
    row = SheetWithdrawal.objects.get()
    other = signed_in(owner)
    assert "Sheet " in words(other.get("/"))
    for _ in range(2):
        assert other.post(reverse("withdrawal_seen", args=[row.pk])).status_code == 302
    assert row.seen_by.count() == 1
    assert "I have seen it" not in words(other.get("/"))


def test_a_later_revision_supersedes_the_sheet(issued, lead, client):
    draft = open_draft(actor=lead, stem=issued.stem)
    issue_sheet(actor=lead, sheet=draft, looked_at=EVERYTHING)
    assert "Superseded by revision 2" in words(client.get(url("sheet", issued)))
    assert "Sheet valid" in words(client.get(url("sheet", draft)))
    listed = words(client.get(reverse("sheets")))
    assert "Superseded" in listed


def test_an_auditor_reads_issued_sheets_and_their_papers_only(issued, auditor, signed_in, company):
    draft = SheetFactory(stem=StemFactory(job__company=company))
    reader = signed_in(auditor)
    assert reader.get(url("sheet", issued)).status_code == 200
    assert reader.get(url("sheet_pdf", issued)).status_code == 200
    assert reader.get(url("sheet", draft)).status_code == 403
    listed = reader.get(reverse("sheets"))
    assert issued.number in words(listed)
    assert draft.number not in words(listed)
    for name in ("sheet_issue", "sheet_withdraw", "sheet_source"):
        assert reader.post(url(name, issued)).status_code == 403
    for name in ("job", "job_edit"):
        assert reader.get(reverse(name, args=[issued.stem.job_id])).status_code == 403


def test_an_auditors_page_leads_only_where_an_auditor_may_go(issued, auditor, signed_in):
    reader = signed_in(auditor)
    page = html_of(reader.get(url("sheet", issued)))
    for address in set(re.findall(r'href="(/[^"#?]*)', page)):
        if not address.startswith("/static/"):
            assert reader.get(address).status_code in (200, 302), address


def test_crew_and_inspector_read_sheets_and_do_not_issue(sheet, climber, inspector, signed_in):
    for member in (climber, inspector):
        reader = signed_in(member)
        page = reader.get(url("sheet", sheet))
        assert page.status_code == 200
        assert "Issue the sheet" not in words(page)
        assert reader.post(url("sheet_issue", sheet), LOOKED_AT).status_code == 403
    assert not Record.objects.filter(kind="jobs.sheet-issued").exists()


def test_another_companys_sheet_does_not_exist(issued, outsider, signed_in):
    stranger = signed_in(outsider)
    for name in ("sheet", "sheet_pdf", "sheet_day"):
        assert stranger.get(url(name, issued)).status_code == 404
    for name in ("sheet_issue", "sheet_withdraw", "sheet_source"):
        assert stranger.post(url(name, issued)).status_code == 404


@pytest.mark.parametrize("method_and_name", ["sheet_issue", "sheet_withdraw", "sheet_source"])
def test_what_changes_a_sheet_is_posted_never_opened(sheet, client, method_and_name):
    answer = client.get(url(method_and_name, sheet))
    assert answer.status_code == 302
    assert answer["Location"] == url("sheet", sheet)
    assert not Record.objects.filter(kind__startswith="jobs.sheet").exists()


def test_posting_without_the_token_of_the_page_is_refused(sheet, lead):
    from django.test import Client

    strict = Client(enforce_csrf_checks=True)
    strict.force_login(lead.user, backend="allauth.account.auth_backends.AuthenticationBackend")
    assert strict.post(url("sheet_issue", sheet), LOOKED_AT).status_code == 403
    assert not IssuedSheet.objects.exists()


def test_the_list_asks_no_more_with_more_sheets(company, lead, client, django_assert_num_queries):
    def more(count):
        for _ in range(count):
            SheetFactory(stem=StemFactory(job__company=company))

    more(2)
    client.get(reverse("sheets"))
    with CaptureQueriesContext(connection) as few:
        client.get(reverse("sheets"))
    more(6)
    with django_assert_num_queries(len(few)):
        client.get(reverse("sheets"))
    assert "pdf" not in "".join(query["sql"] for query in few.captured_queries)
