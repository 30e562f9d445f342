"""The tackle unfolded: its parts side by side, never crossing, with the tension on each while hauling."""

from __future__ import annotations

from dataclasses import dataclass

from jobs.drawing.figures import DrawingOptions, PlanFigures
from jobs.drawing.marks import arc, arrowhead, rope
from jobs.drawing.scene import Bounds, Circle, Point, Polygon, Polyline, Scene, Shape, Text, TextRole
from jobs.mechanics.tackle import TackleStageResult
from jobs.wording.unit_formatter import UnitFormatter

ROW = 36.0
RADIUS = ROW / 2
BLOCK_HALF = 27.0
HEAD, FOOT = 30.0, 34.0
LABEL_ROOM = 72.0


@dataclass(frozen=True, slots=True)
class _Stage:
    """One stage of the tackle and where it is drawn; rows run down from `top`."""

    result: TackleStageResult
    index: int
    count: int
    top: float
    width: float

    @property
    def parts(self) -> list[float]:
        """Tension of each part from the hand, N."""
        return list(self.result.hauling_part_tensions_n)

    @property
    def blocks(self) -> list[str]:
        """Block of each sheave from the hauling end."""
        return list(self.result.sheave_blocks)

    def x(self, block: str) -> float:
        """Axis of a block."""
        return LABEL_ROOM + BLOCK_HALF if block == "moving" else self.width - LABEL_ROOM - BLOCK_HALF

    def y(self, row: int) -> float:
        """Level of a part."""
        return self.top - ROW * (row + 0.5)

    @property
    def bottom(self) -> float:
        """Level under the last part."""
        return self.top - ROW * len(self.parts)


def tackle_height(parts: int) -> float:
    """Design height of one stage with so many parts shown, px."""
    return HEAD + ROW * parts + FOOT


def tackle_view(figures: PlanFigures, options: DrawingOptions) -> Scene:
    """Every stage of the tackle with the tension of each part in N, from the topic tackle, while hauling.

    The moving block is at the left, towards the stem; the fixed block at the right, on the anchor.
    """
    stages = figures.tackle.stages
    width = min(options.width_px, 430.0)
    total = sum(tackle_height(len(stage.hauling_part_tensions_n)) for stage in stages)
    shapes: list[Shape] = []
    level = total
    for index, result in enumerate(stages):
        stage = _Stage(result, index, len(stages), level - HEAD, width)
        shapes.extend(_draw(stage, options.formatter))
        level -= tackle_height(len(stage.parts))
    desc = " ".join(_describe(stage, i, len(stages), options.formatter) for i, stage in enumerate(stages))
    return Scene(
        "Reeving of the tackle with the tension in each part", desc, Bounds(0.0, 0.0, width, total), 1.0, tuple(shapes)
    )


def _draw(stage: _Stage, write: UnitFormatter) -> list[Shape]:
    return [*_bodies(stage), *_parts(stage), *_ends(stage, write), *_labels(stage, write)]


def _rows_of(stage: _Stage, block: str) -> tuple[int, int]:
    """First and last row that meet the block."""
    rows = [row for sheave, on in enumerate(stage.blocks) if on == block for row in (sheave, sheave + 1)]
    if stage.result.becket_on == block:
        rows.append(len(stage.parts) - 1)
    return min(rows), max(rows)


def _bodies(stage: _Stage) -> list[Shape]:
    shapes: list[Shape] = []
    for block in ("moving", "fixed"):
        first, last = _rows_of(stage, block)
        x, up, down = stage.x(block), stage.y(first) + 15, stage.y(last) - 15
        corner = 9.0
        left, right = x - BLOCK_HALF, x + BLOCK_HALF
        body = (
            (left + corner, up), (right - corner, up), (right, up - corner), (right, down + corner),
            (right - corner, down), (left + corner, down), (left, down + corner), (left, up - corner),
        )  # fmt: skip
        shapes.append(Polygon(body, "plate"))
    for sheave, block in enumerate(stage.blocks):
        x, y = stage.x(block), (stage.y(sheave) + stage.y(sheave + 1)) / 2
        shapes += [Circle(x, y, RADIUS, "ground"), Circle(x, y, 3.0, "inkfill")]
    return shapes


