"""Blocks of the pages after the first, from plain data to flowables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from reportlab.platypus import Flowable, TableStyle

from crewlog.pdf.blocks import COLUMN_GAP, FLUSH, facts_table, names, section, titled
from crewlog.pdf.content import Fact
from crewlog.pdf.head_code import LABEL as HEAD_LABEL
from crewlog.pdf.marks import QrCode, StateMark, TickBox
from crewlog.pdf.styles import BLACK, CELL, LABEL, WASH, WIDTH, lines_needed, para, para_parts
from crewlog.pdf.tables import GAP, HEADED, Cell, RopeEye, RopeTable, plain_table, ruled_table, strong
from jobs.drawing.angle_chart import angle_chart
from jobs.drawing.figures import DrawingOptions
from jobs.drawing.pdf import SceneFlowable, design_px
from jobs.drawing.plan_view import plan_view
from jobs.drawing.tackle_view import tackle_view
from jobs.mechanics.sources import Source
from jobs.mechanics.tackle import TackleResult
from jobs.plans.presentation import Assumption, HaulTable, PartRow, PlanFigure, Reset, WorkingGroup
from jobs.plans.si_text import si_text
from jobs.sheet_pdf.front import DRAWING_WIDTH
from jobs.sheet_rows.content import Seal, SheetContent
from jobs.sheet_rows.rows import AnchorRow, ChangedInput, Check, Duty, Emergency, Hazard, HoldPoint, Step
from jobs.wording.felling import felling
from jobs.wording.figure import Part
from jobs.wording.unit_formatter import UnitFormatter

NARROW = WIDTH - DRAWING_WIDTH - COLUMN_GAP
TACKLE_WIDTH = 240.0
PARTS_WIDTH = WIDTH - TACKLE_WIDTH - COLUMN_GAP
RESULT_LINES = 3


def sequence(steps: Sequence[Step], holds: Sequence[HoldPoint], write: UnitFormatter) -> list[Flowable]:
    """The work in order down a rope; a hold stands out and waits for its spoken go."""
    if not steps:
        return []
    data: list[list[Any]] = [["", "", strong("Step"), strong("Who"), strong("Done at")]]
    style = list(HEADED)
    for number, step in enumerate(steps, start=1):
        eye = RopeEye(starts=number == 1, solid=number == 1)
        data.append([eye, str(number), para(write.text(step.text), CELL), para(step.who, CELL), ""])
        if step.hold is not None:
            style.append(("BACKGROUND", (2, len(data)), (-1, len(data)), WASH))
            data.append(_hold_row(step.hold, holds[step.hold - 1]))
    widths = [18.0, 18.0, WIDTH - 196.0, 100.0, 60.0]
    table = RopeTable(data, colWidths=widths, repeatRows=1, style=TableStyle(style), hAlign="LEFT", splitInRow=1)
    return titled("Sequence with hold points", table)


def _hold_row(number: int, hold: HoldPoint) -> list[Any]:
    words = para_parts(
        [(f"HOLD {number}, spoken go: {hold.go}", True), (f"  {hold.detail}" if hold.detail else "", False)], CELL
    )
    return [RopeEye(solid=True), TickBox(), words, para(hold.given_by, CELL), para("Go at", LABEL)]


def plan_figures(figures: Sequence[PlanFigure], write: UnitFormatter) -> list[Flowable]:
    """Figures of the plan, each with the margin that is in it."""
    if not figures:
        return []
    rows = [(strong(f.label), *map(write.text, (f.value, f.margin, f.note))) for f in figures]
    widths = (140.0, 76.0, 130.0, WIDTH - 346.0)
    return titled(
        "Figures of the plan, with the margins in them",
        ruled_table(("Figure", "Value", "Margin used", "Note"), rows, widths),
    )


def plan_drawings(content: SheetContent) -> list[Flowable]:
    """From above, and the tension while it tips; then the tackle with its parts."""
    figures = content.figures
    if figures is None:
        return []
    write = content.write
    wide = DrawingOptions(
        width_px=design_px(DRAWING_WIDTH),
        height_px=design_px(190.0),
        formatter=write,
        place_words=dict(content.place_words),
    )
    small = DrawingOptions(width_px=design_px(NARROW), formatter=write)
    above = plan_view(figures, wide)
    left: list[Flowable] = [section("From above, to scale", DRAWING_WIDTH, 0), SceneFlowable(above)]
    left.append(
        para(
            "Stay out of the shaded wedge behind the anchor and out of any bight (the inside of a bend in the line).",
            LABEL,
        )
    )
    right: list[Flowable] = []
    if figures.pull.table:
        right = [section("While it tips", NARROW, 0), SceneFlowable(angle_chart(figures, small))]
    pair = plain_table([[left, "", right or ""]], [DRAWING_WIDTH, COLUMN_GAP, NARROW], FLUSH)
    pair.spaceBefore = 6
    return [pair, *_tackle(figures.tackle, small, content)]


def _tackle(tackle: TackleResult, options: DrawingOptions, content: SheetContent) -> list[Flowable]:
    if content.figures is None:
        return []
    options = replace(options, width_px=design_px(TACKLE_WIDTH))
    drawing = SceneFlowable(tackle_view(content.figures, options))
    table = part_by_part(content.parts, content.write)
    words = para("Becket: the eye on a block where the rope ends.", LABEL)
    pair = plain_table([[[drawing, words], "", table]], [TACKLE_WIDTH, COLUMN_GAP, PARTS_WIDTH], FLUSH)
    return titled("Tackle unfolded, tension in each part", pair, needs=drawing.height + 36)


def part_by_part(parts: Sequence[PartRow], write: UnitFormatter) -> Flowable:
    """Each part's tension while hauling, lowering by hand, and standing on the cleat."""
    rows = [(strong(part_name(row)), *map(write.text, (row.hauling, row.lowering, row.cleated))) for row in parts]
    width = PARTS_WIDTH / 4
    return ruled_table(("Part", "Hauling", "Lowering", "On the cleat"), rows, (width,) * 4, right=(1, 2, 3))


