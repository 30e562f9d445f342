"""The columns of a list of gear: one declaration for reading a list, writing one, and the template."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from crewlog.quantities.columns import (
    DayColumn,
    DeclaredColumn,
    FlagColumn,
    LineColumn,
    ListedColumn,
    QuantityColumn,
    TextColumn,
    WholeColumn,
)
from crewlog.quantities.kinds import kind_named
from crewlog.web.form_boxes import LONGEST_TEXT
from gear.catalogue.classes import CLASS_CHOICES, CLASSES, TERMINATIONS, USES
from gear.models import ITEM_COLUMNS, OTHER_HEADINGS, Disposal
from gear.register.editable import EDITABLE

PART_OF_ONE = "1"  # the unit of a ratio written as 0.92
CONSTRUCTIONS = tuple(sorted({choice for c in CLASSES for choice in c.constructions}))
USE_WORDS = tuple((column, words) for _, column, words in USES)


@dataclass(frozen=True, slots=True)
class Column:
    """One column. `kind` says how a cell is read; `name` is the column of the register, or what the list adds to it.

    Figures have a `quantity` and are written in `unit`, the stored one, so that every digit comes back.
    `known_as` are headings found in lists of others, in lower case.
    """

    name: str
    heading: str
    kind: str = "text"
    quantity: str = ""
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    longest: int = 120
    max_value: int = 0
    known_as: tuple[str, ...] = ()

    @property
    def needs_unit(self) -> bool:
        """Whether a bare number says nothing without a unit."""
        return self.kind == "figure" and self.quantity != "number"

    @property
    def written_heading(self) -> str:
        """The heading of our own lists, with its unit."""
        if not self.needs_unit:
            return self.heading
        return f"{self.heading} ({'part of 1' if self.unit == PART_OF_ONE else self.unit})"


# Headings found in lists of others, in lower case.
KNOWN_AS: Mapping[str, tuple[str, ...]] = {
    "description": ("description", "item", "name", "item description"),
    "maker": ("manufacturer", "make", "made by"),
    "maker_model": ("model no", "product"),
    "serial": ("serial", "serial no", "s/n", "sn"),
    "batch": ("lot", "batch no", "batch number"),
    "standard_marked": ("standard", "standard marked"),
    "colour_tracer": ("colour", "color", "tracer"),
    "working_load_limit_n": ("wll", "swl", "rated load", "working load"),
    "breaking_strength_n": (
        "mbs", "mbl", "breaking strength", "breaking load", "minimum breaking load", "strength",
    ),
    "vertical_rating_n": ("vertical", "straight", "wll vertical", "wll straight"),
    "choker_rating_n": ("choker", "wll choker"),
    "basket_rating_n": ("basket", "wll basket"),
    "minor_axis_strength_n": ("minor axis", "minor axis strength", "cross load"),
    "proven_hold_n": ("proven hold",),
    "design_factor": ("safety factor", "df"),
    "length_m": ("length",),
    "mass_kg": ("weight",),
    "diameter_mm": ("dia", "rope diameter", "size"),
    "rope_diameter_min_mm": ("rope min", "min rope"),
    "rope_diameter_max_mm": ("rope max", "max rope"),
    "sheave_diameter_mm": ("sheave", "sheave diameter", "drum diameter"),
    "sheave_count": ("number of sheaves",),
    "sheave_efficiency": ("efficiency",),
    "extended_length_m": ("extended length",),
    "two_blocked_length_m": ("two-blocked length",),
    "reference_elongation_ratio": ("elongation",),
    "manufactured_on": ("manufactured", "date of manufacture", "made", "manufacture date"),
    "is_unused": ("unused", "new"),
    "first_used_on": ("first use", "date of first use", "in service since"),
    "storage_place": ("place", "location", "storage", "where"),
    "parts_expected": ("parts",),
    "borrowed_from": ("lender",),
    "due_back_on": ("due back",),
    "documents": ("documents", "certificates"),
    "notes": ("remarks", "comments"),
}  # fmt: skip
# Where a cell says less than a box with its words around it.
HEADINGS: Mapping[str, str] = {
    "reference_load_ratio": "Stretch was measured at this part of its breaking strength",
    "maker_interval_months": "Maker's inspection interval in months",
    **{name: f"Use: {words.lower()}" for name, words in USE_WORDS},
}
RETIREMENT = ("retired_on", "retired_because", "disposal")


def _other(name: str, kind: str, *known_as: str, choices: tuple[tuple[str, str], ...] = ()) -> Column:
    return Column(name, OTHER_HEADINGS[name], kind, choices=choices, known_as=known_as)


# What is no plain column of an item, or takes its choices from the classes.
OTHERS: tuple[Column, ...] = (
    Column("tag", "Tag", "tag", longest=24, known_as=("tag no", "tag number", "asset", "asset no", "asset tag", "id")),
    Column("gear_class", "Class", "choice", choices=CLASS_CHOICES, known_as=("gear class", "kind", "type", "category")),
    Column("construction", "Construction", "choice", choices=CONSTRUCTIONS),
    Column("uses", "Uses", "uses", known_as=("use", "used for")),
    _other("terminations", "ends", "ends", "terminations", choices=TERMINATIONS),
    _other("assembly", "item", "assembly", "tackle set", "set"),
    _other("parent", "item", "parent", "parent tag"),
    _other("spliced_by", "person", "splicer"),
    Column("retired_on", "Retired on", "day", known_as=("retired",)),
    Column("retired_because", "Retired because", longest=200),
    Column("disposal", "What became of it", "choice", choices=tuple(Disposal.choices), known_as=("disposal",)),
)


def kind_of(column: DeclaredColumn[Any, Any]) -> dict[str, Any]:
    """How a cell of an item's column is read, and what it takes."""
    match column:
        case QuantityColumn(kind="percent"):
            return {"kind": "figure", "quantity": "ratio", "unit": PART_OF_ONE}
        case QuantityColumn():
            stored = next(unit for unit in kind_named(column.kind).units if unit.factor == 1.0)
            return {"kind": "figure", "quantity": column.kind, "unit": stored.symbol}
        case WholeColumn():
            return {"kind": "whole", "max_value": column.typed_bounds[1]}
        case ListedColumn():
            return {"kind": "choice", "choices": column.codes}
        case DayColumn():
            return {"kind": "day"}
        case FlagColumn():
            return {"kind": "flag"}
        case LineColumn():
            return {"longest": column.longest}
        case TextColumn():
            return {"longest": LONGEST_TEXT}
    raise TypeError(f"no list says how to read {column.name}")


