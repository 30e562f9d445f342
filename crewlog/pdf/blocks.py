"""Blocks that every paper shares, from plain data to flowables."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import CondPageBreak, Flowable, Table, TableStyle

from crewlog.pdf.content import Fact, Signature
from crewlog.pdf.marks import draw_slab
from crewlog.pdf.styles import BLACK, BODY, CELL, SECTION, SLAB, SLAB_TEXT, WIDTH, fit, para
from crewlog.pdf.tables import RULED, plain_table, ruled_table, strong

COLUMN_GAP = 16.0
FLUSH = [("RIGHTPADDING", (0, 0), (-1, -1), 0)]


class Cut:
    """Collects what a block had to cut short, to be printed in full on a later page."""

    def __init__(self) -> None:
        self.facts: list[Fact] = []

    def fit(self, label: str, text: str, width: float, *, lines: int, style: ParagraphStyle = BODY) -> str:
        """The text in at most so many lines; the whole text is kept under its label when some of it is cut."""
        shown, was_cut = fit(text, style, width, lines)
        if was_cut:
            self.facts.append(Fact(label, text))
        return shown


def section(title: str, width: float = WIDTH, space: float = 6.0) -> Flowable:
    """A heading under a firm rule."""
    style = [
        ("LINEABOVE", (0, 0), (-1, 0), 1.4, BLACK),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
    ]
    head = plain_table([[para(title, SECTION)]], [width], style)
    head.spaceBefore = space
    return head


class Slab(Flowable):
    """A verdict with the face notch cut into its side, and its words."""

    def __init__(self, title: str, text: str, cut: Cut) -> None:
        super().__init__()
        title = cut.fit("Verdict", title, WIDTH - 32, lines=2, style=SLAB)
        text = cut.fit("Verdict", text, WIDTH - 32, lines=3, style=SLAB_TEXT)
        self._words = [para(title, SLAB), para(text, SLAB_TEXT)]
        self.width = WIDTH
        self.height = sum(words.wrap(WIDTH - 32, 500)[1] for words in self._words) + 12
        self.spaceAfter = 5

    def draw(self) -> None:
        """The slab and its two paragraphs."""
        draw_slab(self.canv, self.width, self.height)
        y = self.height - 5
        for words in self._words:
            y -= words.height
            words.drawOn(self.canv, 20, y)


def titled(title: str, *blocks: Flowable, needs: float = 64.0) -> list[Flowable]:
    """A heading with its block, moved on together when less than `needs` points are left on the page."""
    return [CondPageBreak(needs), section(title), *blocks]


def facts_table(title: str, facts: Sequence[Fact]) -> list[Flowable]:
    """Labels with their values, ruled, the values in full."""
    if not facts:
        return []
    rows = [[strong(f.label), para(f.value, CELL)] for f in facts]
    table = Table(rows, colWidths=[110.0, WIDTH - 110.0], style=TableStyle(RULED), hAlign="LEFT", splitInRow=1)
    return titled(title, table)


def lines(title: str, texts: Sequence[str]) -> list[Flowable]:
    """Plain lines under a heading."""
    return titled(title, *(para(text, BODY) for text in texts), needs=40.0) if texts else []


def signatures(items: Sequence[Signature], title: str = "Read, understood and signed") -> list[Flowable]:
    """Lines to sign, with room for a pen."""
    if not items:
        return []
    rows = [(strong(s.role), s.name, s.signed_at or " ", " ") for s in items]  # blank: room for a pen
    table = ruled_table(("Role", "Name", "Signed", "Signature"), rows, (110.0, 150.0, 110.0, WIDTH - 370.0))
    table.setStyle(TableStyle([("TOPPADDING", (0, 1), (-1, -1), 8), ("BOTTOMPADDING", (0, 1), (-1, -1), 4)]))
    return titled(title, table)


def names(people: Sequence[str]) -> str:
    """Names in a row; an initial stays with its name."""
    return ", ".join(name.replace(". ", ".\u00a0") for name in people)
