"""The columns of a list of gear: one declaration for reading a list, writing one, and the template."""

from dataclasses import dataclass

from gear.classes import CLASS_CHOICES, CLASSES, EFFICIENCY_ORIGINS, GATES, MATERIALS, TERMINATIONS, USES
from gear.models import Disposal

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
    most: int = 0
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


def _text(name: str, heading: str, longest: int, *known_as: str) -> Column:
    return Column(name, heading, longest=longest, known_as=known_as)


def _choice(name: str, heading: str, choices: tuple[tuple[str, str], ...], *known_as: str) -> Column:
    return Column(name, heading, "choice", choices=choices, known_as=known_as)


def _figure(name: str, heading: str, quantity: str, unit: str, *known_as: str) -> Column:
    return Column(name, heading, "figure", quantity=quantity, unit=unit, known_as=known_as)


def _force(name: str, heading: str, *known_as: str) -> Column:
    return _figure(name, heading, "force", "N", *known_as)


def _length(name: str, heading: str, *known_as: str) -> Column:
    return _figure(name, heading, "length", "m", *known_as)


def _diameter(name: str, heading: str, *known_as: str) -> Column:
    return _figure(name, heading, "diameter_gear", "mm", *known_as)


def _ratio(name: str, heading: str, *known_as: str) -> Column:
    return _figure(name, heading, "ratio", PART_OF_ONE, *known_as)


def _whole(name: str, heading: str, most: int, *known_as: str) -> Column:
    return Column(name, heading, "whole", most=most, known_as=known_as)


def _day(name: str, heading: str, *known_as: str) -> Column:
    return Column(name, heading, "day", known_as=known_as)


def _flag(name: str, heading: str, *known_as: str) -> Column:
    return Column(name, heading, "flag", known_as=known_as)


COLUMNS: tuple[Column, ...] = (
    Column("tag", "Tag", "tag", longest=24, known_as=("tag no", "tag number", "asset", "asset no", "asset tag", "id")),
    _choice("gear_class", "Class", CLASS_CHOICES, "gear class", "kind", "type", "category"),
    _text("description", "What it is", 120, "description", "item", "name", "item description"),
    _choice("construction", "Construction", CONSTRUCTIONS),
    _text("maker", "Maker", 80, "manufacturer", "make", "made by"),
    _text("maker_model", "Model", 80, "model no", "product"),
    _text("serial", "Serial number", 60, "serial", "serial no", "s/n", "sn"),
    _text("batch", "Batch", 60, "lot", "batch no", "batch number"),
    _text("standard_marked", "Standard marked on it", 80, "standard", "standard marked"),
    _text("colour_tracer", "Colour or tracer", 40, "colour", "color", "tracer"),
    _choice("material", "Material", MATERIALS),
    Column("uses", "Uses", "uses", known_as=("use", "used for")),
    *(_flag(name, f"Use: {words.lower()}", words.lower()) for name, words in USE_WORDS),
    _force("working_load_limit_n", "Working load limit", "wll", "swl", "rated load", "working load"),
    _force(
        "breaking_strength_n", "Minimum breaking strength", "mbs", "mbl", "breaking strength", "breaking load",
        "minimum breaking load", "strength",
    ),
    _force("vertical_rating_n", "Sling: straight", "vertical", "straight", "wll vertical", "wll straight"),
    _force("choker_rating_n", "Sling: choker", "choker", "wll choker"),
    _force("basket_rating_n", "Sling: basket", "basket", "wll basket"),
    _force("minor_axis_strength_n", "Strength across", "minor axis", "minor axis strength", "cross load"),
    _force("proven_hold_n", "Proven hold of the hitch", "proven hold"),
    _text("proven_hold_basis", "How the hold was proven", 160),
    _figure("design_factor", "Design factor", "number", "", "safety factor", "df"),
    _choice("gate", "Gate", GATES),
    Column("terminations", "Ends it has for good", "ends", choices=TERMINATIONS, known_as=("ends", "terminations")),
    _length("length_m", "Length now", "length"),
    _figure("mass_kg", "Mass", "mass", "kg", "weight"),
    _diameter("diameter_mm", "Diameter", "dia", "rope diameter", "size"),
    _diameter("rope_diameter_min_mm", "Thinnest rope", "rope min", "min rope"),
    _diameter("rope_diameter_max_mm", "Thickest rope", "rope max", "max rope"),
    _diameter("sheave_diameter_mm", "Sheave or drum diameter", "sheave", "sheave diameter", "drum diameter"),
    _whole("sheave_count", "Sheaves", 8, "number of sheaves"),
    _ratio("sheave_efficiency", "Efficiency of a sheave", "efficiency"),
    _choice("sheave_efficiency_origin", "Efficiency comes from", EFFICIENCY_ORIGINS),
    _length("extended_length_m", "Extended length of the set", "extended length"),
    _length("two_blocked_length_m", "Two-blocked length of the set", "two-blocked length"),
    _ratio("reference_elongation_ratio", "Stretch", "elongation"),
    _ratio("reference_load_ratio", "Stretch was measured at this part of its breaking strength"),
    _day("manufactured_on", "Made on", "manufactured", "date of manufacture", "made", "manufacture date"),
    _flag("is_unused", "Not used yet", "unused", "new"),
    _day("first_used_on", "First used on", "first use", "date of first use", "in service since"),
    _flag("life_from_maker", "The maker sets its life"),
    _whole("life_years_from_manufacture", "Years from manufacture", 60),
    _whole("life_years_from_first_use", "Years from first use", 60),
    _whole("permitted_uses", "Uses permitted", 1_000_000),
    _whole("maker_interval_months", "Maker's inspection interval in months", 120),
    _text("storage_place", "Kept at", 80, "place", "location", "storage", "where"),
    Column("assembly", "Part of tackle set", "item", known_as=("assembly", "tackle set", "set")),
    _whole("parts_expected", "Tagged parts of the set", 30, "parts"),
    Column("parent", "Cut from", "item", known_as=("parent", "parent tag")),
    Column("spliced_by", "Spliced by", "person", known_as=("splicer",)),
    _text("borrowed_from", "Borrowed from", 120, "lender"),
    _day("due_back_on", "Due back on", "due back"),
    _text("documents", "Papers", 4_000, "documents", "certificates"),
    _text("notes", "Notes", 4_000, "remarks", "comments"),
    _day("retired_on", "Retired on", "retired"),
    _text("retired_because", "Retired because", 200),
    _choice("disposal", "What became of it", tuple(Disposal.choices), "disposal"),
)  # fmt: skip

BY_NAME = {column.name: column for column in COLUMNS}
NEEDED = ("tag", "gear_class", "description")
RETIREMENT = ("retired_on", "retired_because", "disposal")

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
