"""A scene as a reportlab flowable: vectors and text only, no images."""

from __future__ import annotations

from typing import assert_never

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Flowable

from crewlog.pdf.fonts import register_fonts, text_width
from crewlog.pdf.inks import PAPER
from jobs.drawing.palette import HALO_PX, LETTERING, PRINT, Stroke
from jobs.drawing.scene import Circle, Curve, Line, Point, Polygon, Polyline, Scene, Shape, Text

LABEL_PT = 8.0
PT_PER_PX = LABEL_PT / 13.0  # design text of 13 px prints at 8 pt


def design_px(width_pt: float) -> float:
    """Design width of a scene that is to fill `width_pt` on paper with 8 pt labels."""
    return width_pt / PT_PER_PX


class SceneFlowable(Flowable):
    """Draws a scene at 8 pt labels; its size on paper follows from its design size."""

    def __init__(self, scene: Scene) -> None:
        super().__init__()
        register_fonts()
        self.scene = scene
        self.width = scene.width_px * PT_PER_PX
        self.height = scene.height_px * PT_PER_PX
        self._scale = scene.px_per_unit * PT_PER_PX

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """Size on paper, whatever is available."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw every shape in order."""
        self.canv.setLineCap(1)
        self.canv.setLineJoin(1)
        for shape in self.scene.shapes:
            self._shape(self.canv, shape)

    def _xy(self, point: Point) -> Point:
        bounds = self.scene.bounds
        return ((point[0] - bounds.x0) * self._scale, (point[1] - bounds.y0) * self._scale)

    def _shape(self, canvas: Canvas, shape: Shape) -> None:
        match shape:
            case Line():
                path = self._path(canvas, ((shape.x1, shape.y1), (shape.x2, shape.y2)), closed=False)
                _ink(canvas, path, PRINT[shape.role])
            case Polyline():
                _ink(canvas, self._path(canvas, shape.points, closed=False), PRINT[shape.role])
            case Polygon():
                _ink(canvas, self._path(canvas, shape.points, closed=True), PRINT[shape.role])
            case Circle():
                path = canvas.beginPath()
                path.circle(*self._xy((shape.x, shape.y)), shape.radius * self._scale)
                _ink(canvas, path, PRINT[shape.role])
            case Curve():
                path = canvas.beginPath()
                path.moveTo(*self._xy(shape.start))
                for first, second, end in shape.cubics:
                    path.curveTo(*self._xy(first), *self._xy(second), *self._xy(end))
                _ink(canvas, path, PRINT[shape.role])
            case Text():
                self._text(canvas, shape)
            case _:
                assert_never(shape)

    def _path(self, canvas: Canvas, points: tuple[Point, ...], *, closed: bool) -> PDFPathObject:
        path = canvas.beginPath()
        path.moveTo(*self._xy(points[0]))
        for point in points[1:]:
            path.lineTo(*self._xy(point))
        if closed:
            path.close()
        return path

    def _text(self, canvas: Canvas, shape: Text) -> None:
        lettering = LETTERING[shape.role]
        size = lettering.size_px * PT_PER_PX
        width = text_width(shape.text, lettering.face, size)
        shift = {"start": 0.0, "middle": -width / 2, "end": -width}[shape.anchor]
        canvas.saveState()
        canvas.translate(*self._xy((shape.x, shape.y)))
        canvas.rotate(shape.turn_deg)
        if shape.halo:
            # A box, not a stroked outline: the text must stand once in the file to be read back once.
            canvas.setFillColor(HexColor(PAPER))
            pad = HALO_PX * PT_PER_PX / 4
            canvas.rect(shift - pad, -size * 0.2, width + 2 * pad, size * 0.95, stroke=0, fill=1)
        canvas.setFillColor(HexColor(lettering.ink))
        canvas.setFont(lettering.face, size)
        canvas.drawString(shift, 0, shape.text)
        canvas.restoreState()


def _ink(canvas: Canvas, path: PDFPathObject, style: Stroke) -> None:
    if style.stroke:
        canvas.setStrokeColor(HexColor(style.stroke))
        canvas.setLineWidth(style.width * PT_PER_PX)
        canvas.setDash([length * PT_PER_PX for length in style.dash])
    if style.fill:
        canvas.setFillColor(HexColor(style.fill))
    canvas.drawPath(path, stroke=int(style.stroke is not None), fill=int(style.fill is not None))
