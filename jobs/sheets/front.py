"""Blocks of page one: who and where, the five figures, the drawing, hold points, cautions, and the load path."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.platypus import CondPageBreak, Flowable, Table, TableStyle

from crewlog.paper.blocks import COLUMN_GAP, FLUSH, Cut, names, section
from crewlog.paper.content import Fact
from crewlog.paper.fonts import BOLD, SEMIBOLD, text_width
from crewlog.paper.marks import QrCode, StateMark, TickBox
from crewlog.paper.styles import (
    BLACK,
    BODY,
    CELL,
    CELL_RIGHT,
    CELL_STRONG,
    LABEL,
    LABEL_PT,
    LABEL_STRONG,
    ON_BLACK,
    RULE,
    TITLE,
    WHITE,
    WIDTH,
    cell,
    fit,
    para,
    para_parts,
)
from crewlog.paper.tables import GAP, HEADED, HoldStrip, RopeEye, RopeTable, plain_table
from jobs.drawing.figures import DrawingOptions, PlanFigures
from jobs.drawing.pdf import SceneFlowable, design_px
from jobs.drawing.pretension import pretension
from jobs.drawing.scene import Scene
from jobs.drawing.side_view import side_view
from jobs.sheets.content import (
    Caution,
    Duty,
    Emergency,
    HoldPoint,
    KeyFigure,
    PathRow,
    SheetContent,
    Site,
)

GEAR_LINES = 4
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
    who = [Fact(duty.duty, names(duty.people) + _under(duty)) for duty in duties[:8]]
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


class Figure(Flowable):
    """One large number with its label and note; the stop figure stands white on black."""

    PAD = 5.0

    def __init__(self, figure: KeyFigure, width: float, cut: Cut) -> None:
        super().__init__()
        self.figure, self.width = figure, width
        inner = width - 2 * self.PAD
        style = ON_BLACK if figure.stop else LABEL
        self._label = para(cut.fit("Figure", figure.label, inner, lines=2, style=style), style)
        self._note = para(cut.fit(figure.label, figure.note, inner, lines=3, style=style), style)
        self.label_height = self._label.wrap(inner, 100)[1]
        self._note_height = self._note.wrap(inner, 100)[1]
        self.size = 20.0
        while self.size > 8 and self._number_width() > inner:
            self.size -= 0.5
        self.height = self.label_height + 20.0 + self._note_height + 8.0

    def _number_width(self) -> float:
        unit = f" {self.figure.unit}" if self.figure.unit else ""
        return text_width(self.figure.number, BOLD, self.size) + text_width(unit, SEMIBOLD, self.size / 2 + 1)

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
        c.drawString(self.PAD, base, self.figure.number)
        if self.figure.unit:
            x = self.PAD + text_width(self.figure.number, BOLD, self.size) + 3
            c.setFont(SEMIBOLD, self.size / 2 + 1)
            c.drawString(x, base, self.figure.unit)
        self._note.drawOn(c, self.PAD, base - 4 - self._note_height)


def key_figures(figures: Sequence[KeyFigure], cut: Cut) -> Flowable:
    """The figures of the day, side by side between hair lines."""
    width = WIDTH / max(1, len(figures))
    boxes = [Figure(figure, width, cut) for figure in figures]
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
        formatter=content.formatter,
        place_words=dict(content.place_words),
    )
    return side_view(figures, options)


def side_height(figures: PlanFigures, content: SheetContent, height_pt: float) -> float:
    """Height on paper of the side view where it may be so tall, pt."""
    return SceneFlowable(_side(figures, content, height_pt)).height


def drawings(figures: PlanFigures, content: SheetContent, cut: Cut, *, height_pt: float) -> Flowable:
    """Side view at the left; the pre-tension window and what the sheet stands for at the right."""
    right = WIDTH - DRAWING_WIDTH - COLUMN_GAP
    write = content.formatter
    side = _side(figures, content, height_pt)
    band = pretension(figures, DrawingOptions(width_px=design_px(right), formatter=write))
    column: list[Flowable] = [section("Before the back cut", right, 0), SceneFlowable(band)]
    if content.envelope:
        column += [section("This sheet stands while", right, 2), *stands_while(content.envelope, right, cut)]
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
    return [para(cut.fit("Stands while", line, width, lines=2, style=CELL), CELL) for line in shown]


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


PATH_HEAD = ("", "Position", "Gear", "Inspected", "Due", "Carries", "May carry", "Use", "Hauling on")
PATH_WIDTHS = (18.0, 90.0, WIDTH - 364.0, 44.0, 44.0, 42.0, 46.0, 30.0, 50.0)


def load_path(rows: Sequence[PathRow], cut: Cut) -> list[Flowable]:
    """Every position from the stem outward, hung on the rope with its eye; heads repeat on each page."""
    data: list[list[object]] = [[*PATH_HEAD]]
    style: list[Any] = [
        *HEADED,
        ("ALIGN", (5, 0), (-1, -1), "RIGHT"),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 1),
        ("TOPPADDING", (0, 0), (-1, -1), 1.0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.3),
        ("FONT", (1, 1), (1, -1), SEMIBOLD, LABEL_PT, 9.6),
    ]
    group = ""
    for index, row in enumerate(rows):
        starts = row.group != group
        if starts and index:
            data.append(["", para(row.group, LABEL_STRONG), *[""] * 7])
            style += [
                ("SPAN", (1, len(data) - 1), (-1, len(data) - 1)),
                ("TOPPADDING", (0, len(data) - 1), (-1, len(data) - 1), 4),
            ]
        group = row.group
        last = index + 1 == len(rows) or rows[index + 1].group != group
        data.append(_path_cells(row, RopeEye(solid=starts or last or row.is_anchor, starts=starts), cut))
    table = RopeTable(data, colWidths=list(PATH_WIDTHS), repeatRows=1, style=TableStyle(style), hAlign="LEFT")
    return [CondPageBreak(70), section("Load path, from the stem to the anchor"), table]


def _path_cells(row: PathRow, eye: RopeEye, cut: Cut) -> list[object]:
    """The cells of one position; what is too long for its column is cut and kept in full."""
    alternates = f" (or\u00a0{', '.join(row.alternates)})" if row.alternates else ""
    gear = f"{row.tag} {row.item}".strip() + alternates
    shown, was_cut = fit(gear, CELL, (PATH_WIDTHS[2] - GAP) * 0.97, GEAR_LINES)
    words: object = para_parts([(shown[: len(row.tag)], True), (shown[len(row.tag) :], False)], CELL)
    over: object = row.hauling_on
    if row.hauling_on_over:
        over = plain_table(
            [[StateMark("caution", 7), para(row.hauling_on, CELL_RIGHT)]], [9, PATH_WIDTHS[-1] - 22], FLUSH
        )
    values = (row.last_inspection, row.next_due, row.design_load, row.capacity, row.use)
    cells: list[object] = []
    for value, width in zip(values, PATH_WIDTHS[3:8], strict=True):
        short, value_cut = fit(value, CELL, width - GAP, 2)
        was_cut = was_cut or value_cut
        cells.append(cell(short, CELL, width - GAP))
    position, position_cut = fit(row.position, CELL_STRONG, PATH_WIDTHS[1] - GAP, 3)
    if was_cut or position_cut:
        whole = f"{gear}; inspected {row.last_inspection}; due {row.next_due}"
        cut.facts.append(
            Fact(row.position, f"{whole}; carries {row.design_load}; may carry {row.capacity}; use {row.use}")
        )
    return [eye, cell(position, CELL_STRONG, PATH_WIDTHS[1] - GAP), words, *cells, over]
