"""Edges of the sheet's pages, and the break after its first page."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import ActionFlowable, BaseDocTemplate, Flowable

from crewlog.pdf.document import Edge, write_pdf
from crewlog.pdf.head_code import head_line
from jobs.sheet_rows.content import SheetContent

ADVICE = (
    "Figures are estimates, not instructions. A competent person on site decides; "
    "local law, the maker's instructions and licensed practice come first."
)
NO_FELLING_FIGURES = "No felling figures"

BANNER_WORDS = {"superseded": "SUPERSEDED", "withdrawn": "WITHDRAWN", "gear-only": NO_FELLING_FIGURES.upper()}


class AfterPageOne(ActionFlowable):
    """Starts page two when the load path ended on page one; where it ran on, the page goes on after it."""

    def __init__(self) -> None:
        super().__init__(())

    def apply(self, doc: BaseDocTemplate) -> None:
        """Break the page if it is the first."""
        if doc.page == 1:
            doc.handle_pageBreak()


def edge(content: SheetContent) -> Edge:
    """Sheet, title, company and day at the head; the caution and the seal at the foot."""
    sheet = f"Sheet {content.sheet_number}, revision {content.revision}"
    seal = content.seal
    return Edge(
        title=sheet,
        head=f"{sheet}: {content.title}",
        head_right=f"{content.company}, {content.day}",
        caution=f"{ADVICE} Loads rounded up, capacities down.",
        foot_lines=(
            (f"Snapshot {seal.snapshot_sha256}", f"Mechanics {seal.mechanics_version[:24]}"),
            (head_line(seal.chain_head), "Is it still valid? Scan the code."),
        ),
        banner=BANNER_WORDS[content.banner.kind] if content.banner else "",
        author=content.company,
        subject=content.title,
    )


def write_sheet(content: SheetContent, story: Sequence[Flowable]) -> bytes:
    """The story as a PDF; the same content gives the same bytes."""
    return write_pdf(edge(content), story)
