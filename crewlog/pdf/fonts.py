"""Fira Sans for paper and drawings, registered once from the font package."""

from __future__ import annotations

from functools import cache
from importlib.resources import as_file, files

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR = "FiraSans-Regular"
MEDIUM = "FiraSans-Medium"
SEMIBOLD = "FiraSans-SemiBold"
BOLD = "FiraSans-Bold"
FACES = (REGULAR, MEDIUM, SEMIBOLD, BOLD)


@cache
def register_fonts() -> None:
    """Register the four weights with reportlab, by path inside the font package."""
    folder = files("fontpkg_fira_sans") / "files"
    for face in FACES:
        with as_file(folder / f"{face}.ttf") as path:
            pdfmetrics.registerFont(TTFont(face, str(path)))
    pdfmetrics.registerFontFamily(REGULAR, normal=REGULAR, bold=SEMIBOLD, italic=REGULAR, boldItalic=SEMIBOLD)


def text_width(text: str, face: str, size: float) -> float:
    """Width of a line of text, in the unit of `size`."""
    register_fonts()
    return float(pdfmetrics.stringWidth(text, face, size))
