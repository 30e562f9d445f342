"""Pages of the sheet: frames, heads, feet with page x of y."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import ActionFlowable, BaseDocTemplate, Flowable, Frame, NextPageTemplate, PageTemplate

from jobs.sheets.content import ADVICE, NO_FELLING_FIGURES, SheetContent
from jobs.sheets.fonts import BOLD, REGULAR, SEMIBOLD, register_fonts
from jobs.sheets.styles import (
    BLACK,
    FOOT,
    LABEL,
    LABEL_PT,
    PAGE_HEIGHT,
    PAGE_WIDTH,
    SIDE,
    TOP,
    WHITE,
    WIDTH,
    clean,
    fit,
    para,
)

HEAD = 18.0
FOOT_RULE = FOOT - 6.0
FRONT_HEIGHT = PAGE_HEIGHT - TOP - FOOT
BANNER_WORDS = {"superseded": "SUPERSEDED", "withdrawn": "WITHDRAWN", "gear-only": NO_FELLING_FIGURES.upper()}


class SheetCanvas(Canvas):
    """Holds the pages back until their number is known, then draws head and foot on each."""

    _pageNumber: int  # noqa: N815  (reportlab's name)
    _startPage: Callable[[], None]  # noqa: N815

    def __init__(self, *args: Any, content: SheetContent, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._content = content
        self._held: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802  (reportlab's name)
        """Keep the page for later."""
        self._held.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        """Draw head and foot of every page, then write the file."""
        held, total = self._held, len(self._held)
        for state in held:
            self.__dict__.update(state)
            draw_foot(self, self._content, self._pageNumber, total)
            if self._pageNumber > 1:
                draw_head(self, self._content)
            super().showPage()
        super().save()


def draw_head(canvas: Canvas, content: SheetContent) -> None:
    """Sheet, title, company and day over every page after the first; what the sheet no longer is, in white on black."""
    y = PAGE_HEIGHT - TOP - 8
    left = SIDE
    canvas.setFillColor(BLACK)
    if content.banner is not None:
        word = BANNER_WORDS[content.banner.kind]
        width = canvas.stringWidth(word, BOLD, LABEL_PT) + 10
        canvas.rect(left, y - 3, width, 12, stroke=0, fill=1)
        canvas.setFillColor(WHITE)
        canvas.setFont(BOLD, LABEL_PT)
        canvas.drawString(left + 5, y, word)
        canvas.setFillColor(BLACK)
        left += width + 6
    right, _ = fit(f"{content.company}, {content.day}", LABEL, WIDTH * 0.36, 1)
    canvas.setFont(REGULAR, LABEL_PT)
    canvas.drawRightString(PAGE_WIDTH - SIDE, y, clean(right))
    room = PAGE_WIDTH - SIDE - left - canvas.stringWidth(right, REGULAR, LABEL_PT) - 10
    title, _ = fit(f"Sheet {content.sheet_number}, revision {content.revision}: {content.title}", LABEL, room * 0.94, 1)
    canvas.setFont(SEMIBOLD, LABEL_PT)
    canvas.drawString(left, y, clean(title))
    canvas.setLineWidth(0.8)
    canvas.setStrokeColor(BLACK)
    canvas.line(SIDE, y - 5, PAGE_WIDTH - SIDE, y - 5)


def draw_foot(canvas: Canvas, content: SheetContent, page: int, total: int) -> None:
    """Caution of the product, seal, and page x of y."""
    canvas.setStrokeColor(BLACK)
    canvas.setLineWidth(0.6)
    canvas.line(SIDE, FOOT_RULE, PAGE_WIDTH - SIDE, FOOT_RULE)
    canvas.setFillColor(BLACK)
    canvas.setFont(SEMIBOLD, LABEL_PT)
    canvas.drawRightString(PAGE_WIDTH - SIDE, FOOT_RULE - 9, f"Page {page} of {total}")
    words = para(f"{ADVICE} Loads rounded up, capacities down.", LABEL)
    _, height = words.wrap(WIDTH - 70, 100)
    words.drawOn(canvas, SIDE, FOOT_RULE - 2 - height)
    canvas.setFont(REGULAR, LABEL_PT)
    y = FOOT_RULE - height - 10
    seal = content.seal
    canvas.drawString(SIDE, y, f"Snapshot {seal.snapshot_sha256}")
    canvas.drawRightString(PAGE_WIDTH - SIDE, y, f"Mechanics {clean(seal.mechanics_version)[:24]}")
    canvas.drawString(SIDE, y - 9.5, f"Record chain {clean(seal.chain_head)[:64]}")
    canvas.drawRightString(PAGE_WIDTH - SIDE, y - 9.5, "Does it still stand? Scan the code.")


class AfterPageOne(ActionFlowable):
    """Starts page two when the load path ended on page one; where it ran on, the page goes on after it."""

    def __init__(self) -> None:
        super().__init__(())

    def apply(self, doc: BaseDocTemplate) -> None:
        """Break the page if it is the first."""
        if doc.page == 1:
            doc.handle_pageBreak()


def write_pdf(content: SheetContent, story: Sequence[Flowable]) -> bytes:
    """The story as a PDF; the same content gives the same bytes."""
    register_fonts()
    buffer = io.BytesIO()
    doc = BaseDocTemplate(
        buffer,
        pagesize=(PAGE_WIDTH, PAGE_HEIGHT),
        title=clean(f"Sheet {content.sheet_number}, revision {content.revision}"),
        author=clean(content.company),
        subject=clean(content.title),
        creator="Crewlog",
        lang="en-GB",
        invariant=1,
        pageCompression=1,
    )
    bare = {"leftPadding": 0, "rightPadding": 0, "topPadding": 0, "bottomPadding": 0}
    front = Frame(SIDE, FOOT, WIDTH, FRONT_HEIGHT, id="front", **bare)
    later = Frame(SIDE, FOOT, WIDTH, FRONT_HEIGHT - HEAD, id="later", **bare)
    doc.addPageTemplates([PageTemplate("front", [front]), PageTemplate("later", [later])])
    doc.build([NextPageTemplate("later"), *story], canvasmaker=partial(SheetCanvas, content=content))
    return buffer.getvalue()
