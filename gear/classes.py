"""The one declaration of each class of gear: ratings, life, measures of wear, positions and materials.

Makers' instructions come first; what stands here is used where the maker is silent. Standard library only.
"""

from dataclasses import dataclass

from gear.checklists import CHECKLISTS, Checklist
from gear.wear import WearMeasure

RATING_FIELDS = (
    "working_load_limit_n",
    "breaking_strength_n",
    "vertical_rating_n",
    "choker_rating_n",
    "basket_rating_n",
)
ANY_STRENGTH = ("working_load_limit_n", "breaking_strength_n")
COMMON_PRACTICE = "common practice"
FROM_MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class LifeRule:
    """How long a class may serve where the maker says nothing; None where no such end is set."""

    years_from_manufacture: int | None
    years_from_first_use: int | None
    source: str


NO_LIFE_SET = LifeRule(None, None, "metal gear: condition decides unless the maker sets a life (common practice)")
TEXTILE_LIFE = LifeRule(
    10, None, "up to 10 years from manufacture: common maker's figure for nylon and polyester (from memory)"
)


@dataclass(frozen=True, slots=True)
class OverloadRule:
    """The share of its limit above which a peak counts as an overload: out of use until it is examined."""

    share_ratio: float
    source: str


ABOVE_LIMIT = OverloadRule(
    1.0, "loaded above the working load limit: out of use and examined before the next use (common practice)"
)


@dataclass(frozen=True, slots=True)
class GearClass:
    """One class of gear.

    `kind` is the kind of item in the mechanics, empty for an assembly whose parts stand in the positions.
    `materials` are those it is made of where one is named; `materials_refused` those of them that it may not be.
    `ratings` lists the figures of which one at least is needed before it carries load. `design_factor` is the
    least breaking strength over working load that may be used; a company may be stricter, never looser.
    """

    code: str
    name: str
    kind: str
    design_factor: float
    ratings: tuple[str, ...] = ANY_STRENGTH
    carries_load: bool = True
    constructions: tuple[tuple[str, str], ...] = ()
    measures: tuple[WearMeasure, ...] = ()
    life: LifeRule = NO_LIFE_SET
    roles: tuple[str, ...] = ()
    materials: tuple[str, ...] = ()
    materials_refused: tuple[str, ...] = ()
    overload: OverloadRule = ABOVE_LIMIT

    @property
    def checklist(self) -> Checklist:
        """The checklist in force."""
        return CHECKLISTS[self.code]

    @property
    def materials_allowed(self) -> tuple[str, ...]:
        """Codes of the materials it may be made of."""
        return tuple(code for code in self.materials if code not in self.materials_refused)

    @property
    def is_rope(self) -> bool:
        """Whether it has a length and ends: rope, tackle rope, hitch cord and eye-to-eye sling."""
        return self.kind in ("rope", "tackle_rope", "hitch_cord")


ROPE_WEAR = (
    WearMeasure("diameter_mm", "Smallest diameter found", "mm", of="diameter_mm", least_ratio=0.9,
                source="tenth of the diameter lost (common practice)"),
    WearMeasure("damaged_sheath_m", "Longest stretch of worn sheath", "m", most=None,
                source="recorded; the inspector judges"),
)  # fmt: skip
CORD_WEAR = ROPE_WEAR[:1]
METAL_WEAR = (
    WearMeasure("wear_ratio", "Deepest wear, part of the original section", "%", most=0.10,
                source="EM 385-1-1 15.E.07, wear over 10 % (hooks; used for metal gear by common practice)"),
)  # fmt: skip
CONNECTOR_WEAR = (
    *METAL_WEAR,
    WearMeasure("opening_increase_ratio", "Growth of the gate or throat opening", "%", most=0.05,
                source="EM 385-1-1 15.E.07, over 5 %"),
)  # fmt: skip
SHEAVE_WEAR = (
    *METAL_WEAR,
    WearMeasure("groove_depth_loss_mm", "Rope print worn into the sheave", "mm", most=1.0, source=COMMON_PRACTICE),
    WearMeasure("side_play_mm", "Side play of the sheave", "mm", most=2.0, source=COMMON_PRACTICE),
)
DRUM_WEAR = (
    WearMeasure("wall_loss_ratio", "Drum wall worn away", "%", most=0.10,
                source="as hooks, EM 385-1-1 15.E.07 (common practice)"),
    WearMeasure("groove_depth_mm", "Deepest groove in the drum", "mm", most=2.0, source=COMMON_PRACTICE),
)  # fmt: skip
GAUGE_WEAR = (
    WearMeasure("zero_error_ratio", "Reading with no load, part of full scale", "%", most=0.01, source=COMMON_PRACTICE),
    WearMeasure("span_error_ratio", "Error against the reference load", "%", most=0.02, source=COMMON_PRACTICE),
)

