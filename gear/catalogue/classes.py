"""The one declaration of each class of gear: the list that every form, rule, page and paper reads.

A new class is one entry here and its drawing in the sprite: see DEVELOPERS.md. Standard library only.
"""

from collections.abc import Collection

from gear.catalogue.checklists import (
    ALL_PARTS,
    BENT,
    BLOCK_POINTS,
    BORE,
    CALIBRATED,
    CAMS,
    CORD_POINTS,
    CRACKS,
    DRUM,
    FITTINGS,
    FRAME,
    GATE,
    HEAT,
    HOLES,
    KNOTTED,
    MARKING,
    PARTS,
    REEVING,
    RELEASE,
    ROPE_POINTS,
    RUNS,
    SHELL,
    STIFF,
    STITCHING,
    STRAP,
    WORN,
    ZERO,
    Checklist,
)
from gear.catalogue.gear_class import ANY_STRENGTH, RATING_FIELDS, GearClass, LifeRule, OverloadRule
from gear.catalogue.wear import WearMeasure

COMMON_PRACTICE = "common practice"

NO_LIFE_SET = LifeRule(None, None, "metal gear: condition decides unless the maker sets a life (common practice)")
TEXTILE_LIFE = LifeRule(
    10, None, "up to 10 years from manufacture: common maker's figure for nylon and polyester (from memory)"
)
ABOVE_LIMIT = OverloadRule(
    1.0, "loaded above the working load limit: out of use and examined before the next use (common practice)"
)

ROPE_WEAR = (
    WearMeasure("diameter_mm", "Smallest diameter found", "mm", of="diameter_mm", min_ratio=0.9,
                source="tenth of the diameter lost (common practice)"),
    WearMeasure("damaged_sheath_m", "Longest stretch of worn sheath", "m", max_value=None,
                source="recorded; the inspector judges"),
)  # fmt: skip
CORD_WEAR = ROPE_WEAR[:1]
METAL_WEAR = (
    WearMeasure("wear_ratio", "Deepest wear, part of the original section", "%", max_value=0.10,
                source="EM 385-1-1 15.E.07, wear over 10 % (hooks; used for metal gear by common practice)"),
)  # fmt: skip
CONNECTOR_WEAR = (
    *METAL_WEAR,
    WearMeasure("opening_increase_ratio", "Growth of the gate or throat opening", "%", max_value=0.05,
                source="EM 385-1-1 15.E.07, over 5 %"),
)  # fmt: skip
SHEAVE_WEAR = (
    *METAL_WEAR,
    WearMeasure("groove_depth_loss_mm", "Rope print worn into the sheave", "mm", max_value=1.0, source=COMMON_PRACTICE),
    WearMeasure("side_play_mm", "Side play of the sheave", "mm", max_value=2.0, source=COMMON_PRACTICE),
)
DRUM_WEAR = (
    WearMeasure("wall_loss_ratio", "Drum wall worn away", "%", max_value=0.10,
                source="as hooks, EM 385-1-1 15.E.07 (common practice)"),
    WearMeasure("groove_depth_mm", "Deepest groove in the drum", "mm", max_value=2.0, source=COMMON_PRACTICE),
)  # fmt: skip
GAUGE_WEAR = (
    WearMeasure(
        "zero_error_ratio", "Reading with no load, part of full scale", "%", max_value=0.01, source=COMMON_PRACTICE
    ),
    WearMeasure("span_error_ratio", "Error against the reference load", "%", max_value=0.02, source=COMMON_PRACTICE),
)

FIBRES = ("polyester", "nylon", "polypropylene", "polyethylene", "aramid", "aramid_polyester", "natural_fibre")
METALS = ("steel", "stainless_steel", "aluminium")
ROPE_FACTS = (
    "length_m", "diameter_mm", "proven_hold_n", "proven_hold_basis", "terminations", "reference_elongation_ratio",
    "reference_load_ratio", "spliced_by",
)  # fmt: skip
EFFICIENCY = ("sheave_efficiency", "sheave_efficiency_origin")
SHEAVE_FACTS = ("rope_diameter_min_mm", "rope_diameter_max_mm", "sheave_diameter_mm", "sheave_count", *EFFICIENCY)
SET_FACTS = (*EFFICIENCY, "extended_length_m", "two_blocked_length_m", "parts_expected")
ROPE_CONSTRUCTIONS = (
    ("double_braid", "Double braid"), ("single_braid", "Single braid"), ("three_strand", "Three-strand"),
    ("kernmantle", "Core and sheath"),
)  # fmt: skip
REDIRECT_BLOCKS = ("redirect_block", "side_redirect_block")
CONNECTOR_ROLES = (
    "stem_connector", "hitch_connector", "fixed_block_connector", "redirect_connector", "gauge_connector",
)  # fmt: skip
SLING_ROLES = (
    "stem_sling", "anchor_sling", "bollard_sling", "redirect_sling", "side_sling", "side_redirect_sling",
    "restraint_sling",
)  # fmt: skip
# Polypropylene melts on a drum and in a hitch; so does polyethylene, whose melting point lies lower still.
MELTS_IN_A_HITCH = ("polypropylene", "polyethylene")

