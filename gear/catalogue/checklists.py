"""The points that checklists are made of; each class declares its own list. Standard library only.

A list in force is never edited: a changed point is a new version, because signed inspections name theirs. Sources
are short: a published list where there is one, else how the point is known. The maker's own list comes first.
"""

from dataclasses import dataclass

WEB_REMOVAL = "ASME B30.9 removal criteria, synthetic web"
ROPE_SLING_REMOVAL = "29 CFR 1910.184 removal of fibre rope slings (from memory)"
HOOK_REMOVAL = "EM 385-1-1 15.E.07, hooks"
ROPE_SLING_RULES = "WAC 296-78-755 (2)-(3), fibre rope slings"
REPORT = "LOLER 1998 Schedule 1"
PRACTICE = "common practice"
MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class Point:
    """One point; `code` keeps its meaning for ever."""

    code: str
    words: str
    hint: str
    source: str


@dataclass(frozen=True, slots=True)
class Checklist:
    """The points of a class in one version."""

    version: int
    points: tuple[Point, ...]


MARKING = Point("marking", "Tag readable and the right item", "Tag, rating and standard can be read on it", REPORT)
HEAT = Point("heat", "Heat, chemicals, mud", "Melted, stiff, stained or smelling; salt, fuel, bar oil", WEB_REMOVAL)
CRACKS = Point("cracks", "Cracks and corrosion", "Clean it first; look at corners, holes and welds", PRACTICE)
BENT = Point("bent", "Bent, twisted or opened up", "Against a new one; any bend that can be seen", HOOK_REMOVAL)
WORN = Point("worn", "Wear where rope or metal runs", "Measure the deepest place", HOOK_REMOVAL)
PARTS = Point("parts", "Every part there and tight", "Pins, circlips, screws, locking parts", PRACTICE)

SHEATH = Point(
    "sheath", "Whole length, by eye and by hand", "Cuts, glazing, fuzz, hard or soft spots, thin or thick places",
    ROPE_SLING_REMOVAL,
)  # fmt: skip
INSIDE = Point(
    "inside", "Inside of the rope, where it can be opened", "Powdered fibre between strands, broken yarns, rot",
    ROPE_SLING_REMOVAL,
)  # fmt: skip
ENDS = Point("ends", "Eyes, stitching and splices", "No cut or pulled thread; tucks full; thimble seated", PRACTICE)
TUCKS = Point(
    "ends", "Eyes, stitching and splices",
    "No cut or pulled thread, thimble seated. Stranded rope: eye splice with 4 full tucks in synthetic, 3 in manila",
    ROPE_SLING_RULES,
)  # fmt: skip
ROPE_HEAT = Point(
    "heat", "Heat, chemicals, mud",
    "Melted, stiff, stained or smelling; salt, fuel, bar oil. Never below −28 °C or above 82 °C in use or store",
    ROPE_SLING_RULES,
)  # fmt: skip
LENGTH = Point("length", "Length as on record", "Measured; nothing cut off without an entry", PRACTICE)
SHEAVES = Point("sheaves", "Sheaves turn freely", "No grinding, no side play, no rope print in the groove", PRACTICE)
AXLE = Point("axle", "Axle and bearings", "Tight, no crack, nothing leaking or dry", PRACTICE)
CHEEKS = Point("cheeks", "Cheeks, swivel and becket", "Close fully, lock, no burr that would cut a rope", PRACTICE)
GATE = Point("gate", "Gate or pin closes and locks by itself or by hand", "Springs back from every position", PRACTICE)
KNOTTED = Point("knotted", "No knots in it", "A knotted sling is removed", WEB_REMOVAL)
STITCHING = Point("stitching", "Load-bearing stitching", "Broken or worn stitches", WEB_REMOVAL)
HOLES = Point("holes", "Holes, tears, cuts, snags", "Both faces, both edges; a round sling's cover", WEB_REMOVAL)
STIFF = Point("stiff", "Discoloured, brittle or stiff", "Sunlight, age; worn edges and faces", WEB_REMOVAL)
FITTINGS = Point("fittings", "Fittings", "Rings, protectors and thimbles whole", WEB_REMOVAL)
DRUM = Point("drum", "Drum and pins", "No sharp groove, no burr, wall not worn thin", PRACTICE)
FRAME = Point("frame", "Frame, ears and welds", "No crack, no bend, strap slots smooth", PRACTICE)
STRAP = Point("strap", "Straps and ratchets that hold it", "Whole and marked; no slip under load", PRACTICE)
CAMS = Point("cams", "Cams or teeth grip", "Springs strong, teeth sharp, thinnest rope held", PRACTICE)
RELEASE = Point("release", "Releases when meant to, not before", "Try it under a hand pull", PRACTICE)
CALIBRATED = Point("calibrated", "Calibration against a reference", "Certificate seen, and its date", PRACTICE)
ZERO = Point("zero", "Reads nought with no load", "After warming up; battery good", PRACTICE)
SHELL = Point("shell", "Body, eyes and cable", "No bend, no dent, no water inside", PRACTICE)
ALL_PARTS = Point("all_parts", "Every tagged part is there", "Compare the tags with the list of the set", PRACTICE)
REEVING = Point("reeving", "Reeved as drawn", "No crossing, no twist, tail knotted", PRACTICE)
RUNS = Point("runs", "Runs from extended to two-blocked", "No jam, cleat holds in every place", PRACTICE)
BORE = Point("bore", "Bore smooth", "No burr, groove or colour from heat where rope runs", PRACTICE)

ROPE_POINTS = (MARKING, SHEATH, INSIDE, TUCKS, ROPE_HEAT, LENGTH)
CORD_POINTS = (MARKING, SHEATH, ENDS, ROPE_HEAT)
BLOCK_POINTS = (MARKING, SHEAVES, AXLE, CHEEKS, WORN, CRACKS, PARTS)