def part_name(row: PartRow) -> str:
    stage = f"Stage {row.stage}, " if row.stages > 1 else ""
    name = "hand part" if row.is_hand else f"part {row.number}" + (", becket" if row.is_becket else "")
    return (stage + name).capitalize()


def resets(items: Sequence[Reset], write: UnitFormatter) -> list[Flowable]:
    """Resets in their order; those while the stem stands on its hinge are marked."""
    if not items:
        return []
    rows = []
    for number, reset in enumerate(items, start=1):
        mark = StateMark("caution") if reset.while_tipping else ""
        where = "tipping" if reset.while_tipping else ""
        rows.append((strong(str(number)), write.text(reset.when), mark, where, reset.text))
    widths = (18.0, 110.0, 12.0, 70.0, WIDTH - 210.0)
    return titled("Resets, in order", ruled_table(("", "When", "", "", "What"), rows, widths))


def hauls(tables: Sequence[HaulTable], times: Part, write: UnitFormatter) -> list[Flowable]:
    """Each tackle's pull in steps, what holds the line, about how long; under the last, what the times rest on."""
    found: list[Flowable] = []
    head = ("", "Step", "Held by", "Line in", "", "About")
    widths = (18.0, WIDTH - 268.0, 118.0, 48.0, 44.0, 40.0)
    for table in tables:
        rows = [
            (
                strong(str(r.number)),
                write.text(r.what),
                r.held_by,
                write.text(r.travel),
                "tipping" if r.while_tipping else "",
                write.text(r.time),
            )
            for r in table.rows
        ]
        found += titled(f"{table.title}: the pull in steps", ruled_table(head, rows, widths, right=(3, 5)))
        notes = (table.total, *table.choices, *((times,) if table is tables[-1] else ()))
        found += [para(write.text(note), LABEL) for note in notes]
    return found


def checks(items: Sequence[Check]) -> list[Flowable]:
    """Rigging checks to tick, two columns, each with who and when."""
    if not items:
        return []
    width = (WIDTH - COLUMN_GAP) / 2
    half = (len(items) + 1) // 2
    cells = [_check(item, width) for item in items]
    rows = [[cells[i], "", cells[half + i] if half + i < len(cells) else ""] for i in range(half)]
    return titled("Rigging checks", plain_table(rows, [width, COLUMN_GAP, width], FLUSH))


def _check(item: Check, width: float) -> Flowable:
    done = ", ".join(part for part in (item.done_by, item.done_at) if part)
    who = para(done, LABEL) if done else para("Who and when", LABEL)
    rule = [("LINEBELOW", (3, 0), (3, 0), 0.4, BLACK)] if not done else []
    return plain_table(
        [[TickBox(ticked=bool(done)), para(item.text, CELL), "", who]],
        [13, width - 103, 8, 82],
        [*FLUSH, *rule, ("TOPPADDING", (0, 0), (-1, -1), 1.5)],
    )


def hazards(items: Sequence[Hazard], write: UnitFormatter) -> list[Flowable]:
    """Hazards with where they are and what controls each."""
    if not items:
        return []
    rows = [
        (
            strong(f"{h.kind}: {h.description}"),
            write.text(h.where),
            h.control_words,
        )
        for h in items
    ]
    return titled(
        "Hazards and controls", ruled_table(("Hazard", "Where", "Control"), rows, (130.0, 120.0, WIDTH - 250.0))
    )


