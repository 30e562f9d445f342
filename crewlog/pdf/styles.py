"""Paper measures, paragraph styles, and the one way user text becomes a paragraph."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import Color, HexColor
from reportlab.lib.enums import TA_CENTER, TA_LEFT, TA_RIGHT
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import Paragraph

from crewlog.pdf.fonts import BOLD, MEDIUM, REGULAR, SEMIBOLD, register_fonts, text_width
from crewlog.pdf.inks import INK, INK_SOFT, ROPE_INK

PAGE_WIDTH, PAGE_HEIGHT = A4
SIDE = 14 * mm
TOP = 9 * mm
FOOT = 21.5 * mm
WIDTH = PAGE_WIDTH - 2 * SIDE

BLACK = HexColor(INK)
SOFT = HexColor(INK_SOFT)
ROPE = HexColor(ROPE_INK)
TRACER = HexColor("#c9dcf2")
RULE = HexColor("#9a9a9a")
WASH = HexColor("#ececea")
WHITE = HexColor("#ffffff")

TEXT_PT, LABEL_PT = 9.0, 8.0
_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\u200b-\u200f\u202a-\u202e\u2066-\u2069\ufffe\uffff]")


def _style(
    name: str, size: float, leading: float, face: str = REGULAR, *, ink: Color = BLACK, alignment: Any = TA_LEFT
) -> ParagraphStyle:
    return ParagraphStyle(
        name,
        fontName=face,
        fontSize=size,
        leading=leading,
        textColor=ink,
        splitLongWords=1,
        allowWidows=0,
        allowOrphans=0,
        alignment=alignment,
    )


BODY = _style("body", TEXT_PT, 11.2)
BODY_STRONG = _style("body-strong", TEXT_PT, 11.2, SEMIBOLD)
LABEL = _style("label", LABEL_PT, 10.0, ink=SOFT)
LABEL_STRONG = _style("label-strong", LABEL_PT, 10.0, SEMIBOLD)
CELL = _style("cell", LABEL_PT, 9.6)
CELL_STRONG = _style("cell-strong", LABEL_PT, 9.6, SEMIBOLD)
CELL_RIGHT = _style("cell-right", LABEL_PT, 9.6, alignment=TA_RIGHT)
CENTRED = _style("centred", LABEL_PT, 9.6, alignment=TA_CENTER)
TITLE = _style("title", 17.0, 19.0, SEMIBOLD)
SECTION = _style("section", 10.0, 12.5, SEMIBOLD)
SLAB = _style("slab", 13.0, 15.5, BOLD, ink=WHITE)
SLAB_TEXT = _style("slab-text", TEXT_PT, 11.2, MEDIUM, ink=WHITE)
ON_BLACK = _style("on-black", LABEL_PT, 9.6, MEDIUM, ink=WHITE)


def clean(text: str) -> str:
    """Text without control and direction characters; line ends become one kind."""
    return _UNPRINTABLE.sub("", text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " "))


def markup(text: str) -> str:
    """User text as paragraph markup that says nothing but the text."""
    return escape(clean(text)).replace("\n", "<br/>")


def para(text: str, style: ParagraphStyle = BODY) -> Paragraph:
    """A paragraph of user text. No other way leads from user text to a paragraph: markup in it is only shown."""
    register_fonts()
    return Paragraph(markup(text), style)


def para_parts(parts: Iterable[tuple[str, bool]], style: ParagraphStyle = BODY) -> Paragraph:
    """A paragraph of texts, each plain or strong."""
    register_fonts()
    return Paragraph("".join(f"<b>{markup(text)}</b>" if strong else markup(text) for text, strong in parts), style)


def fit(text: str, style: ParagraphStyle, width: float, lines: int) -> tuple[str, bool]:
    """Text cut to so many lines, and whether anything was cut; what is cut stands in full on a later page."""
    if lines_needed(text, style, width) <= lines:
        return text, False
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if lines_needed(text[:middle].rstrip() + " …", style, width) <= lines:
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + " …", True


@lru_cache(maxsize=1024)
def lines_needed(text: str, style: ParagraphStyle, width: float) -> int:
    """Lines that a text takes at a width."""
    if "\n" not in text and text_width(text, style.fontName, style.fontSize) <= width:
        return 1
    _, height = para(text, style).wrap(width, 10_000)
    return round(height / style.leading)


def cell(text: str, style: ParagraphStyle, width: float) -> str | Paragraph:
    """A table cell: plain where the text fits on one line, a wrapping paragraph where it does not."""
    text = clean(text)
    if "\n" not in text and text_width(text, style.fontName, style.fontSize) <= width:
        return text
    return para(text, style)
