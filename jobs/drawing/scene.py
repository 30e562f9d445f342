"""A drawing as frozen shapes with roles, never colours. Coordinates in scene units, y up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

Point: TypeAlias = tuple[float, float]
Role: TypeAlias = Literal[
    "paper", "wood", "ground", "turf", "thing", "plate", "grid",
    "rope", "rope-thin", "tracer", "ropefill",
    "ink", "inkfill", "dim", "dimfill", "dash",
    "okband", "ok", "outband", "out", "outfill", "due", "duefill",
]  # fmt: skip
TextRole: TypeAlias = Literal["text", "text-soft", "text-strong", "text-rope", "text-out", "text-ok"]
Anchor: TypeAlias = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke."""

    x1: float
    y1: float
    x2: float
    y2: float
    role: Role


@dataclass(frozen=True, slots=True)
class Polyline:
    """An open stroke through points."""

    points: tuple[Point, ...]
    role: Role


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed area."""

    points: tuple[Point, ...]
    role: Role


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle; the role says whether it is filled."""

    x: float
    y: float
    radius: float
    role: Role


@dataclass(frozen=True, slots=True)
class Curve:
    """Cubic curves: a start, then two controls and an end for each."""

    start: Point
    cubics: tuple[tuple[Point, Point, Point], ...]
    role: Role


@dataclass(frozen=True, slots=True)
class Text:
    """A line of text on its baseline; `turn_deg` turns it anticlockwise about its anchor point."""

    x: float
    y: float
    text: str
    role: TextRole
    anchor: Anchor = "start"
    turn_deg: float = 0.0
    halo: bool = False


Shape: TypeAlias = Line | Polyline | Polygon | Circle | Curve | Text


@dataclass(frozen=True, slots=True)
class Bounds:
    """The area shown, in scene units."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """Width in scene units."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Height in scene units."""
        return self.y1 - self.y0

    def holds(self, points: Iterable[Point], slack: float = 1e-6) -> bool:
        """Whether every point lies inside."""
        return all(
            self.x0 - slack <= x <= self.x1 + slack and self.y0 - slack <= y <= self.y1 + slack for x, y in points
        )


@dataclass(frozen=True, slots=True)
class Scene:
    """A drawing. `px_per_unit` sets its design size; `left_out` are labels that found no room beside the lines."""

    title: str
    desc: str
    bounds: Bounds
    px_per_unit: float
    shapes: tuple[Shape, ...]
    left_out: tuple[str, ...] = ()

    @property
    def width_px(self) -> float:
        """Design width."""
        return self.bounds.width * self.px_per_unit

    @property
    def height_px(self) -> float:
        """Design height."""
        return self.bounds.height * self.px_per_unit

    def texts(self) -> Iterator[Text]:
        """The labels, in drawing order."""
        return (shape for shape in self.shapes if isinstance(shape, Text))


def points_of(shape: Shape) -> tuple[Point, ...]:
    """Outer points of a shape without its stroke width: for bounds."""
    match shape:
        case Line():
            return ((shape.x1, shape.y1), (shape.x2, shape.y2))
        case Polyline() | Polygon():
            return shape.points
        case Circle():
            r = shape.radius
            return ((shape.x - r, shape.y - r), (shape.x + r, shape.y + r))
        case Curve():
            return (shape.start, *(point for cubic in shape.cubics for point in cubic))
        case Text():
            return ((shape.x, shape.y),)