def anchors(items: Sequence[AnchorRow], write: UnitFormatter) -> list[Flowable]:
    """Anchors with the estimate, who made it and on what basis."""
    if not items:
        return []
    rows = [
        (
            strong(a.position),
            ", ".join(part for part in (a.name, a.kind, a.species) if part),
            write.text(a.estimate),
            ", ".join(part for part in (a.made_by, a.made_at) if part),
            a.basis,
            a.checks_words,
        )
        for a in items
    ]
    head = ("Anchor", "What", "Estimate", "Made by", "Basis", "Checked")
    return titled("Anchors, as estimated", ruled_table(head, rows, (82.0, 92.0, 54.0, 76.0, 112.0, WIDTH - 416.0)))


def emergency(plan: Emergency) -> list[Flowable]:
    """Rescue plan and communication in full."""
    facts = (
        Fact("Rescue", plan.rescue_plan),
        Fact("Communication", plan.communication),
        Fact("Looked at again", plan.looked_at),
    )
    return facts_table("Rescue and communication", [fact for fact in facts if fact.value])


def duties(items: Sequence[Duty]) -> list[Flowable]:
    """Everyone's duty, with supervisors."""
    rows = [(strong(d.short), names(d.names), d.supervised_by, d.contact) for d in items]
    widths = (110.0, WIDTH - 330.0, 120.0, 100.0)
    return titled("Duties", ruled_table(("Duty", "Who", "Trainee, under", "Contact"), rows, widths))


def changed_inputs(items: Sequence[ChangedInput]) -> list[Flowable]:
    """Every input changed after a refusal, with its new source."""
    if not items:
        return []
    rows = [(strong(c.what), f"{c.before} → {c.after}", c.at, c.refusal, c.source, c.by) for c in items]
    head = ("Input", "Changed", "Refused at", "Because", "Source", "By")
    widths = (84.0, 84.0, 82.0, 96.0, 96.0, WIDTH - 442.0)
    return titled("Inputs changed after a refusal", ruled_table(head, rows, widths))


def working(groups: Sequence[WorkingGroup]) -> list[Flowable]:
    """Formula, numbers put in, result, unit and source of every figure."""
    blocks: list[Flowable] = []
    widths = (92.0, 132.0, 132.0, 50.0, 26.0, WIDTH - 432.0)
    head = ("Figure", "Formula", "Numbers", "Result", "Unit", "Source")
    for group in groups:
        rows: list[tuple[Cell, ...]] = []
        across: list[int] = []
        for line in group.lines:
            name = strong(line.name)
            if lines_needed(line.result, CELL, widths[3] - GAP) <= RESULT_LINES:
                rows.append((name, line.formula, line.numbers, line.result, line.unit, line.source))
            else:  # a list of results has a row of its own
                rows.append((name, line.formula, line.numbers, "", line.unit, line.source))
                across.append(len(rows))
                rows.append(("", para(line.result, CELL), "", "", "", ""))
        blocks += titled(f"Working: {group.title}", ruled_table(head, rows, widths, right=(3,), across=across))
    return blocks


def assumptions(items: Sequence[Assumption], sources: Sequence[Source]) -> list[Flowable]:
    """Assumptions and defaults, each with its basis; then the sources named."""
    if not items and not sources:
        return []
    rows = [(strong(a.name), si_text(a), f"{a.basis}: {a.note}") for a in items]
    rows += [(strong(f"Source {s.id}"), s.where, f"{s.author}: {felling(s.title)}") for s in sources]
    return titled(
        "Assumptions and defaults", ruled_table(("What", "Value", "Basis"), rows, (150.0, 90.0, WIDTH - 240.0))
    )


def seal(mark: Seal) -> list[Flowable]:
    """How to tell whether the sheet is genuine and still stands."""
    facts = [
        (para("Snapshot sha256", LABEL), para(mark.snapshot_sha256, CELL)),
        (para(HEAD_LABEL, LABEL), para(mark.chain_head, CELL)),
        (para("Mechanics", LABEL), para(mark.mechanics_version, CELL)),
        (para("Address", LABEL), para(mark.address, CELL)),
    ]
    words = plain_table(facts, [100.0, WIDTH - 180.0])
    box = plain_table([[words, QrCode(mark.address, 60.0)]], [WIDTH - 70.0, 70.0], FLUSH)
    return titled("Seal: is this sheet genuine and still valid", box, needs=90.0)
