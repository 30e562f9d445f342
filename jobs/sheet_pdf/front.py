"""Blocks of page one: who and where, the five figures, the drawing, hold points and cautions."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import CondPageBreak, Flowable, Table, TableStyle

from crewlog.pdf.blocks import COLUMN_GAP, FLUSH, Cut, names, section
from crewlog.pdf.content import Fact
from crewlog.pdf.fonts import BOLD, SEMIBOLD, text_width
from crewlog.pdf.marks import QrCode, StateMark, TickBox
from crewlog.pdf.styles import (
    BLACK,
    BODY,
    CELL,
    CELL_STRONG,
    LABEL,
    LABEL_STRONG,
    ON_BLACK,
    RULE,
    TITLE,
    WHITE,
    WIDTH,
    fit,
    para,
    para_parts,
)
from crewlog.pdf.tables import GAP, HoldStrip, plain_table
from jobs.drawing.figures import DrawingOptions, PlanFigures
from jobs.drawing.pdf import SceneFlowable, design_px
from jobs.drawing.pretension import pretension
from jobs.drawing.scene import Scene
from jobs.drawing.side_view import side_view
from jobs.plans.presentation import KeyFigure
from jobs.sheet_rows.content import SheetContent
from jobs.sheet_rows.rows import Caution, Duty, Emergency, HoldPoint, Site
from jobs.wording.felling import felling
from jobs.wording.unit_formatter import UnitFormatter

DRAWING_WIDTH = 316.0
QR_PT = 62.0


def heading(content: SheetContent, cut: Cut) -> Flowable:
    """Company, sheet and title at the left, QR code at the right."""
    width = WIDTH - QR_PT - 12
    name = f"Sheet {content.sheet_number}: {content.title}"
    title = cut.fit("Sheet", name, width, lines=2, style=TITLE)
    line = f"Revision {content.revision}, for {content.day}, {content.window}. Issued {content.issued}."
    words = [
        para(cut.fit("Company", content.company, width, lines=1), LABEL_STRONG),
        para(title, TITLE),
        para(cut.fit("Issue", line, width, lines=2), BODY),
    ]
    return plain_table([[words, QrCode(content.seal.address, QR_PT)]], [WIDTH - QR_PT, QR_PT], FLUSH)


def _facts(facts: Sequence[Fact], width: float, cut: Cut, lines: int = 3) -> Flowable:
    longest = max((text_width(fact.label, LABEL.fontName, LABEL.fontSize) for fact in facts if fact.value), default=0.0)
    label_width = min(longest + 7.0, width * 0.4)
    value_width = width - label_width
    rows = [
        [para(fact.label, LABEL), para(cut.fit(fact.label, fact.value, value_width - 2, lines=lines), BODY)]
        for fact in facts
        if fact.value
    ]
    return plain_table(rows or [["", ""]], [label_width, value_width], FLUSH)


def where_wrong_who(site: Site, emergency: Emergency, duties: Sequence[Duty], cut: Cut) -> Flowable:
    """Three columns: the place, what to do when it goes wrong, and who does what."""
    width = (WIDTH - 2 * COLUMN_GAP) / 3
    where = [
        Fact("Job", ", ".join(part for part in (site.job_reference, site.client) if part)),
        Fact("Site", ", ".join(part for part in (site.name, site.address) if part)),
        Fact("Grid", site.grid_reference),
        Fact("Access", site.access),
    ]
    wrong = [
        Fact("Call", emergency.number),
        Fact("Say", emergency.grid_reference),
        Fact("Meet at", emergency.meeting_point),
        Fact("Hospital", emergency.department),
        Fact("Signal", emergency.signal),
    ]
    who = [Fact(duty.short, names(duty.names) + _under(duty)) for duty in duties[:8]]
    if len(duties) > 8:
        who.append(Fact("More", f"{len(duties) - 8} duties overleaf"))
    columns = [
        [section(title, width, 0), _facts(facts, width, cut, lines)]
        for title, facts, lines in (("Where", where, 3), ("If it goes wrong", wrong, 3), ("Who", who, 2))
    ]
    gap = FLUSH
    return plain_table(
        [[columns[0], "", columns[1], "", columns[2]]], [width, COLUMN_GAP, width, COLUMN_GAP, width], gap
    )


def _under(duty: Duty) -> str:
    return f" (trainee, under {names([duty.supervised_by])})" if duty.supervised_by else ""


class FigureBox(Flowable):
    """One large number with its label and note; the stop figure stands white on black."""

    PAD = 5.0

    def __init__(self, figure: KeyFigure, write: UnitFormatter, width: float, cut: Cut) -> None:
        super().__init__()
        self.figure, self.printed, self.width = figure, write.printed(figure.value), width
        inner = width - 2 * self.PAD
        style = ON_BLACK if figure.stop else LABEL
        self._label = para(cut.fit("Figure", figure.label, inner, lines=2, style=style), style)
        self._note = para(cut.fit(figure.label, write.text(figure.note), inner, lines=3, style=style), style)
        self.label_height = self._label.wrap(inner, 100)[1]
        self._note_height = self._note.wrap(inner, 100)[1]
        self.size = 20.0
        while self.size > 8 and self._number_width() > inner:
            self.size -= 0.5
        self.height = self.label_height + 20.0 + self._note_height + 8.0

    def _number_width(self) -> float:
        unit = f" {self.printed.unit}" if self.printed.unit else ""
        return text_width(self.printed.number, BOLD, self.size) + text_width(unit, SEMIBOLD, self.size / 2 + 1)

    def draw(self) -> None:
        """Label above, number, note below."""
        c = self.canv
        if self.figure.stop:
            c.setFillColor(BLACK)
            c.rect(0, 0, self.width, self.height, stroke=0, fill=1)
        c.setFillColor(WHITE if self.figure.stop else BLACK)
        self._label.drawOn(c, self.PAD, self.height - 3 - self._label.height)
        base = self.height - 3 - self.label_height - 17.0
        c.setFillColor(WHITE if self.figure.stop else BLACK)
        c.setFont(BOLD, self.size)
        c.drawString(self.PAD, base, self.printed.number)
        if self.printed.unit:
            x = self.PAD + text_width(self.printed.number, BOLD, self.size) + 3
            c.setFont(SEMIBOLD, self.size / 2 + 1)
            c.drawString(x, base, self.printed.unit)
        self._note.drawOn(c, self.PAD, base - 4 - self._note_height)


def key_figures(figures: Sequence[KeyFigure], write: UnitFormatter, cut: Cut) -> Flowable:
    """The figures of the day, side by side between hair lines."""
    width = WIDTH / max(1, len(figures))
    boxes = [FigureBox(figure, write, width, cut) for figure in figures]
    label = max(box.label_height for box in boxes)
    tallest = max(box.height - box.label_height for box in boxes) + label
    for box in boxes:
        box.label_height, box.height = label, tallest
    style = [
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
        ("LINEABOVE", (0, 0), (-1, 0), 0.5, BLACK),
        ("LINEBELOW", (0, 0), (-1, 0), 0.5, BLACK),
        ("LINEAFTER", (0, 0), (-2, 0), 0.4, RULE),
    ]
    strip = plain_table([boxes], [width] * len(boxes), style)
    strip.spaceBefore = 5
    return strip


def _side(figures: PlanFigures, content: SheetContent, height_pt: float) -> Scene:
    options = DrawingOptions(
        width_px=design_px(DRAWING_WIDTH),
        height_px=design_px(height_pt),
        formatter=content.write,
        place_words=dict(content.place_words),
    )
    return side_view(figures, options)


def side_height(figures: PlanFigures, content: SheetContent, height_pt: float) -> float:
    """Height on paper of the side view where it may be so tall, pt."""
    return SceneFlowable(_side(figures, content, height_pt)).height


def drawings(figures: PlanFigures, content: SheetContent, cut: Cut, *, height_pt: float) -> Flowable:
    """Side view at the left; the pre-tension window and what the sheet stands for at the right."""
    right = WIDTH - DRAWING_WIDTH - COLUMN_GAP
    write = content.write
    side = _side(figures, content, height_pt)
    band = pretension(figures, DrawingOptions(width_px=design_px(right), formatter=write))
    column: list[Flowable] = [section(felling("Before the back cut"), right, 0), SceneFlowable(band)]
    if content.envelope:
        column += [
            section("This sheet is valid while", right, 2),
            *stands_while([write.text(line) for line in content.envelope], right, cut),
        ]
    left: list[Flowable] = [section("Side view, to scale", DRAWING_WIDTH, 0), SceneFlowable(side)]
    if side.left_out:
        left.append(para("Also: " + "; ".join(side.left_out) + ".", LABEL))
    block = plain_table([[left, "", column]], [DRAWING_WIDTH, COLUMN_GAP, right], FLUSH)
    block.spaceBefore = 6
    return block


def stands_while(envelope: Sequence[str], width: float, cut: Cut) -> list[Flowable]:
    """The envelope, one line each; past the sixth they stand on the next page."""
    shown = list(envelope[:6])
    if len(envelope) > 6:
        shown.append(f"{len(envelope) - 6} more overleaf")
    return [para(cut.fit("Valid while", line, width, lines=2, style=CELL), CELL) for line in shown]


def hold_points(holds: Sequence[HoldPoint], cut: Cut) -> list[Flowable]:
    """The holds along a rope: nobody goes on before the spoken go."""
    width = WIDTH / max(1, len(holds))
    names, boxes = [], []
    for number, hold in enumerate(holds, start=1):
        text = cut.fit(f"Hold {number}", f"{number}  {hold.go}", width - GAP, lines=3, style=CELL_STRONG)
        names.append([para(text, CELL_STRONG)])
        by = f"Go: {hold.given_by}" if hold.given_by else "Go at"
        boxes.append(_go_box(cut.fit(f"Hold {number}", by, width - 22, lines=1, style=LABEL), width))
    style = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), GAP),
        ("TOPPADDING", (0, 0), (-1, 0), 12),
        ("TOPPADDING", (0, 1), (-1, 1), 1),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
    ]
    strip = HoldStrip([names, boxes], colWidths=[width] * len(holds), style=TableStyle(style), hAlign="LEFT")
    return [CondPageBreak(70), section("Hold points: nobody goes on before the spoken go"), strip]


def _go_box(text: str, width: float) -> Table:
    return plain_table([[TickBox(), para(text, LABEL)]], [12, width - 12 - GAP], FLUSH)


def cautions(items: Sequence[Caution], cut: Cut, *, title: str = "Cautions", lines: int = 3) -> list[Flowable]:
    """Cautions in rows of two, the most dangerous first; a single one takes the whole width."""
    if not items:
        return []
    if len(items) == 1:
        return [CondPageBreak(20 + 14 * lines), section(title), _caution(items[0], WIDTH, cut, lines)]
    width = (WIDTH - COLUMN_GAP) / 2
    cells = [_caution(item, width, cut, lines) for item in items]
    rows = [[cells[i], "", cells[i + 1] if i + 1 < len(cells) else ""] for i in range(0, len(cells), 2)]
    table = plain_table(rows, [width, COLUMN_GAP, width], FLUSH)
    return [CondPageBreak(20 + 14 * lines), section(title), table]


def _caution(item: Caution, width: float, cut: Cut, lines: int) -> Flowable:
    shown, was_cut = fit(f"{item.title}  {item.text}", BODY, (width - 14) * 0.97, lines)
    if was_cut:
        cut.facts.append(Fact(item.title, item.text))
    title = shown[: len(item.title)]
    words = para_parts([(title, True), (shown[len(item.title) :], False)])
    return plain_table([[StateMark(item.mark), words]], [14, width - 14], [("TOPPADDING", (0, 0), (0, 0), 2)])
