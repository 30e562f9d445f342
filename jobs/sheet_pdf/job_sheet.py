"""The job sheet: its blocks in reading order."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import CondPageBreak, Flowable

from crewlog.pdf.blocks import Cut, Slab, facts_table, lines, signatures
from crewlog.pdf.document import FRONT_HEIGHT
from crewlog.pdf.fonts import register_fonts
from crewlog.pdf.styles import WIDTH
from jobs.drawing.figures import PlanFigures
from jobs.sheet_pdf import blocks, front
from jobs.sheet_pdf.document import AfterPageOne, write_sheet
from jobs.sheet_pdf.load_path import load_path
from jobs.sheet_rows.content import SheetContent

PAGE_ONE_CAUTIONS = 5
LEAST_DRAWING_PT, MOST_DRAWING_PT = 120.0, 190.0
PATH_HEAD_PT = 70.0


def render_job_sheet(content: SheetContent) -> bytes:
    """The sheet as a PDF. Same content, same bytes; all user text is shown as written, never read as markup."""
    register_fonts()
    cut = Cut()
    return write_sheet(content, [*_page_one(content, cut), AfterPageOne(), *_overleaf(content, cut), *_annex(content)])


def _page_one(content: SheetContent, cut: Cut) -> list[Flowable]:
    before: list[Flowable] = [Slab(content.banner.title, content.banner.text, cut)] if content.banner else []
    before += [
        front.heading(content, cut),
        front.where_wrong_who(content.site, content.emergency, content.duties, cut),
    ]
    if content.key_figures:
        before.append(front.key_figures(content.key_figures, content.write, cut))
    holds = [
        *front.hold_points(content.hold_points, cut),
        *front.cautions(content.cautions[:PAGE_ONE_CAUTIONS], cut),
    ]
    path = load_path(content.load_path, content.write, cut)
    if content.figures is None:
        statement = cut.fit("Method statement", content.method_statement, WIDTH, lines=8)
        return [*before, *lines("Line load by method statement", [statement]), *holds, *path]
    room = FRONT_HEIGHT - _height(before) - _height(holds)
    height_pt = _drawing_height(content.figures, content, room, _height(path))
    return [*before, front.drawings(content.figures, content, cut, height_pt=height_pt), *holds, *path]


def _drawing_height(figures: PlanFigures, content: SheetContent, room_pt: float, path_pt: float) -> float:
    """Height of the side view: as it asks for, or lower where that keeps the whole load path on page one.

    Never so tall that hold points, cautions and the head of the load path leave the page.
    """

    def block_pt(height_pt: float) -> float:
        return _height([front.drawings(figures, content, Cut(), height_pt=height_pt)])

    natural_pt, wanted_pt = front.side_height(figures, content, MOST_DRAWING_PT), block_pt(MOST_DRAWING_PT)
    for needed in (path_pt, PATH_HEAD_PT):
        shrunk = natural_pt - max(0.0, wanted_pt + needed - room_pt)
        if shrunk >= LEAST_DRAWING_PT and block_pt(shrunk) + needed <= room_pt:
            return shrunk
    return LEAST_DRAWING_PT


def _height(flowables: Sequence[Flowable]) -> float:
    solid = [f for f in flowables if not isinstance(f, CondPageBreak)]
    return sum(f.wrap(WIDTH, 10_000)[1] + f.getSpaceBefore() + f.getSpaceAfter() for f in solid)


def _overleaf(content: SheetContent, cut: Cut) -> list[Flowable]:
    further, write = content.cautions[PAGE_ONE_CAUTIONS:], content.write
    return [
        *front.cautions(further, cut, title="Further cautions", lines=12),
        *facts_table("In full, cut short above", cut.facts),
        *blocks.sequence(content.sequence, content.hold_points, write),
        *(
            lines("This sheet is valid while", [write.text(line) for line in content.envelope])
            if _envelope_ran_over(content)
            else []
        ),
        *blocks.checks(content.checks),
        *blocks.resets(content.resets, write),
        *blocks.plan_figures(content.plan_figures, write),
        *blocks.plan_drawings(content),
        *blocks.hazards(content.hazards, write),
        *blocks.anchors(content.anchors, write),
        *blocks.emergency(content.emergency),
        *blocks.duties(content.duties),
        *blocks.changed_inputs(content.changed_inputs),
        *signatures(content.signatures),
        *blocks.seal(content.seal),
    ]


def _envelope_ran_over(content: SheetContent) -> bool:
    return len(content.envelope) > 6 or content.figures is None


def _annex(content: SheetContent) -> list[Flowable]:
    if not content.working and not content.assumptions and not content.sources and not content.hauls:
        return []
    return [
        CondPageBreak(220),
        *blocks.hauls(content.hauls, content.haul_times, content.write),
        *blocks.working(content.working),
        *blocks.assumptions(content.assumptions, content.sources),
    ]