CLASSES: tuple[GearClass, ...] = (
    GearClass(
        code="rope", name="Rope", kind="rope", icon="g-rope",
        is_accessory=True, is_installed=False,
        design_factor=5.0, ratings=ANY_STRENGTH, facts=ROPE_FACTS,
        constructions=ROPE_CONSTRUCTIONS,
        measures=ROPE_WEAR, life=TEXTILE_LIFE, overload=ABOVE_LIMIT,
        roles=("main_line", "side_line", "restraint_line"),
        materials=FIBRES, materials_refused=("polypropylene",),
        checklist=Checklist(2, ROPE_POINTS),
    ),
    GearClass(
        code="tackle_rope", name="Tackle rope", kind="tackle_rope", icon="g-rope",
        is_accessory=True, is_installed=False,
        design_factor=5.0, ratings=ANY_STRENGTH, facts=ROPE_FACTS,
        constructions=ROPE_CONSTRUCTIONS,
        measures=ROPE_WEAR, life=TEXTILE_LIFE, overload=ABOVE_LIMIT,
        roles=("tackle_rope",),
        materials=FIBRES, materials_refused=(),
        checklist=Checklist(2, ROPE_POINTS),
    ),
    GearClass(
        code="hitch_cord", name="Hitch cord", kind="hitch_cord", icon="g-hitch",
        is_accessory=True, is_installed=False,
        design_factor=5.0, ratings=ANY_STRENGTH, facts=ROPE_FACTS,
        constructions=(("loop", "Loop"), ("plain", "Plain ends")),
        measures=CORD_WEAR, life=TEXTILE_LIFE, overload=ABOVE_LIMIT,
        roles=("hitch_cord",),
        materials=FIBRES, materials_refused=MELTS_IN_A_HITCH,
        checklist=Checklist(2, CORD_POINTS),
    ),
    GearClass(
        code="eye_to_eye_sling", name="Eye-to-eye sling", kind="hitch_cord", icon="g-hitch",
        is_accessory=True, is_installed=False,
        design_factor=5.0, ratings=ANY_STRENGTH, facts=ROPE_FACTS,
        constructions=(("sewn", "Sewn eyes"), ("spliced", "Spliced eyes")),
        measures=CORD_WEAR, life=TEXTILE_LIFE, overload=ABOVE_LIMIT,
        roles=("hitch_cord",),
        materials=FIBRES, materials_refused=MELTS_IN_A_HITCH,
        checklist=Checklist(2, (*CORD_POINTS, STITCHING)),
    ),
    GearClass(
        code="block", name="Block", kind="block", icon="g-block",
        is_accessory=True, is_installed=False,
        design_factor=5.0, ratings=ANY_STRENGTH, facts=SHEAVE_FACTS,
        constructions=(
            ("single", "Single"), ("double_side_by_side", "Double, side by side"),
            ("double_in_line", "Double, in line"), ("triple", "Triple"),
        ),
        measures=SHEAVE_WEAR, life=NO_LIFE_SET, overload=ABOVE_LIMIT,
        roles=("moving_block", "fixed_block", *REDIRECT_BLOCKS),
        materials=METALS, materials_refused=(),
        checklist=Checklist(1, BLOCK_POINTS),
    ),
    GearClass(
        code="pulley", name="Pulley", kind="block", icon="g-pulley",
        is_accessory=True, is_installed=False,
        design_factor=5.0, ratings=ANY_STRENGTH, facts=SHEAVE_FACTS,
        constructions=(("plain", "Plain"), ("hitch_tending", "Hitch-tending")),
        measures=SHEAVE_WEAR, life=NO_LIFE_SET, overload=ABOVE_LIMIT,
        roles=("moving_block", "fixed_block", *REDIRECT_BLOCKS),
        materials=METALS, materials_refused=(),
        checklist=Checklist(1, BLOCK_POINTS),
    ),
    GearClass(
        code="connector", name="Connector", kind="connector", icon="g-connector",
        is_accessory=True, is_installed=False,
        design_factor=5.0, ratings=ANY_STRENGTH, facts=("diameter_mm", "minor_axis_strength_n", "gate"),
        constructions=(
            ("carabiner", "Carabiner"), ("shackle", "Shackle"), ("link", "Screw link"), ("plate", "Rigging plate"),
        ),
        measures=CONNECTOR_WEAR, life=NO_LIFE_SET, overload=ABOVE_LIMIT,
        roles=CONNECTOR_ROLES,
        materials=METALS, materials_refused=(),
        checklist=Checklist(1, (MARKING, GATE, BENT, WORN, CRACKS, PARTS)),
    ),
    GearClass(
        code="sling", name="Sling", kind="sling", icon="g-sling",
        is_accessory=True, is_installed=False,
        design_factor=7.0, ratings=RATING_FIELDS, facts=("length_m", "diameter_mm"),
        constructions=(
            ("round", "Round"), ("web", "Web"), ("rope", "Rope"), ("choker", "Choker"), ("dead_eye", "Dead-eye"),
        ),
        measures=(
            WearMeasure("worn_width_ratio", "Greatest loss of width", "%", max_value=0.10, source=COMMON_PRACTICE),
        ), life=TEXTILE_LIFE, overload=ABOVE_LIMIT,
        roles=SLING_ROLES,
        materials=(*FIBRES, "wire", "steel"), materials_refused=(),
        checklist=Checklist(1, (MARKING, HOLES, STITCHING, STIFF, HEAT, KNOTTED, FITTINGS)),
    ),
    GearClass(
        code="bollard", name="Lowering bollard", kind="bollard", icon="g-bollard",
        is_accessory=False, is_installed=True,
        design_factor=5.0, ratings=ANY_STRENGTH, facts=SHEAVE_FACTS,
        constructions=(("fixed_drum", "Fixed drum"), ("portable", "Portable, slung to a stem")),
        measures=DRUM_WEAR, life=NO_LIFE_SET, overload=ABOVE_LIMIT,
        roles=("bollard", "side_bollard", "restraint_bollard"),
        materials=METALS, materials_refused=(),
        checklist=Checklist(1, (MARKING, DRUM, FRAME, STRAP, CRACKS, PARTS)),
    ),
    GearClass(
        code="cleat", name="Rope cleat", kind="cleat", icon="g-cleat",
        is_accessory=True, is_installed=False,
        design_factor=5.0, ratings=ANY_STRENGTH, facts=SHEAVE_FACTS,
        constructions=(("cam", "Cams"), ("horn", "Horns"), ("toothed", "Toothed")),
        measures=(
            WearMeasure("tooth_height_loss_ratio", "Teeth worn away", "%", max_value=0.25, source=COMMON_PRACTICE),
        ), life=NO_LIFE_SET, overload=ABOVE_LIMIT,
        roles=("cleat",),
        materials=METALS, materials_refused=(),
        checklist=Checklist(1, (MARKING, CAMS, RELEASE, CRACKS, PARTS)),
    ),
    GearClass(
        code="rope_grab", name="Rope grab", kind="rope_grab", icon="g-grab",
        is_accessory=True, is_installed=False,
        design_factor=5.0, ratings=ANY_STRENGTH, facts=SHEAVE_FACTS,
        constructions=(("smooth", "Smooth cam"), ("toothed", "Toothed cam")),
        measures=METAL_WEAR, life=NO_LIFE_SET, overload=ABOVE_LIMIT,
        roles=("rope_grab",),
        materials=METALS, materials_refused=(),
        checklist=Checklist(1, (MARKING, CAMS, RELEASE, BENT, CRACKS, PARTS)),
    ),
    GearClass(
        code="ring", name="Ring", kind="ring", icon="g-ring",
        is_accessory=True, is_installed=False,
        design_factor=5.0, ratings=ANY_STRENGTH, facts=("diameter_mm", *SHEAVE_FACTS),
        constructions=(("forged", "Forged"), ("machined", "Machined"), ("friction", "Friction ring")),
        measures=METAL_WEAR, life=NO_LIFE_SET, overload=ABOVE_LIMIT,
        roles=REDIRECT_BLOCKS,
        materials=METALS, materials_refused=(),
        checklist=Checklist(1, (MARKING, BORE, BENT, CRACKS)),
    ),
    GearClass(
        code="load_cell", name="Load cell", kind="gauge", icon="g-cell",
        is_accessory=True, is_installed=False,
        design_factor=5.0, ratings=ANY_STRENGTH, facts=(),
        constructions=(("in_line", "In line"), ("running_line", "On a running line")),
        measures=GAUGE_WEAR, life=NO_LIFE_SET, overload=ABOVE_LIMIT,
        roles=("tension_gauge",),
        materials=METALS, materials_refused=(),
        checklist=Checklist(1, (MARKING, CALIBRATED, ZERO, SHELL, PARTS)),
    ),
    GearClass(
        code="tackle_set", name="Tackle set", kind="", icon="g-set",
        is_accessory=False, is_installed=True,
        design_factor=5.0, ratings=(), facts=SET_FACTS,
        constructions=(("reeved", "Reeved and kept together"),),
        measures=(), life=NO_LIFE_SET, overload=ABOVE_LIMIT,
        roles=(),
        materials=(), materials_refused=(),
        checklist=Checklist(1, (MARKING, ALL_PARTS, REEVING, RUNS)),
    ),
)  # fmt: skip