FIBRES = ("polyester", "nylon", "polypropylene", "polyethylene", "aramid", "aramid_polyester", "natural_fibre")
METALS = ("steel", "stainless_steel", "aluminium")
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
        "rope", "Rope", "rope", 5.0, materials=FIBRES,
        constructions=(
            ("double_braid", "Double braid"), ("single_braid", "Single braid"), ("three_strand", "Three-strand"),
            ("kernmantle", "Core and sheath"),
        ),
        measures=ROPE_WEAR, life=TEXTILE_LIFE, roles=("main_line", "side_line", "restraint_line"),
        materials_refused=("polypropylene",),
    ),
    GearClass(
        "tackle_rope", "Tackle rope", "tackle_rope", 5.0, materials=FIBRES,
        constructions=(
            ("double_braid", "Double braid"), ("single_braid", "Single braid"), ("three_strand", "Three-strand"),
            ("kernmantle", "Core and sheath"),
        ),
        measures=ROPE_WEAR, life=TEXTILE_LIFE, roles=("tackle_rope",),
    ),
    GearClass(
        "hitch_cord", "Hitch cord", "hitch_cord", 5.0, materials=FIBRES,
        constructions=(("loop", "Loop"), ("plain", "Plain ends")),
        measures=CORD_WEAR, life=TEXTILE_LIFE, roles=("hitch_cord",), materials_refused=MELTS_IN_A_HITCH,
    ),
    GearClass(
        "eye_to_eye_sling", "Eye-to-eye sling", "hitch_cord", 5.0, materials=FIBRES,
        constructions=(("sewn", "Sewn eyes"), ("spliced", "Spliced eyes")),
        measures=CORD_WEAR, life=TEXTILE_LIFE, roles=("hitch_cord",), materials_refused=MELTS_IN_A_HITCH,
    ),
    GearClass(
        "block", "Block", "block", 5.0, materials=METALS,
        constructions=(
            ("single", "Single"), ("double_side_by_side", "Double, side by side"),
            ("double_in_line", "Double, in line"), ("triple", "Triple"),
        ),
        measures=SHEAVE_WEAR, roles=("moving_block", "fixed_block", *REDIRECT_BLOCKS),
    ),
    GearClass(
        "pulley", "Pulley", "block", 5.0, materials=METALS,
        constructions=(("plain", "Plain"), ("hitch_tending", "Hitch-tending")),
        measures=SHEAVE_WEAR, roles=("moving_block", "fixed_block", *REDIRECT_BLOCKS),
    ),
    GearClass(
        "connector", "Connector", "connector", 5.0, materials=METALS,
        constructions=(
            ("carabiner", "Carabiner"), ("shackle", "Shackle"), ("link", "Screw link"), ("plate", "Rigging plate"),
        ),
        measures=CONNECTOR_WEAR, roles=CONNECTOR_ROLES,
    ),
    GearClass(
        "sling", "Sling", "sling", 7.0, ratings=RATING_FIELDS, materials=(*FIBRES, "wire", "steel"),
        constructions=(
            ("round", "Round"), ("web", "Web"), ("rope", "Rope"), ("choker", "Choker"), ("dead_eye", "Dead-eye"),
        ),
        measures=(
            WearMeasure("worn_width_ratio", "Greatest loss of width", "%", most=0.10, source=COMMON_PRACTICE),
        ),
        life=TEXTILE_LIFE, roles=SLING_ROLES,
    ),
    GearClass(
        "bollard", "Lowering bollard", "bollard", 5.0, ratings=("working_load_limit_n", "breaking_strength_n"),
        materials=METALS,
        constructions=(("fixed_drum", "Fixed drum"), ("portable", "Portable, slung to a stem")),
        measures=DRUM_WEAR, roles=("bollard", "side_bollard", "restraint_bollard"),
    ),
    GearClass(
        "cleat", "Rope cleat", "cleat", 5.0, materials=METALS,
        constructions=(("cam", "Cams"), ("horn", "Horns"), ("toothed", "Toothed")),
        measures=(
            WearMeasure("tooth_height_loss_ratio", "Teeth worn away", "%", most=0.25, source=COMMON_PRACTICE),
        ),
        roles=("cleat",),
    ),
    GearClass(
        "rope_grab", "Rope grab", "rope_grab", 5.0, materials=METALS,
        constructions=(("smooth", "Smooth cam"), ("toothed", "Toothed cam")),
        measures=METAL_WEAR, roles=("rope_grab",),
    ),
    GearClass(
        "ring", "Ring", "ring", 5.0, materials=METALS,
        constructions=(("forged", "Forged"), ("machined", "Machined"), ("friction", "Friction ring")),
        measures=METAL_WEAR, roles=REDIRECT_BLOCKS,
    ),
    GearClass(
        "load_cell", "Load cell", "gauge", 5.0, materials=METALS,
        constructions=(("in_line", "In line"), ("running_line", "On a running line")),
        measures=GAUGE_WEAR, roles=("tension_gauge",),
    ),
    GearClass(
        "tackle_set", "Tackle set", "", 5.0, ratings=(), carries_load=False,
        constructions=(("reeved", "Reeved and kept together"),),
    ),
)  # fmt: skip

BY_CODE: dict[str, GearClass] = {c.code: c for c in CLASSES}
CLASS_CHOICES: tuple[tuple[str, str], ...] = tuple((c.code, c.name) for c in CLASSES)
TACKLE_SET = "tackle_set"

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
