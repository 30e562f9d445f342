"""The page of a sheet and the list of them: state, figures, what refuses it, what it was issued as."""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from crewlog.dates import day_words
from crewlog.models import Company, IssuedDocument, Person
from crewlog.web.ui_rows import Cure, Figure, FindingRow, MarkKind
from gear.fitness.usage_since_pass import UsageSincePass, usage_since_pass
from jobs.models import IssuedSheet, Sheet
from jobs.models.snapshot_json import SnapshotJson, snapshot_of
from jobs.models.values import Json
from jobs.plans.code_words import reasons_words
from jobs.plans.key_figures import key_figures
from jobs.plans.page import figure_strip
from jobs.plans.page_findings import finding_row, own_rows
from jobs.plans.page_rows import stem_title
from jobs.plans.watched import watched_inputs
from jobs.sheets.changes import Change, value_key
from jobs.sheets.check import SheetCheck
from jobs.sheets.standing.selectors import standing
from jobs.sheets.standing.working_copy import CopyNote, working_copy_note
from jobs.sites.page_state import State, sheet_state
from jobs.wording.counted import counted
from jobs.wording.date_words import moment_words, window_words
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter

VERDICTS: dict[str, str] = {
    "stands": "stands",
    "withdrawn": "refused",
    "superseded": "caution",
    "closed": "caution",
    "lapsed": "caution",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeRow:
    """An input changed after a refusal, with the form that names its new source."""

    what: str
    before: str
    after: str
    refusal: str
    source: str
    needs_source: bool
    path: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftPage:
    """A draft with everything that stands against it."""

    verdict_kind: str
    verdict_words: str
    verdict_line: str
    figures: tuple[Figure, ...]
    findings: tuple[FindingRow, ...]
    cautions: tuple[FindingRow, ...]
    changes: tuple[ChangeRow, ...]
    can_issue: bool
    day: str

    @property
    def is_refused(self) -> bool:
        return self.verdict_kind == "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class WithdrawalRow:
    """Why a sheet no longer stands, and whether the reader has said they saw it."""

    id: int
    reason: str
    when: str
    is_seen: bool
    tag: str = ""
    back: UsageSincePass | None = None


@dataclass(frozen=True, slots=True)
class DocumentLine:
    """The paper that was handed out: its hash and size, and since when only these are left."""

    sha256: str
    size: str
    gone_on: str = ""
    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuedPage:
    """A sheet as it was issued."""

    verdict_kind: str
    verdict_words: str
    verdict_line: str
    is_in_force: bool
    copy: CopyNote | None
    figures: tuple[Figure, ...]
    issued_line: str
    sha256: str
    chain_head: str
    mechanics_version: str
    withdrawals: tuple[WithdrawalRow, ...]
    changes: tuple[ChangeRow, ...]
    paper: DocumentLine


@dataclass(frozen=True, slots=True, kw_only=True)
class ListRow:
    """One sheet of the company's list."""

    id: int
    title: str
    stem: str
    site: str
    day: str
    mark: MarkKind
    state: str


def draft_page(check: SheetCheck) -> DraftPage:
    """Lay a checked draft out for its page."""
    write = UnitFormatter(check.plan_data.job.company.unit_system)
    refusals = check.refusals
    if check.stands:
        verdict = (
            "stands",
            "Nothing is refused",
            "The sheet can be issued. It is valid for the measured stem and the day it names.",
        )
    elif refusals:
        verdict = (
            "refused",
            f"Refused: {counted(len(refusals), 'reason')}",
            "You can issue it once every reason is cured. A refusal cannot be overridden.",
        )
    else:
        verdict = ("refused", "Not worked out", "The plan has no result yet, so there is nothing to issue.")
    inputs = watched_inputs(check.plan_data)
    return DraftPage(
        verdict_kind=verdict[0],
        verdict_words=verdict[1],
        verdict_line=verdict[2],
        figures=figure_strip(key_figures(check.plan_data, check.outcome), refusals, write),
        findings=refusal_rows(refusals, check),
        cautions=tuple(finding_row(f, check.plan_data.stem) for f in check.cautions),
        changes=tuple(change_row(change, inputs.get(change.path)) for change in check.changes),
        can_issue=check.stands,
        day=f"{day_words(check.sheet.day)}, {window_words(check.sheet)}",
    )


def refusal_rows(refusals: Iterable[Finding], check: SheetCheck) -> tuple[FindingRow, ...]:
    """Every reason of a refusal; open answers are summed up by the part of the form they belong to."""
    own = [f for f in refusals if f.area in ("stem", "plan")]
    others = [f for f in refusals if f.area not in ("stem", "plan")]
    return (*own_rows(own, check.plan_data.stem), *(refusal_row(f, check) for f in others))


def refusal_row(finding: Finding, check: SheetCheck) -> FindingRow:
    """A refusal with its rule's words first: "Double-booked: D-02"."""
    row = finding_row(finding, check.plan_data.stem)
    if finding.area == "sheet":
        anchor = f"#change-{finding.subject}" if finding.code == "change-without-source" else "#day"
        return FindingRow(row.kind, row.title, row.why, (Cure(finding.cure, verb="Open", href=anchor),), id=row.id)
    return row


def change_row(change: Change, value: Json) -> ChangeRow:
    return ChangeRow(
        what=change.what,
        before=change.before,
        after=change.after,
        refusal=reasons_words(change.refusal, change.path),
        source=change.source,
        needs_source=change.needs_source,
        path=change.path,
        value=value_key(value),
    )


def issued_page(sheet: Sheet, issue: IssuedSheet, siblings: Iterable[Sheet], reader_person: Person) -> IssuedPage:
    """Lay an issued sheet out from its own snapshot: later changes do not rewrite it. Queries."""
    company = sheet.stem.job.company
    snapshot = snapshot_of(issue)
    found = standing(sheet, siblings, company.today())
    return IssuedPage(
        verdict_kind=VERDICTS[found.key],
        verdict_words=found.word,
        verdict_line=found.why,
        is_in_force=found.is_in_force,
        copy=working_copy_note(sheet, issue) if found.is_in_force else None,
        figures=snapshot_figures(snapshot),
        issued_line=f"Issued by {issue.issued_by} on {moment_words(issue.record.happened_at, company)}",
        sha256=issue.snapshot_sha256,
        chain_head=issue.chain_head,
        mechanics_version=issue.mechanics_version,
        withdrawals=withdrawal_rows(sheet, company, reader_person),
        changes=tuple(snapshot_change(each) for each in snapshot.get("changes", [])),
        paper=kept_document(issue),
    )


def kept_document(issue: IssuedSheet) -> DocumentLine:
    """What is left of the paper: its bytes, or only their hash. One query."""
    row = IssuedDocument.objects.filter(of=issue.record_id).select_related("purge__record").first()
    if row is None:  # issued while the bytes still stood in the evidence itself
        content = bytes(issue.pdf)
        return DocumentLine(hashlib.sha256(content).hexdigest(), f"{len(content) / 1024:.0f} kB")
    purge = getattr(row, "purge", None)
    gone_on = moment_words(purge.record.happened_at, issue.record.company) if purge else ""
    return DocumentLine(row.sha256, f"{row.length / 1024:.0f} kB", gone_on, purge.because if purge else "")


def snapshot_figures(snapshot: SnapshotJson) -> tuple[Figure, ...]:
    """The five figures of the paper's first page, as they were printed."""
    return tuple(Figure(f["label"], f["number"], f["unit"], f["note"]) for f in snapshot.get("figures", []))


def snapshot_change(stored: Mapping[str, Json]) -> ChangeRow:
    said = {name: str(stored.get(name, "")) for name in ("what", "before", "after", "refusal", "source", "path")}
    said["refusal"] = reasons_words(said["refusal"], said["path"])
    return ChangeRow(**said, needs_source=False, value="")


def withdrawal_rows(sheet: Sheet, company: Company, person: Person) -> tuple[WithdrawalRow, ...]:
    rows = sheet.withdrawals.select_related("record", "item").prefetch_related("seen_by")
    return tuple(
        WithdrawalRow(
            id=row.pk,
            reason=row.reason,
            when=moment_words(row.record.happened_at, company),
            is_seen=any(seen.person_id == person.pk for seen in row.seen_by.all()),
            tag=row.item.tag if row.item is not None else "",
            back=usage_since_pass(row.item, until=company.today(), before=row.record) if row.item is not None else None,
        )
        for row in rows
    )


def list_rows(sheets: Iterable[Sheet], later: frozenset[int]) -> list[ListRow]:
    """Rows of the company's list. `later` holds the sheets that a later issued revision supersedes."""
    rows = []
    for sheet in sheets:
        state = sheet_state(sheet, (sheet,))
        if sheet.pk in later and state.key == "stands":
            state = State("superseded", "gone", "Superseded")
        rows.append(
            ListRow(
                id=sheet.pk,
                title=f"{sheet.number}, revision {sheet.revision}",
                stem=stem_title(sheet.stem),
                site=sheet.stem.job.site_name,
                day=day_words(sheet.day),
                mark=state.mark,
                state=state.word,
            )
        )
    return rows