def _parts(stage: _Stage) -> list[Shape]:
    """The rope from the hand round every sheave to the becket."""
    shapes: list[Shape] = []
    hand_x = stage.width - 12 if stage.blocks[0] == "moving" else 12.0
    start: Point = (hand_x, stage.y(0))
    for sheave, block in enumerate(stage.blocks):
        x = stage.x(block)
        shapes.append(Polyline((start, (x, stage.y(sheave))), "rope-thin"))
        centre = (x, (stage.y(sheave) + stage.y(sheave + 1)) / 2)
        shapes.append(arc(centre, RADIUS, (90.0, 270.0 if block == "moving" else -90.0), "rope-thin"))
        start = (x, stage.y(sheave + 1))
    becket = (stage.x(stage.result.becket_on), stage.y(len(stage.parts) - 1))
    shapes.append(Polyline((start, becket), "rope-thin"))
    shapes.append(Circle(*becket, 5.0, "plate"))
    towards = 0.0 if stage.blocks[0] == "moving" else 180.0
    tip = (stage.width - 2, start[1]) if towards == 0.0 else (2.0, start[1])
    shapes.append(arrowhead((tip[0], stage.y(0)), towards, length=14, role="ropefill", slender=0.45))
    return shapes


def _ends(stage: _Stage, write: UnitFormatter) -> list[Shape]:
    """The loads on the two blocks, each on its own side."""
    first, last = _rows_of(stage, "moving")
    left_y = _free_level(stage, first, last, hand_here=stage.blocks[0] == "fixed")
    first, last = _rows_of(stage, "fixed")
    right_y = _free_level(stage, first, last, hand_here=stage.blocks[0] == "moving")
    moving, fixed = stage.x("moving") - BLOCK_HALF, stage.x("fixed") + BLOCK_HALF
    pull = "stem" if stage.index == 0 else f"stage {stage.index}"
    result = stage.result
    return [
        *rope([(0.0, left_y), (moving, left_y)]),
        *rope([(fixed, right_y), (stage.width, right_y)]),
        Text(2, left_y + 9, write.force(result.moving_block_load_n), "text-strong"),
        Text(2, left_y - 19, pull, "text-soft"),
        Text(stage.width - 2, right_y + 9, write.force(result.fixed_block_hauling_load_n), "text-strong", "end"),
        Text(stage.width - 2, right_y - 19, "anchor", "text-soft", "end"),
    ]


def _free_level(stage: _Stage, first: int, last: int, *, hand_here: bool) -> float:
    """Middle of a block, moved down where the hand part passes on that side."""
    middle = (stage.y(first) + stage.y(last)) / 2
    return min(middle, stage.y(0) - 46) if hand_here else middle


def _labels(stage: _Stage, write: UnitFormatter) -> list[Shape]:
    x = stage.width / 2
    shapes: list[Shape] = []
    for row, force in enumerate(stage.parts):
        role: TextRole = "text-strong" if row == 0 else "text"
        shapes.append(Text(x, stage.y(row) - 5.0, write.hand(force), role, "middle", halo=True))
    last_stage = stage.index == stage.count - 1
    word = "hand" if last_stage else f"to stage {stage.index + 2}"
    if stage.blocks[0] == "moving":
        shapes.append(Text(stage.width - 2, stage.y(0) + 12, word, "text-soft", "end"))
    else:
        shapes.append(Text(2, stage.y(0) + 12, word, "text-soft"))
    name_y = stage.bottom - 18
    shapes.append(Text(stage.x("moving"), name_y, "moving block", "text", "middle"))
    shapes.append(Text(stage.x("fixed"), name_y, "fixed block", "text", "middle"))
    return shapes


def _describe(stage: TackleStageResult, index: int, count: int, write: UnitFormatter) -> str:
    parts = stage.hauling_part_tensions_n
    name = f"Stage {index + 1}: " if count > 1 else ""
    rest = ", ".join(write.hand(force) for force in parts[1:])
    leaves = stage.sheave_blocks[0]
    return (
        f"{name}{stage.ideal_advantage} to 1; the hauling part of {write.hand(parts[0])} leaves the {leaves} block, "
        f"the next parts carry {rest} to the becket on the {stage.becket_on} block."
    )
