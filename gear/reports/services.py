"""Issuing a report of thorough examination."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from urllib.parse import urljoin

from django.conf import settings
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from crewlog.evidence import Entry, append_row, canonical_json, chain_head
from crewlog.evidence.documents import keep_document
from crewlog.models import Company, ExaminerDetails, Membership, Person, Role
from crewlog.people.rights import require_role
from gear.failures.telling import tellings_of
from gear.fitness.reasons import moment_words
from gear.models import ExaminationReport, Inspection, ReportedInspection
from gear.reports.build import item_reports, one_line, person_words, report_particulars
from gear.reports.choice import REPORTED_KINDS, ReportRefused, ReportRequest, check_said
from gear.reports.content import ReportContent
from gear.reports.render import render_report

MOST_ITEMS = 60


@transaction.atomic
def issue_report(
    *, actor: Membership, inspections: Sequence[Inspection], said: Mapping[int, ReportRequest], premises: str
) -> ExaminationReport:
    """Make the report of one or more examinations by one person, and keep what was handed out.

    The author issues it, or the owner on the author's behalf. Raises ReportRefused with a stable code.
    """
    require_role(actor, Role.OWNER, Role.INSPECTOR)
    company = Company.objects.select_for_update().get(pk=actor.company_id)
    rows = chosen(company, inspections)
    author = must_have_one_author(rows)
    check_particulars(actor, company, author, premises)
    told = tellings_of(rows)
    for row in rows:
        check_said(row, said[row.pk], told.get(row.pk))
    now, number, head = timezone.now(), next_number(company), chain_head(company)
    facts = canonical_json(facts_of(company, rows, said, premises))
    report = ExaminationReport(
        company=company,
        number=number,
        issued_on=company.today(),
        signed_by=author,
        authenticated_by=None if author.pk == actor.person_id else actor.person,
        premises=premises,
        facts=facts,
        facts_sha256=hashlib.sha256(facts.encode()).hexdigest(),
        chain_head=head,
        pdf=b"",  # stands apart from evidence, see decision 0008
    )
    entry = Entry(actor=actor.person, happened_at=now)
    append_row(company, entry, report, people=[author, actor.person])
    ReportedInspection.objects.bulk_create(ReportedInspection(report=report, inspection=row) for row in rows)
    keep_document(of=report.record, entry=entry, content=render_report(content_of(report, rows, said)))
    return report


def chosen(company: Company, inspections: Sequence[Inspection]) -> list[Inspection]:
    """The examinations read afresh with all that the report prints. A fixed number of queries."""
    rows = list(
        Inspection.objects.for_company(company)
        .filter(pk__in=[row.pk for row in inspections])
        .select_related("record", "item__company", "inspector__details", "failure")
        .prefetch_related("files", "record__corrections")
        .order_by("item__tag", "pk")
    )
    if len(rows) < len({row.pk for row in inspections}):
        raise ReportRefused("There is no such examination here.", code="other-company")
    if not rows:
        raise ReportRefused("Choose at least one examination.", code="report-of-nothing")
    if len(rows) > MOST_ITEMS:
        raise ReportRefused(f"A report takes up to {MOST_ITEMS} examinations.", code="report-too-long")
    for row in rows:
        if row.kind not in REPORTED_KINDS or row.verdict == "not_examined":
            raise ReportRefused(f"{row.item.tag}: that was no thorough examination.", code="not-thorough")
        if row.record.corrections.all():
            raise ReportRefused(f"{row.item.tag}: that examination was corrected later.", code="corrected-already")
    return rows


def must_have_one_author(rows: Sequence[Inspection]) -> Person:
    if len({row.inspector_id for row in rows}) > 1:
        raise ReportRefused("A report has one author. Choose examinations of one person.", code="two-authors")
    return rows[0].inspector


def check_particulars(actor: Membership, company: Company, author: Person, premises: str) -> None:
    if not company.address.strip():
        raise ReportRefused(
            "The company's address is missing. The owner enters it under Company.", code="company-without-address"
        )
    if not premises.strip():
        raise ReportRefused("Say where it was examined.", code="premises-missing", field="premises")
    if author.pk != actor.person_id and actor.role != Role.OWNER:
        raise ReportRefused("Only the person who examined it or the owner can issue its report.", code="not-the-author")
    if examiner_of(author) is None:
        raise ReportRefused(
            f"Qualifications and address of {author} are missing. Enter them first.", code="examiner-unknown"
        )
    if author.pk != actor.person_id and examiner_of(actor.person) is None:
        raise ReportRefused("Your own address is missing. Enter it first.", code="authenticator-unknown")


def examiner_of(person: Person) -> ExaminerDetails | None:
    """What a report says of a person; None where nothing was entered. One query."""
    found: ExaminerDetails | None = ExaminerDetails.objects.filter(details__person=person).first()
    return found


def next_number(company: Company) -> str:
    """TE-2026-0007: counted by company and year, under the company's lock."""
    prefix = f"TE-{company.today().year}-"
    count = ExaminationReport.objects.filter(company=company, number__startswith=prefix).count()
    return f"{prefix}{count + 1:04d}"


def facts_of(
    company: Company, rows: Sequence[Inspection], said: Mapping[int, ReportRequest], premises: str
) -> dict[str, object]:
    """What the report rests on, without names of people."""
    return {
        "employer": [company.name, company.address],
        "premises": premises,
        "author": str(rows[0].inspector_id),
        "examinations": [{"record": row.record.hash, "inspection": row.pk, **asdict(said[row.pk])} for row in rows],
    }


def content_of(
    report: ExaminationReport, rows: Sequence[Inspection], said: Mapping[int, ReportRequest]
) -> ReportContent:
    company, author, other = report.company, report.signed_by, report.authenticated_by
    examiner = examiner_of(author)
    if examiner is None:
        raise ValueError("a report cannot be printed without its author's details")
    behalf = examiner_of(other) if other is not None else None
    authenticator = f"{other}, {one_line(behalf.address)}." if behalf is not None else ""
    at = moment_words(report.record.happened_at, company.time_zone)
    return ReportContent(
        company=company.name,
        number=report.number,
        issued=f"Issued {at}.",
        particulars=report_particulars(
            company=company,
            premises=report.premises,
            author=person_words(author, examiner, company),
            authenticator=authenticator,
            issued_on=report.issued_on,
        ),
        items=item_reports(rows, said, company),
        signed=at,
        signer=str(author),
        authenticator=str(other) if other is not None else "",
        facts_sha256=report.facts_sha256,
        chain_head=report.chain_head,
        address=urljoin(settings.SITE_ADDRESS, reverse("report", args=[report.pk])),
    )
