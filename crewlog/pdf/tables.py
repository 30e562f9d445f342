"""Tables: ruled, split across pages with their heads, and the two that hang on a rope."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reportlab.platypus import Flowable, Table, TableStyle

from crewlog.pdf.fonts import REGULAR, SEMIBOLD
from crewlog.pdf.marks import draw_eye, draw_rope
from crewlog.pdf.styles import BLACK, CELL, LABEL_PT, LABEL_STRONG, RULE, WHITE, cell, lines_needed, para

GAP = 5.0
TALL_LINES = 30
Cell = Any  # text or a flowable

PLAIN: list[Any] = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), GAP),
    ("TOPPADDING", (0, 0), (-1, -1), 0.5),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0.5),
]
RULED: list[Any] = [
    *PLAIN,
    ("FONT", (0, 0), (-1, -1), REGULAR, LABEL_PT, 9.6),
    ("TOPPADDING", (0, 0), (-1, -1), 1.5),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
    ("LINEBELOW", (0, 0), (-1, -2), 0.4, RULE),
    ("LINEBELOW", (0, -1), (-1, -1), 0.8, BLACK),
]
HEADED: list[Any] = [
    *RULED,
    ("FONT", (0, 0), (-1, 0), SEMIBOLD, LABEL_PT, 9.6),
    ("LINEBELOW", (0, 0), (-1, 0), 0.8, BLACK),
]


class RopeEye(Flowable):
    """Marks a row that hangs on the rope; drawn by its table, which knows the row's height."""

    width = height = 0.0

    def __init__(self, *, solid: bool = False, starts: bool = False) -> None:
        super().__init__()
        self.solid, self.starts = solid, starts

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """Takes no room."""
        return 0.0, 0.0

    def draw(self) -> None:
        """Nothing: see RopeTable."""


class RopeTable(Table):
    """A table whose first column is a rope down the page with an eye for each row that has one."""

    _cellvalues: list[list[Any]]
    _rowpositions: list[float]

    def draw(self) -> None:
        """The rows, then the rope over each run of them, then the eyes."""
        super().draw()
        x = 6.0
        runs: list[list[tuple[float, float, bool]]] = []
        for index, row in enumerate(self._cellvalues):
            eye = next((part for part in _parts(row[0]) if isinstance(part, RopeEye)), None)
            if eye is None:
                continue
            top, bottom = self._rowpositions[index], self._rowpositions[index + 1]
            if eye.starts or not runs:
                runs.append([])
            runs[-1].append((top, bottom, eye.solid))
        for run in runs:
            draw_rope(self.canv, (x, run[0][0]), (x, run[-1][1]))
            for top, bottom, solid in run:
                draw_eye(self.canv, x, (top + bottom) / 2, solid=solid)


def _parts(value: Cell) -> Sequence[Cell]:
    return value if isinstance(value, (list, tuple)) else (value,)


class HoldStrip(Table):
    """Hold points along a rope: an eye over each column."""

    ROPE_DOWN = 5.0
    _width: float
    _height: float
    _colWidths: list[float]  # noqa: N815  (reportlab's name)

    def draw(self) -> None:
        """The columns, then the rope above them."""
        super().draw()
        y = self._height - self.ROPE_DOWN
        draw_rope(self.canv, (0, y), (self._width, y))
        left = 0.0
        for index, width in enumerate(self._colWidths):
            draw_eye(self.canv, left + 6.0, y, solid=index == len(self._colWidths) - 1, radius=3.8)
            left += width


def ruled_table(
    head: Sequence[str],
    rows: Sequence[Sequence[Cell]],
    widths: Sequence[float],
    *,
    right: Sequence[int] = (),
    across: Sequence[int] = (),
) -> Table:
    """Rows under a repeated head; text wraps in its column. `right` are columns set against their right edge.

    `across` are rows that go on with the row above: their second cell runs to the table's edge.
    """
    head, rows, widths, right = _without_empty_columns(head, rows, widths, right)
    data = [[cell(title, LABEL_STRONG, width - GAP) for title, width in zip(head, widths, strict=True)]]
    for cells in rows:
        data.append(
            [
                cell(value, CELL, width - GAP) if isinstance(value, str) else value
                for value, width in zip(cells, widths, strict=True)
            ]
        )
    style = [*HEADED, *(("ALIGN", (column, 0), (column, -1), "RIGHT") for column in right)]
    for row in (index + 1 for index in across):
        style += [("SPAN", (1, row), (-1, row)), ("LINEBELOW", (0, row - 1), (-1, row - 1), 0.4, WHITE)]
        style += [("NOSPLIT", (0, row - 1), (0, row))]
    return Table(
        data,
        colWidths=list(widths),
        repeatRows=1,
        style=TableStyle(style),
        hAlign="LEFT",
        splitInRow=int(_has_tall_cell(rows, widths)),
    )


def _without_empty_columns(
    head: Sequence[str], rows: Sequence[Sequence[Cell]], widths: Sequence[float], right: Sequence[int]
) -> tuple[list[str], list[list[Cell]], list[float], list[int]]:
    """Titled columns that say nothing fall away; the last column takes their room."""
    kept = [i for i in range(len(head)) if not head[i] or any(row[i] != "" for row in rows)]
    room = sum(widths) - sum(widths[i] for i in kept)
    slim = [widths[i] for i in kept]
    slim[-1] += room
    return (
        [head[i] for i in kept],
        [[row[i] for i in kept] for row in rows],
        slim,
        [kept.index(i) for i in right if i in kept],
    )


def _has_tall_cell(rows: Sequence[Sequence[Cell]], widths: Sequence[float]) -> bool:
    """Whether some text is too long to be kept in one piece on a page."""
    return any(
        isinstance(value, str) and len(value) > 400 and lines_needed(value, CELL, width - GAP) > TALL_LINES
        for row in rows
        for value, width in zip(row, widths, strict=True)
    )


def plain_table(rows: Sequence[Sequence[Cell]], widths: Sequence[float], extra: Sequence[Any] = ()) -> Table:
    """Cells side by side without rules."""
    return Table([list(row) for row in rows], colWidths=list(widths), style=TableStyle([*PLAIN, *extra]), hAlign="LEFT")


def strong(text: str) -> Cell:
    """A cell in strong type."""
    return para(text, LABEL_STRONG)
