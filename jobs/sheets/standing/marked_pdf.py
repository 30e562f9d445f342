"""A PDF that was handed out, with what became of it since across the head of every page."""

import io

from pypdf import PdfReader, PdfWriter, Transformation
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas

from crewlog.pdf.fonts import BOLD, REGULAR, register_fonts
from crewlog.pdf.marks import draw_slab
from crewlog.pdf.styles import SIDE, WHITE, fit, para

BAND_PT = 66.0  # over each page, in the room that the page makes by being printed smaller
TITLE = ParagraphStyle("marked-title", fontName=BOLD, fontSize=13, leading=15, textColor=WHITE)
TEXT = ParagraphStyle("marked-text", fontName=REGULAR, fontSize=9, leading=11, textColor=WHITE)


def mark_pdf(pdf: bytes, *, word: str, why: str) -> bytes:
    """The same pages, each a little smaller under a slab that says what the sheet no longer is, and why.

    Nothing of a page is covered. Raises pypdf.errors.PyPdfError for bytes that are no PDF.
    """
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(pdf)))
    for page in writer.pages:
        width, height = float(page.mediabox.width), float(page.mediabox.height)
        scale = (height - BAND_PT) / height
        page.add_transformation(Transformation().scale(scale).translate(width * (1 - scale) / 2, 0))
        page.merge_page(PdfReader(io.BytesIO(slab(width, height, word, why))).pages[0])
        page.compress_content_streams()
    writer.compress_identical_objects()
    title = writer.metadata.title or "" if writer.metadata is not None else ""
    writer.add_metadata({"/Title": f"{word}: {title}"})
    marked = io.BytesIO()
    writer.write(marked)
    return marked.getvalue()


def slab(width: float, height: float, word: str, why: str) -> bytes:
    """One page that holds the slab alone; a reason too long for three lines is cut and ends in dots."""
    register_fonts()
    drawn = io.BytesIO()
    canvas = Canvas(drawn, pagesize=(width, height), invariant=1)
    inner, tall = width - 2 * SIDE, BAND_PT - 10
    canvas.translate(SIDE, height - BAND_PT + 2)
    draw_slab(canvas, inner, tall)
    y = tall - 4
    for text, style, lines in ((word.upper(), TITLE, 1), (why, TEXT, 3)):
        shown, _ = fit(text, style, inner - 32, lines)
        words = para(shown, style)
        _, needed = words.wrap(inner - 30, tall)
        y -= needed
        words.drawOn(canvas, 20, y)
    canvas.save()
    return drawn.getvalue()
