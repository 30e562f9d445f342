"""Pages of a paper: frames, heads, feet with page x of y."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, NextPageTemplate, PageTemplate

from crewlog.pdf.fonts import BOLD, REGULAR, SEMIBOLD, register_fonts
from crewlog.pdf.styles import (
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """What stands at the edges of every page. `foot_lines` are pairs: left and right; page x of y comes by itself."""

    title: str  # file title, and what the paper is
    head: str  # over every page after the first, at the left
    head_right: str
    caution: str  # at the foot, before the page's number
    foot_lines: tuple[tuple[str, str], ...] = ()  # at most two
    banner: str = ""  # in white on black: what the paper no longer is
    author: str = ""
    subject: str = ""


class PaperCanvas(Canvas):
    """Holds the pages back until their number is known, then draws head and foot on each."""

    _pageNumber: int  # noqa: N815  (reportlab's name)
    _startPage: Callable[[], None]  # noqa: N815

    def __init__(self, *args: Any, edge: Edge, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._edge = edge
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
            draw_foot(self, self._edge, self._pageNumber, total)
            if self._pageNumber > 1:
                draw_head(self, self._edge)
            super().showPage()
        super().save()


def draw_head(canvas: Canvas, edge: Edge) -> None:
    """What the paper is over every page after the first; what it no longer is, in white on black."""
    y = PAGE_HEIGHT - TOP - 8
    left = SIDE
    canvas.setFillColor(BLACK)
    if edge.banner:
        width = canvas.stringWidth(edge.banner, BOLD, LABEL_PT) + 10
        canvas.rect(left, y - 3, width, 12, stroke=0, fill=1)
        canvas.setFillColor(WHITE)
        canvas.setFont(BOLD, LABEL_PT)
        canvas.drawString(left + 5, y, edge.banner)
        canvas.setFillColor(BLACK)
        left += width + 6
    right, _ = fit(edge.head_right, LABEL, WIDTH * 0.36, 1)
    canvas.setFont(REGULAR, LABEL_PT)
    canvas.drawRightString(PAGE_WIDTH - SIDE, y, clean(right))
    room = PAGE_WIDTH - SIDE - left - canvas.stringWidth(right, REGULAR, LABEL_PT) - 10
    title, _ = fit(edge.head, LABEL, room * 0.94, 1)
    canvas.setFont(SEMIBOLD, LABEL_PT)
    canvas.drawString(left, y, clean(title))
    canvas.setLineWidth(0.8)
    canvas.setStrokeColor(BLACK)
    canvas.line(SIDE, y - 5, PAGE_WIDTH - SIDE, y - 5)


def draw_foot(canvas: Canvas, edge: Edge, page: int, total: int) -> None:
    """Caution of the paper, page x of y, and its last lines."""
    canvas.setStrokeColor(BLACK)
    canvas.setLineWidth(0.6)
    canvas.line(SIDE, FOOT_RULE, PAGE_WIDTH - SIDE, FOOT_RULE)
    canvas.setFillColor(BLACK)
    canvas.setFont(SEMIBOLD, LABEL_PT)
    canvas.drawRightString(PAGE_WIDTH - SIDE, FOOT_RULE - 9, f"Page {page} of {total}")
    words = para(edge.caution, LABEL)
    _, height = words.wrap(WIDTH - 70, 100)
    words.drawOn(canvas, SIDE, FOOT_RULE - 2 - height)
    canvas.setFont(REGULAR, LABEL_PT)
    y = FOOT_RULE - height - 10
    for left, right in edge.foot_lines:
        canvas.drawString(SIDE, y, clean(left))
        canvas.drawRightString(PAGE_WIDTH - SIDE, y, clean(right))
        y -= 9.5


def write_pdf(edge: Edge, story: Sequence[Flowable]) -> bytes:
    """The story as a PDF; the same content gives the same bytes."""
    register_fonts()
    buffer = io.BytesIO()
    doc = BaseDocTemplate(
        buffer,
        pagesize=(PAGE_WIDTH, PAGE_HEIGHT),
        title=clean(edge.title),
        author=clean(edge.author),
        subject=clean(edge.subject),
        creator="Crewlog",
        lang="en-GB",
        invariant=1,
        pageCompression=1,
    )
    bare = {"leftPadding": 0, "rightPadding": 0, "topPadding": 0, "bottomPadding": 0}
    front = Frame(SIDE, FOOT, WIDTH, FRONT_HEIGHT, id="front", **bare)
    later = Frame(SIDE, FOOT, WIDTH, FRONT_HEIGHT - HEAD, id="later", **bare)
    doc.addPageTemplates([PageTemplate("front", [front]), PageTemplate("later", [later])])
    doc.build([NextPageTemplate("later"), *story], canvasmaker=partial(PaperCanvas, edge=edge))
    return buffer.getvalue()
