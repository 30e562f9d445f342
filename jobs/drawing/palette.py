"""Roles to strokes: CSS classes for the screen, ink for paper."""

from __future__ import annotations

from dataclasses import dataclass

from crewlog.pdf.fonts import BOLD, MEDIUM, SEMIBOLD
from crewlog.pdf.inks import INK, INK_SOFT, PAPER, ROPE_INK
from jobs.drawing.scene import Role, TextRole

TEXT_PX = 13.0
STRONG_PX = 15.0
HALO_PX = 5.0

# The screen's colours live in the style sheet; here a role only names its classes.
SCREEN: dict[Role, str] = {
    "paper": "d-paper",
    "wood": "d-wood",
    "ground": "d-ground",
    "turf": "d-turf",
    "thing": "d-thing",
    "plate": "d-plate",
    "grid": "d-grid",
    "rope": "d-rope",
    "rope-thin": "d-rope d-rope--thin",
    "tracer": "d-tracer",
    "ropefill": "d-ropefill",
    "ink": "d-ink",
    "inkfill": "d-inkfill",
    "dim": "d-dim",
    "dimfill": "d-dimfill",
    "dash": "d-dash",
    "okband": "d-okband",
    "ok": "d-ok",
    "outband": "d-outband",
    "out": "d-out",
    "outfill": "d-outfill",
    "due": "d-due",
    "duefill": "d-duefill",
}
SCREEN_TEXT: dict[TextRole, str] = {
    "text": "d-text",
    "text-soft": "d-text d-text--soft",
    "text-strong": "d-text d-text--strong",
    "text-rope": "d-text d-text--rope",
    "text-out": "d-text d-text--out",
    "text-ok": "d-text d-text--ok",
}


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a role is drawn on paper; widths and dashes in design px."""

    stroke: str | None = None
    fill: str | None = None
    width: float = 1.0
    dash: tuple[float, ...] = ()


PRINT: dict[Role, Stroke] = {
    "paper": Stroke(fill=PAPER),
    "wood": Stroke(stroke=INK, fill="#d3cbbd", width=1.3),
    "ground": Stroke(fill="#e6e8e2"),
    "turf": Stroke(stroke=INK, width=1.8),
    "thing": Stroke(stroke="#555555", fill=PAPER, width=1.3),
    "plate": Stroke(stroke=INK, fill=PAPER, width=1.6),
    "grid": Stroke(stroke="#bbbbbb", width=0.8),
    "rope": Stroke(stroke=ROPE_INK, width=3.6),
    "rope-thin": Stroke(stroke=ROPE_INK, width=2.2),
    "tracer": Stroke(stroke="#c9dcf2", width=1.2, dash=(3, 6)),
    "ropefill": Stroke(fill=ROPE_INK),
    "ink": Stroke(stroke=INK, width=1.5),
    "inkfill": Stroke(fill=INK),
    "dim": Stroke(stroke=INK_SOFT, width=0.9),
    "dimfill": Stroke(fill=INK_SOFT),
    "dash": Stroke(stroke=INK_SOFT, width=1.2, dash=(5, 4)),
    "okband": Stroke(fill="#f1f2ee"),
    "ok": Stroke(stroke=INK, width=1.8),
    "outband": Stroke(fill="#d6d6d6"),
    "out": Stroke(stroke=INK, width=1.8),
    "outfill": Stroke(fill=INK),
    "due": Stroke(stroke=INK, width=1.8),
    "duefill": Stroke(fill=INK),
}


@dataclass(frozen=True, slots=True)
class Lettering:
    """Face, size in design px and ink of a text role on paper. The screen's style sheet uses the same weights."""

    face: str
    size_px: float
    ink: str


LETTERING: dict[TextRole, Lettering] = {
    "text": Lettering(MEDIUM, TEXT_PX, INK),
    "text-soft": Lettering(MEDIUM, TEXT_PX, INK_SOFT),
    "text-strong": Lettering(BOLD, STRONG_PX, INK),
    "text-rope": Lettering(SEMIBOLD, TEXT_PX, ROPE_INK),
    "text-out": Lettering(SEMIBOLD, TEXT_PX, INK),
    "text-ok": Lettering(SEMIBOLD, TEXT_PX, INK),
}