BY_CODE: dict[str, GearClass] = {c.code: c for c in CLASSES}
CLASS_CHOICES: tuple[tuple[str, str], ...] = tuple((c.code, c.name) for c in CLASSES)
TACKLE_SET = "tackle_set"
# In a rule's list of classes: every class that is a lifting accessory, also one that comes later.
ACCESSORIES = "accessories"


def class_choices() -> tuple[tuple[str, str], ...]:
    """Code and name of every class. Columns name this function, not its answer: a new class needs no migration."""
    return CLASS_CHOICES


def is_named(gear_class: str, named: Collection[str]) -> bool:
    """Whether a rule's list takes in a class: it is empty, or names the class or the accessories it is one of."""
    return not named or gear_class in named or (ACCESSORIES in named and BY_CODE[gear_class].is_accessory)


MATERIALS: tuple[tuple[str, str], ...] = (
    ("polyester", "Polyester"),
    ("nylon", "Nylon"),
    ("polypropylene", "Polypropylene"),
    ("polyethylene", "High-modulus polyethylene"),
    ("aramid", "Aramid"),
    ("aramid_polyester", "Aramid and polyester"),
    ("natural_fibre", "Natural fibre"),
    ("wire", "Steel wire"),
    ("steel", "Steel"),
    ("stainless_steel", "Stainless steel"),
    ("aluminium", "Aluminium"),
)
GATES: tuple[tuple[str, str], ...] = (
    ("screw", "Screw"),
    ("auto", "Auto-locking"),
    ("bolt", "Bolt or pin, secured"),
    ("plain", "Plain, does not lock"),
)
LOCKING_GATES = ("screw", "auto", "bolt")
TERMINATIONS: tuple[tuple[str, str], ...] = (
    ("spliced_eye", "Spliced eye"),
    ("sewn_eye", "Sewn eye"),
    ("bowline", "Bowline"),
    ("running_bowline", "Running bowline"),
    ("figure_eight", "Figure of eight"),
    ("double_fisherman", "Double fisherman's"),
    ("timber_hitch", "Timber hitch"),
    ("friction_hitch_on_line", "Friction hitch on the line"),
)
EFFICIENCY_ORIGINS: tuple[tuple[str, str], ...] = (("maker", "Maker"), ("measured", "Measured"), ("assumed", "Assumed"))
USES: tuple[tuple[str, str, str], ...] = (
    ("pull_at_ground", "pulls_at_ground", "Pulling at ground level"),
    ("lift_or_lower", "lifts_or_lowers", "Lifting or lowering"),
    ("support_person", "supports_person", "Supporting a person"),
    ("measure", "measures_load", "Measuring"),
)
USE_CHOICES: tuple[tuple[str, str], ...] = tuple((code, words) for code, _, words in USES)