def listed() -> Iterator[Column]:
    """Every fact of an item in the order of the register, the cell that lists uses before them, then how it ended."""
    others = {column.name: column for column in OTHERS}
    first_use = USE_WORDS[0][0]
    for name in ("tag", "gear_class", *EDITABLE, *RETIREMENT):
        if name == first_use:
            yield others["uses"]
        if name in others:
            yield others[name]
            continue
        declared = ITEM_COLUMNS[name]
        heading = HEADINGS.get(name, declared.heading)
        known_as = KNOWN_AS.get(name, (declared.words,) if name in dict(USE_WORDS) else ())
        yield Column(name, heading, **kind_of(declared), known_as=known_as)


COLUMNS: tuple[Column, ...] = tuple(listed())

BY_NAME = {column.name: column for column in COLUMNS}
NEEDED = ("tag", "gear_class", "description")

# What our own lists add for the reader: it rests on records, or repeats a figure, and is never read back.
READING_ONLY = (
    ("registered_on", "Registered on"),
    ("status", "State on the day"),
    ("quarantined_on", "Out of use since"),
    ("quarantined_because", "Out of use because"),
    ("examination_pending_since", "Examination pending since"),
    ("last_examined_on", "Last examined on"),
    ("next_due_on", "Next due on"),
    ("next_due_basis", "Next due because of"),
    ("remark_due_on", "Remark due on"),
    ("remark", "Remark"),
    ("life_ends_on", "Life ends on"),
    ("spliced_by_name", "Name of who spliced it"),
)
AS_SHOWN = ", as shown"  # after the heading of a figure repeated in the company's units
