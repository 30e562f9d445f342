"""A scene as SVG text: classes instead of styles, so it stands inline under a strict content policy."""

from __future__ import annotations

from collections.abc import Iterable
from typing import assert_never
from xml.etree import ElementTree as ET

from jobs.drawing.palette import SCREEN, SCREEN_TEXT
from jobs.drawing.scene import Circle, Curve, Line, Point, Polygon, Polyline, Scene, Shape, Text


def _number(value: float) -> str:
    return f"{round(value, 1) + 0.0:.1f}".removesuffix(".0")


class _Paper:
    """Turns scene units into design px; the one place that flips y."""

    def __init__(self, scene: Scene) -> None:
        self._bounds = scene.bounds
        self._scale = scene.px_per_unit

    def xy(self, point: Point) -> Point:
        x, y = point
        return ((x - self._bounds.x0) * self._scale, (self._bounds.y1 - y) * self._scale)

    def pair(self, point: Point) -> str:
        x, y = self.xy(point)
        return f"{_number(x)},{_number(y)}"

    def path(self, points: Iterable[Point]) -> str:
        return " ".join(self.pair(point) for point in points)

    def length(self, value: float) -> str:
        return _number(value * self._scale)


def _text(parent: ET.Element, shape: Text, paper: _Paper) -> None:
    x, y = (_number(v) for v in paper.xy((shape.x, shape.y)))
    attributes = {"class": SCREEN_TEXT[shape.role] + (" d-halo" if shape.halo else ""), "x": x, "y": y}
    if shape.anchor != "start":
        attributes["text-anchor"] = shape.anchor
    if shape.turn_deg:
        attributes["transform"] = f"rotate({_number(-shape.turn_deg)} {x} {y})"
    ET.SubElement(parent, "text", attributes).text = shape.text


def _add(parent: ET.Element, shape: Shape, paper: _Paper) -> None:
    match shape:
        case Line():
            (x1, y1), (x2, y2) = paper.xy((shape.x1, shape.y1)), paper.xy((shape.x2, shape.y2))
            ends = {"x1": _number(x1), "y1": _number(y1), "x2": _number(x2), "y2": _number(y2)}
            ET.SubElement(parent, "line", {"class": SCREEN[shape.role], **ends})
        case Polyline():
            ET.SubElement(parent, "polyline", {"class": SCREEN[shape.role], "points": paper.path(shape.points)})
        case Polygon():
            ET.SubElement(parent, "polygon", {"class": SCREEN[shape.role], "points": paper.path(shape.points)})
        case Circle():
            x, y = paper.xy((shape.x, shape.y))
            place = {"cx": _number(x), "cy": _number(y), "r": paper.length(shape.radius)}
            ET.SubElement(parent, "circle", {"class": SCREEN[shape.role], **place})
        case Curve():
            data = f"M{paper.pair(shape.start)}" + "".join(f"C{paper.path(cubic)}" for cubic in shape.cubics)
            ET.SubElement(parent, "path", {"class": SCREEN[shape.role], "d": data})
        case Text():
            _text(parent, shape, paper)
        case _:
            assert_never(shape)


def svg_text(scene: Scene, element_id: str) -> str:
    """The scene as an `<svg>` element for inline use. `element_id` must be unique on its page.

    Title and description carry the drawing for those who do not see it. All text is escaped by the writer.
    """
    root = ET.Element(
        "svg",
        {
            "viewBox": f"0 0 {_number(scene.width_px)} {_number(scene.height_px)}",
            "role": "img",
            "aria-labelledby": f"{element_id}-t {element_id}-d",
        },
    )
    ET.SubElement(root, "title", {"id": f"{element_id}-t"}).text = scene.title
    ET.SubElement(root, "desc", {"id": f"{element_id}-d"}).text = scene.desc
    paper = _Paper(scene)
    for shape in scene.shapes:
        _add(root, shape, paper)
    return ET.tostring(root, encoding="unicode")
