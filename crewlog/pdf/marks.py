"""Marks drawn as vectors: states, tick boxes, the rope and its eyes, the QR code, the slab with its face notch."""

from __future__ import annotations

import math

import segno
from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from crewlog.pdf.content import Mark
from crewlog.pdf.styles import BLACK, ROPE, TRACER, WHITE


def _polygon(canvas: Canvas, points: list[tuple[float, float]], *, fill: int = 1, stroke: int = 0) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    canvas.drawPath(path, fill=fill, stroke=stroke)


class StateMark(Flowable):
    """A state's own silhouette, told apart in black and white."""

    def __init__(self, mark: Mark, size: float = 8.5) -> None:
        super().__init__()
        self.mark, self.size = mark, size
        self.width = self.height = size

    def draw(self) -> None:
        """Draw in a 20 by 20 grid, y down as in the screen's symbols."""
        c = self.canv
        c.saveState()
        c.translate(0, self.size)
        c.scale(self.size / 20, -self.size / 20)
        c.setFillColor(BLACK)
        c.setStrokeColor(BLACK)
        getattr(self, f"_{self.mark}")(c)
        c.restoreState()

    def _ok(self, c: Canvas) -> None:
        c.circle(10, 10, 9.2, stroke=0, fill=1)
        c.setStrokeColor(WHITE)
        c.setLineWidth(2.4)
        c.lines([(5.2, 10.2, 8.6, 13.6), (8.6, 13.6, 14.6, 6.8)])

    def _due(self, c: Canvas) -> None:
        c.setLineWidth(2.2)
        c.circle(10, 10, 8, stroke=1, fill=0)
        c.wedge(2.4, 2.4, 17.6, 17.6, 0, 180, stroke=0, fill=1)

    def _over(self, c: Canvas) -> None:
        c.rect(1, 1.2, 18, 3, stroke=0, fill=1)
        _polygon(c, [(1.6, 6.2), (18.4, 6.2), (10, 19.4)])

    def _out(self, c: Canvas) -> None:
        c.rect(1.2, 1.2, 17.6, 17.6, stroke=0, fill=1)
        c.setFillColor(WHITE)
        c.rect(4.6, 8.4, 10.8, 3.2, stroke=0, fill=1)

    def _gone(self, c: Canvas) -> None:
        c.setLineWidth(4)
        c.lines([(0, 10, 6, 10), (14, 10, 20, 10)])
        c.setLineWidth(1.6)
        c.lines([(5, 8, 7.6, 5.6), (5, 12, 7.6, 14.4), (15, 8, 12.4, 5.6), (15, 12, 12.4, 14.4)])

    def _refused(self, c: Canvas) -> None:
        _polygon(
            c, [(6.2, 0.8), (13.8, 0.8), (19.2, 6.2), (19.2, 13.8), (13.8, 19.2), (6.2, 19.2), (0.8, 13.8), (0.8, 6.2)]
        )
        c.setStrokeColor(WHITE)
        c.setLineWidth(2.6)
        c.lines([(6, 6, 14, 14), (14, 6, 6, 14)])

    def _caution(self, c: Canvas) -> None:
        _polygon(c, [(10, 0.6), (19.8, 19), (0.2, 19)])
        c.setFillColor(WHITE)
        c.rect(8.7, 7, 2.6, 6, stroke=0, fill=1)
        c.rect(8.7, 14.6, 2.6, 2.5, stroke=0, fill=1)

    def _open(self, c: Canvas) -> None:
        c.setLineWidth(2.2)
        c.setDash([4.4, 2.6])
        c.circle(10, 10, 8, stroke=1, fill=0)


class TickBox(Flowable):
    """A box to tick with a pen, or ticked."""

    def __init__(self, *, ticked: bool = False, size: float = 8.0) -> None:
        super().__init__()
        self.ticked, self.size = ticked, size
        self.width = self.height = size

    def draw(self) -> None:
        """The box, and the tick if there is one."""
        self.canv.setStrokeColor(BLACK)
        self.canv.setLineWidth(1.1)
        self.canv.rect(0.5, 0, self.size - 1, self.size - 1, stroke=1, fill=0)
        if self.ticked:
            self.canv.setLineWidth(1.6)
            s = self.size
            self.canv.lines([(0.22 * s, 0.42 * s, 0.42 * s, 0.2 * s), (0.42 * s, 0.2 * s, 0.8 * s, 0.72 * s)])


class QrCode(Flowable):
    """An address as a QR code of filled runs."""

    def __init__(self, address: str, size: float) -> None:
        super().__init__()
        self.width = self.height = size
        code = segno.make_qr(address, error="m")
        self._rows = [bytes(row) for row in code.matrix]

    def draw(self) -> None:
        """One rectangle for each run of dark modules."""
        count = len(self._rows)
        module = self.width / count
        path = self.canv.beginPath()
        for index, row in enumerate(self._rows):
            y = self.height - (index + 1) * module
            start = None
            for column, dark in enumerate((*row, 0)):
                if dark and start is None:
                    start = column
                elif not dark and start is not None:
                    path.rect(start * module, y, (column - start) * module, module)
                    start = None
        self.canv.setFillColor(BLACK)
        self.canv.drawPath(path, fill=1, stroke=0)


def draw_rope(canvas: Canvas, start: tuple[float, float], end: tuple[float, float], width: float = 4.2) -> None:
    """Rope with slanting strands of its tracer."""
    canvas.saveState()
    canvas.setLineCap(0)
    canvas.setStrokeColor(ROPE)
    canvas.setLineWidth(width)
    canvas.line(*start, *end)
    canvas.setStrokeColor(TRACER)
    canvas.setLineWidth(0.9)
    length = math.hypot(end[0] - start[0], end[1] - start[1])
    ux, uy = ((end[0] - start[0]) / length, (end[1] - start[1]) / length) if length else (1.0, 0.0)
    half = width / 2
    strands = []
    along = 3.0
    while along < length - 2.0:
        x, y = start[0] + ux * along, start[1] + uy * along
        strands.append(
            (x - ux * 1.6 - uy * half, y - uy * 1.6 + ux * half, x + ux * 1.6 + uy * half, y + uy * 1.6 - ux * half)
        )
        along += 6.0
    canvas.lines(strands)
    canvas.restoreState()


def draw_eye(canvas: Canvas, x: float, y: float, *, solid: bool, radius: float = 3.1) -> None:
    """An eye on the rope: ringed for gear, solid for stem and anchor."""
    canvas.saveState()
    canvas.setStrokeColor(BLACK)
    canvas.setFillColor(BLACK if solid else WHITE)
    canvas.setLineWidth(1.3)
    canvas.circle(x, y, radius, stroke=1, fill=1)
    canvas.restoreState()


def draw_slab(canvas: Canvas, width: float, height: float, fill: Color = BLACK) -> None:
    """A slab with a face notch of 70 degrees in its left side."""
    depth = 9.0
    rise = depth * math.tan(math.radians(35.0))
    middle = height / 2
    canvas.setFillColor(fill)
    _polygon(
        canvas,
        [(0, 0), (width, 0), (width, height), (0, height), (0, middle + rise), (depth, middle), (0, middle - rise)],
    )
