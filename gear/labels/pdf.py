"""Labels and bands as a PDF. A label names the item; what it carries is read on the item or its page."""

import io
from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from segno import QRCode

from crewlog.pdf.fonts import BOLD, REGULAR, SEMIBOLD, register_fonts, text_width
from crewlog.pdf.styles import clean
from gear.labels.formats import BANDS, LabelFormat
from gear.register.address import QUIET, label_code

EDGE_MM = 0.6  # a printer's drift
LEAST_PT, SMALL_PT = 4.5, 6.0
CUT_GREY = 0.6


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says."""

    tag: str
    class_name: str
    company: str
    tracer: str
    address: str


def labels_pdf(labels: Sequence[Label], layout: LabelFormat, *, start: int = 1) -> bytes:
    """Labels in order, the first at the place `start` of a part-used sheet. The same labels give the same bytes.

    Raises RuleBroken where an address is too long for the label.
    """
    canvas, buffer = blank(layout)
    width, height = layout.label_mm
    for number, label in enumerate(labels, start=start - 1):
        place = number % layout.per_page
        if place == 0 and number > start - 1:
            canvas.showPage()
        left, top = layout.corner_mm(place)
        canvas.saveState()
        canvas.translate(left * mm, (layout.page_mm[1] - top - height) * mm)
        draw_label(canvas, label, width - 2 * EDGE_MM, height - 2 * EDGE_MM)
        canvas.restoreState()
    canvas.save()
    return buffer.getvalue()


def bands_pdf(labels: Sequence[Label], *, start: int = 1) -> bytes:
    """One band for each: the tag over and over with its colour tracer's word, lines to cut along."""
    canvas, buffer = blank(BANDS)
    width, height = BANDS.label_mm
    for number, label in enumerate(labels, start=start - 1):
        place = number % BANDS.per_page
        if place == 0 and number > start - 1:
            canvas.showPage()
        left, top = BANDS.corner_mm(place)
        canvas.saveState()
        canvas.translate(left * mm, (BANDS.page_mm[1] - top - height) * mm)
        draw_band(canvas, label, width, height)
        canvas.restoreState()
    canvas.save()
    return buffer.getvalue()


def blank(layout: LabelFormat) -> tuple[Canvas, io.BytesIO]:
    register_fonts()
    buffer = io.BytesIO()
    size = (layout.page_mm[0] * mm, layout.page_mm[1] * mm)
    canvas = Canvas(buffer, pagesize=size, invariant=1, pageCompression=1, lang="en-GB")
    canvas.setTitle(clean(f"Labels, {layout.name}"))
    canvas.setCreator("Crewlog")
    return canvas, buffer


def draw_label(canvas: Canvas, label: Label, width: float, height: float) -> None:
    """A wide label has its code at the left and words beside it, any other its words below. Sizes in mm."""
    canvas.translate(EDGE_MM * mm, EDGE_MM * mm)
    if width >= 1.5 * height:
        code = label_code(label.address, height)
        draw_code(canvas, code, left=0, bottom=0, side=height)
        left = height + 0.5
        draw_words(canvas, label, (left, 0.8), (width - left, height - 1.6))
        return
    words = max(1.9, height * 0.2)
    side = min(width, height - words)
    code = label_code(label.address, side)
    draw_code(canvas, code, left=(width - side) / 2, bottom=height - side, side=side)
    draw_tag(canvas, label.tag, width, words)


def draw_code(canvas: Canvas, code: QRCode, *, left: float, bottom: float, side: float) -> None:
    """The modules as black rectangles, runs of a row as one, so that no hairline parts them."""
    matrix = [list(row) for row in code.matrix_iter(border=QUIET)]
    module = side / len(matrix)
    canvas.setFillGray(0)
    for line, row in enumerate(matrix):
        y = bottom + side - (line + 1) * module
        start = None
        for column, dark in enumerate([*row, 0]):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                x = left + start * module
                canvas.rect(x * mm, y * mm, (column - start) * module * mm, module * mm, stroke=0, fill=1)
                start = None


def fitting(text: str, face: str, max_pt: float, width_mm: float) -> float:
    """The size at which a line fits the width, at most `max_pt`."""
    return min(max_pt, width_mm * mm / max(text_width(text, face, 1.0), 0.01))


def draw_tag(canvas: Canvas, tag: str, width: float, height: float) -> None:
    tag = clean(tag)
    size = fitting(tag, BOLD, height * mm * 0.95, width)
    canvas.setFont(BOLD, size)
    canvas.drawCentredString(width * mm / 2, (height * mm - size * 0.72) / 2, tag)


def draw_words(canvas: Canvas, label: Label, at: tuple[float, float], room: tuple[float, float]) -> None:
    """Tag as large as it fits; class and company where they can be read."""
    left, bottom = at
    width, height = room
    tag = clean(label.tag)
    size = fitting(tag, BOLD, min(height * mm * 0.42, 22.0), width)
    top = (bottom + height) * mm - size * 0.78
    canvas.setFont(BOLD, size)
    canvas.drawString(left * mm, top, tag)
    small = SMALL_PT if height < 25 else 8.0
    for text, face in ((label.class_name, SEMIBOLD), (label.company, REGULAR)):
        for line in wrapped(clean(text), face, small, width):
            top -= small * 1.25
            if top < bottom * mm:
                return
            canvas.setFont(face, fitting(line, face, small, width))
            canvas.drawString(left * mm, top, line)


def wrapped(text: str, face: str, size: float, width_mm: float) -> list[str]:
    """A text broken between words into at most two lines; nothing when a line would be too small to read."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, face, size) <= width_mm * mm:
            lines[-1] = longer
        else:
            lines.append(word)
    fits = all(fitting(line, face, size, width_mm) >= LEAST_PT for line in lines)
    return lines if len(lines) <= 2 and fits else []


def draw_band(canvas: Canvas, label: Label, width: float, height: float) -> None:
    canvas.setStrokeGray(CUT_GREY)
    canvas.setLineWidth(0.4)
    canvas.rect(0, 0, width * mm, height * mm)
    words = clean(f"{label.tag} {label.tracer}".strip())
    size = 13.0
    step = text_width(words, BOLD, size) + 5 * mm
    x = 3 * mm
    while x == 3 * mm or x + step - 5 * mm <= (width - 3) * mm:
        canvas.setFont(BOLD, fitting(words, BOLD, size, width - 6))
        canvas.setFillGray(0)
        canvas.drawString(x, (height * mm - size * 0.72) / 2, words)
        x += step
