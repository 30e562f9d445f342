"""The weights of the one font family as pages use them: from the font package, the signs they need, as WOFF2."""

import hashlib
from functools import cache
from importlib.metadata import version
from io import BytesIO
from pathlib import Path

import fontpkg_fira_sans
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

FONT_DIR = Path(fontpkg_fira_sans.ROOT) / "files"
WEIGHTS = ("Regular", "Medium", "SemiBold", "Bold")
BLOCKS = (
    (0x0020, 0x024F),  # Latin and its extensions
    (0x0300, 0x036F),  # marks that join a letter
    (0x0370, 0x03FF),  # Greek
    (0x0400, 0x045F),  # Cyrillic
    (0x0490, 0x0491),  # Ukrainian ge
    (0x1E80, 0x1E9E),  # Welsh, capital sharp s
    (0x2000, 0x22FF),  # punctuation, raised figures, currencies, fractions, arrows, mathematics
)
# What a browser applies by itself, and what the stylesheet asks for: figures of one width, the slashed nought. Figures
# are lining by themselves.
FEATURES = ("calt", "ccmp", "kern", "liga", "locl", "mark", "mkmk", "tnum", "zero")


def file_of(weight: str) -> Path:
    """The font package's file of a weight."""
    return FONT_DIR / f"FiraSans-{weight}.ttf"


@cache
def recipe() -> str:
    """A short name for all that a made font follows from: what it is made of, with what, and how this file does it."""
    versions = version("fontpkg-fira-sans") + version("fonttools")
    return hashlib.sha256(versions.encode() + Path(__file__).read_bytes()).hexdigest()[:12]


def subset(weight: str) -> bytes:
    """One weight with the signs of `BLOCKS`, without hints, as WOFF2; the same bytes each time.

    The measures of the whole font stay: a browser takes the width of a box for text from them.
    """
    options = Options(layout_features=list(FEATURES), hinting=False)
    with TTFont(file_of(weight), recalcTimestamp=False, recalcBBoxes=False) as font:
        subsetter = Subsetter(options)
        subsetter.populate(unicodes=[sign for first, last in BLOCKS for sign in range(first, last + 1)])
        subsetter.subset(font)
        font.flavor = "woff2"
        made = BytesIO()
        font.save(made)
    return made.getvalue()
