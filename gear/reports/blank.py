"""A blank checklist for the store's bench: the points, the limits and where they come from, and room for a pen."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable, TableStyle

from crewlog.models import Company
from crewlog.pdf.blocks import facts_table, lines, section, signatures, titled
from crewlog.pdf.content import Fact, Signature
from crewlog.pdf.document import Edge, write_pdf
from crewlog.pdf.marks import TickBox
from crewlog.pdf.styles import BODY, CELL, LABEL, LABEL_STRONG, TITLE, WIDTH, para, para_parts
from crewlog.pdf.tables import plain_table, ruled_table
from crewlog.quantities.display import quantity_text
from gear.catalogue.classes import GATES, MATERIALS
from gear.catalogue.events import INSPECTION_KINDS, VERDICTS
from gear.catalogue.gear_class import GearClass
from gear.catalogue.wear import WearMeasure
from gear.examinations.measuring import when_new
from gear.models import GearItem
from gear.reports.build import identification, working_load
from gear.reports.schedule import MAKERS_FIRST

UNITS = {"mm": "diameter_gear", "m": "length", "%": "percent"}
BOX_PT = 34.0
BLANK = " "
TYPED_IN_LATER = "To be filled in here and typed in later as a paper report."


def blank_of_class(declared: GearClass, company: Company) -> bytes:
    """The checklist of a class, nothing filled in."""
    named = pen_row("Tag", "Item, maker, serial", "Working load limit")
    return render_blank(
        declared, company, None, titled("What is examined", *named), title=f"Checklist: {declared.name}"
    )


def blank_of_item(item: GearItem) -> bytes:
    """The checklist of one item, with its particulars and its own limits."""
    named = [Fact("Item", identification(item)), Fact("Working load limit", working_load(item, units_of(item)))]
    return render_blank(
        item.declared, item.company, item, facts_table("What is examined", named), title=f"Checklist: {item.tag}"
    )


def units_of(item: GearItem) -> str:
    return item.company.unit_system


def render_blank(
    declared: GearClass, company: Company, item: GearItem | None, named: Sequence[Flowable], *, title: str
) -> bytes:
    version = f"version {declared.checklist.version}"
    story: list[Flowable] = [
        para(company.name, LABEL_STRONG),
        para(title, TITLE),
        para(f"{declared.name}, {version} of the checklist. {TYPED_IN_LATER} {MAKERS_FIRST}", BODY),
        *named,
        *kinds(),
        *points(declared),
        *measures(declared, item, company.unit_system),
        *lines("Findings", [BLANK + "\n\n"]),
        *verdicts(),
        *lines("Life and materials", [life_words(declared)]),
        *signatures(
            [Signature(role="Examined by", name=BLANK), Signature(role="Employer told by", name=BLANK)], "Signed"
        ),
    ]
    edge = Edge(
        title=title,
        head=f"{title}, {version}",
        head_right=company.name,
        caution="A form for paper. It is on record only once it is typed in. The maker's instructions come first.",
        foot_lines=((f"{declared.name}, {version}", "Blank form"),),
        author=company.name,
    )
    return write_pdf(edge, story)


def tick(words: str, width: float) -> Flowable:
    return plain_table([[TickBox(), para(words, CELL)]], [13, width - 13])


def kinds() -> list[Flowable]:
    """Which inspection it is, with the day."""
    offered = [words for code, words in INSPECTION_KINDS if code != "declaration"]
    width = (WIDTH - 110) / len(offered)
    row = [*(tick(words, width) for words in offered), para("On:", LABEL)]
    return titled("Which inspection", plain_table([row], [*([width] * len(offered)), 110.0]), needs=40.0)


def points(declared: GearClass) -> list[Flowable]:
    """Each point with three boxes, what to look for and where the point comes from."""
    rows = [
        (
            str(number),
            para_parts([(point.words, True), (f"  {point.hint}. ({point.source})", False)], CELL),
            TickBox(),
            TickBox(),
            TickBox(),
            BLANK,
        )
        for number, point in enumerate(declared.checklist.points, start=1)
    ]
    head = ("", "Point", "Good", "Remark", "Fail", "What was seen")
    table = ruled_table(head, rows, (16.0, 260.0, BOX_PT, 42.0, BOX_PT, WIDTH - 386.0))
    table.setStyle(TableStyle([("BOTTOMPADDING", (0, 1), (-1, -1), 7), ("TOPPADDING", (0, 1), (-1, -1), 4)]))
    return titled("Points", table)


def measures(declared: GearClass, item: GearItem | None, units: str) -> list[Flowable]:
    """Each measure with its limit, worked out for the item where one is named."""
    if not declared.measures:
        return []
    rows = [(m.label, BLANK, limit_words(m, item, units), m.source) for m in declared.measures]
    table = ruled_table(("Measure", "Found", "Limit", "Source"), rows, (150.0, 90.0, 120.0, WIDTH - 360.0))
    table.setStyle(TableStyle([("BOTTOMPADDING", (0, 1), (-1, -1), 7), ("TOPPADDING", (0, 1), (-1, -1), 4)]))
    return titled("Measures", table)


def limit_words(measure: WearMeasure, item: GearItem | None, units: str) -> str:
    kind = UNITS[measure.unit]
    new = when_new(item, measure) if item is not None else None
    min_value = measure.min_value(new)
    if min_value is not None:
        return f"at least {quantity_text(min_value, kind, units, direction='up')}"
    if measure.min_ratio is not None:
        return f"at least {measure.min_ratio * 100:.0f}\u00a0% of the figure when new"
    if measure.max_value is not None:
        return f"at most {quantity_text(measure.max_value, kind, units, direction='down')}"
    return "the examiner judges"


def verdicts() -> list[Flowable]:
    """The verdict with its dates."""
    width = WIDTH / len(VERDICTS)
    boxes = plain_table([[tick(words, width) for _, words in VERDICTS]], [width] * len(VERDICTS))
    return [section("Verdict"), boxes, *pen_row("Mend by, for a remark", "Next due", "Employer told at, and how")]


def pen_row(*labels: str) -> list[Flowable]:
    """Labels side by side, each with room for a pen below it."""
    table = ruled_table(labels, [[BLANK] * len(labels)], [WIDTH / len(labels)] * len(labels))
    table.setStyle(TableStyle([("TOPPADDING", (0, 1), (-1, -1), 8), ("BOTTOMPADDING", (0, 1), (-1, -1), 4)]))
    return [table]


def life_words(declared: GearClass) -> str:
    """The life of the class, and the materials it is refused in."""
    life = declared.life
    said = f"Life where the maker sets none: {life.source}."
    names = dict(MATERIALS)
    if declared.materials_allowed:
        said += f" Made of: {', '.join(names[code].lower() for code in declared.materials_allowed)}."
    if declared.materials_refused:
        said += f" Refused materials: {', '.join(names[code].lower() for code in declared.materials_refused)}."
    if "gate" in {point.code for point in declared.checklist.points}:
        said += f" Gates known: {', '.join(words.lower() for _, words in GATES)}."
    return said
