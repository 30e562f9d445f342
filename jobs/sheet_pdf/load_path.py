"""The load path of a sheet as a table hung on its rope."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.platypus import CondPageBreak, Flowable, TableStyle

from crewlog.dates import NBSP, short_day
from crewlog.pdf.blocks import FLUSH, Cut, section
from crewlog.pdf.content import Fact
from crewlog.pdf.fonts import SEMIBOLD
from crewlog.pdf.marks import StateMark
from crewlog.pdf.styles import CELL, CELL_RIGHT, CELL_STRONG, LABEL_PT, LABEL_STRONG, WIDTH, cell, fit, para, para_parts
from crewlog.pdf.tables import GAP, HEADED, RopeEye, RopeTable, plain_table
from jobs.sheet_rows.rows import Hung, PathRow
from jobs.wording.unit_formatter import UnitFormatter

GEAR_LINES = 4
PATH_HEAD = ("", "Position", "Gear", "Inspected", "Due", "Carries", "May carry", "Use", "Hauling on")
PATH_WIDTHS = (18.0, 90.0, WIDTH - 364.0, 44.0, 44.0, 42.0, 46.0, 30.0, 50.0)


def load_path(rows: Sequence[PathRow], write: UnitFormatter, cut: Cut) -> list[Flowable]:
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
            data.append(["", para(row.group_title, LABEL_STRONG), *[""] * 7])
            style += [
                ("SPAN", (1, len(data) - 1), (-1, len(data) - 1)),
                ("TOPPADDING", (0, len(data) - 1), (-1, len(data) - 1), 4),
            ]
        group = row.group
        last = index + 1 == len(rows) or rows[index + 1].group != group
        eye = RopeEye(solid=starts or last or row.is_anchor, starts=starts)
        data.append([eye, *_path_cells(printed_row(row, write), cut)])
    table = RopeTable(data, colWidths=list(PATH_WIDTHS), repeatRows=1, style=TableStyle(style), hAlign="LEFT")
    return [CondPageBreak(70), section("Load path, from the stem to the anchor"), table]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedRow:
    """A position as its cells print it."""

    title: str
    tag: str
    gear: str
    inspected: str
    due: str
    load: str
    capacity: str
    share: str
    hauling_on: str
    is_over: bool


def printed_row(row: PathRow, write: UnitFormatter) -> PrintedRow:
    """The texts of a position's cells; a dash where there is nothing to say."""
    hung, use = row.hung, row.use
    tag = "–" if hung is None or hung.kind == "left-out" else hung.tag or hung.what
    alternates = f"; alternate{NBSP}{', '.join(each.tag for each in row.alternates)}" if row.alternates else ""
    return PrintedRow(
        title=row.title,
        tag=tag,
        gear=f"{tag} {gear_words(hung) if hung is not None else ''}".strip() + alternates,
        inspected=short_day(hung.examined_on if hung is not None else None),
        due=short_day(hung.due_on if hung is not None else None),
        load=write.text(use.load) if use is not None else "–",
        capacity=write.text(use.capacity) if use is not None else "–",
        share=write.text(use.share) if use is not None else "–",
        hauling_on=write.text(use.hauling_on) if use is not None and use.hauling_on is not None else "",
        is_over=use is not None and use.hauling_on_over,
    )


def gear_words(hung: Hung) -> str:
    """What hangs in a position, after its tag: description and use, the kind of anchor, or why nothing."""
    if hung.kind == "anchor":
        return hung.sort
    if hung.kind == "left-out":
        return f"Left out: {hung.what}"
    return ", ".join(part for part in (hung.what, hung.use_words) if part)


def _path_cells(row: PrintedRow, cut: Cut) -> list[object]:
    """The cells of one position; what is too long for its column is cut and kept in full."""
    shown, was_cut = fit(row.gear, CELL, (PATH_WIDTHS[2] - GAP) * 0.97, GEAR_LINES)
    gear: object = para_parts([(shown[: len(row.tag)], True), (shown[len(row.tag) :], False)], CELL)
    over: object = row.hauling_on
    if row.is_over:
        mark, right = StateMark("caution", 7), para(row.hauling_on, CELL_RIGHT)
        over = plain_table([[mark, right]], [9, PATH_WIDTHS[-1] - 22], FLUSH)
    values = (row.inspected, row.due, row.load, row.capacity, row.share)
    cells: list[object] = []
    for value, width in zip(values, PATH_WIDTHS[3:8], strict=True):
        short, value_cut = fit(value, CELL, width - GAP, 2)
        was_cut = was_cut or value_cut
        cells.append(cell(short, CELL, width - GAP))
    position, position_cut = fit(row.title, CELL_STRONG, PATH_WIDTHS[1] - GAP, 3)
    if was_cut or position_cut:
        whole = f"{row.gear}; inspected {row.inspected}; due {row.due}"
        cut.facts.append(Fact(row.title, f"{whole}; carries {row.load}; may carry {row.capacity}; use {row.share}"))
    return [cell(position, CELL_STRONG, PATH_WIDTHS[1] - GAP), gear, *cells, over]
