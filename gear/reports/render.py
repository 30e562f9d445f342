"""The report as a PDF: its blocks in reading order."""

from __future__ import annotations

from reportlab.platypus import CondPageBreak, Flowable, Spacer

from crewlog.pdf.blocks import FLUSH, facts_table, signatures, titled
from crewlog.pdf.content import Signature
from crewlog.pdf.document import Edge, write_pdf
from crewlog.pdf.head_code import head_line
from crewlog.pdf.marks import QrCode, StateMark
from crewlog.pdf.styles import BODY, CELL, LABEL, LABEL_STRONG, TITLE, WIDTH, para
from crewlog.pdf.tables import plain_table, ruled_table, strong
from gear.reports.content import ItemReport, ReportContent
from gear.reports.schedule import MAKERS_FIRST, OF_ITEM, OF_REPORT, WORDS
from gear.reports.schedule import TITLE as SCHEDULE

QR_PT = 62.0
PARAGRAPH_PT, WORDS_PT = 40.0, 150.0
CAUTION = (
    "States what a competent person found that day. A copy is genuine if its hash is the one below. " + MAKERS_FIRST
)


def render_report(content: ReportContent) -> bytes:
    """The report as a PDF. Same content, same bytes; all user text is shown as written, never read as markup."""
    story: list[Flowable] = [
        heading(content),
        *particulars("Particulars of the report", OF_REPORT, content.particulars),
        *summary(content),
    ]
    for item in content.items:
        story += item_blocks(item)
    story += signed(content)
    return write_pdf(edge(content), story)


def edge(content: ReportContent) -> Edge:
    name = f"Report of thorough examination {content.number}"
    return Edge(
        title=name,
        head=name,
        head_right=content.company,
        caution=CAUTION,
        foot_lines=(
            (f"Facts {content.facts_sha256}", content.number),
            (head_line(content.chain_head), "Corrected since? Scan the code."),
        ),
        author=content.company,
        subject=SCHEDULE,
    )


def heading(content: ReportContent) -> Flowable:
    """Company, what it is, number and date at the left; the code at the right."""
    words = [
        para(content.company, LABEL_STRONG),
        para(f"Report of thorough examination {content.number}", TITLE),
        para(f"{content.issued} {SCHEDULE}.", BODY),
        para(f"Whether an examination in it was corrected since: {content.address}", LABEL),
    ]
    return plain_table([[words, QrCode(content.address, QR_PT)]], [WIDTH - QR_PT, QR_PT], FLUSH)


def particulars(title: str, paragraphs: tuple[str, ...], said: dict[str, str]) -> list[Flowable]:
    """Every paragraph of the schedule in its order, with what the report says to it."""
    rows = [(strong(number), WORDS[number], para(said[number], CELL)) for number in paragraphs]
    widths = (PARAGRAPH_PT, WORDS_PT, WIDTH - PARAGRAPH_PT - WORDS_PT)
    return titled(title, ruled_table(("Par.", "Particular", "As found"), rows, widths))


def summary(content: ReportContent) -> list[Flowable]:
    """Every item on one line."""
    rows = [(strong(item.tag), item.description, outcome(item), item.next_due) for item in content.items]
    count = len(rows)
    title = "Item examined" if count == 1 else f"{count} items examined"
    widths = (64.0, WIDTH - 334.0, 170.0, 100.0)
    return titled(title, ruled_table(("Tag", "Item", "Outcome", "Next at the latest"), rows, widths))


def outcome(item: ItemReport) -> Flowable:
    return plain_table(
        [[StateMark(item.mark), para(item.outcome, CELL)]], [13, 152], [("TOPPADDING", (0, 0), (0, 0), 2)]
    )


def item_blocks(item: ItemReport) -> list[Flowable]:
    """One item: particulars, who was told, checklist, measures, photographs."""
    blocks: list[Flowable] = [CondPageBreak(240), Spacer(0, 8)]
    blocks += particulars(f"{item.tag}: {item.description}", OF_ITEM, item.particulars)
    blocks += facts_table(f"{item.tag}: who was told", item.notified)
    if item.points:
        rows = [(point.words, point.answer, point.saw) for point in item.points]
        table = ruled_table(("Point", "Answer", "Seen"), rows, (190.0, 60.0, WIDTH - 250.0))
        blocks += titled(f"{item.tag}: checklist version {item.checklist}", table)
    if item.measures:
        found = [(m.label, m.value, m.limit, m.verdict, m.source) for m in item.measures]
        table = ruled_table(
            ("Measure", "Found", "Limit", "Is", "Source of the limit"), found, (150.0, 56.0, 84.0, 60.0, WIDTH - 350.0)
        )
        blocks += titled(f"{item.tag}: measures", table)
    if item.changes:
        lines = [(c.what, f"{c.old} → {c.new}", c.why, c.counts) for c in item.changes]
        table = ruled_table(("Fact", "Old → new", "Why", "Is"), lines, (110.0, 120.0, WIDTH - 330.0, 100.0))
        blocks += titled(f"{item.tag}: facts changed on record since the examination before", table)
    if item.files:
        blocks += titled(f"{item.tag}: photographs on record, by sha256", *(para(f, LABEL) for f in item.files))
    return [*blocks, para(item.record, LABEL)]


def signed(content: ReportContent) -> list[Flowable]:
    lines = [Signature(role="Makes the report", name=content.signer, signed_at=content.signed)]
    if content.authenticator:
        lines = [
            Signature(role="Makes the report", name=content.signer, signed_at="see paragraph 10"),
            Signature(role="Authenticates it", name=content.authenticator, signed_at=content.signed),
        ]
    return signatures(lines, "Authenticated by signing in under one's own name")
