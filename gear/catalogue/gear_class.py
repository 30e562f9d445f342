"""What a class of gear declares. Standard library only.

Makers' instructions come first; what a class declares is used where the maker is silent.
"""

from dataclasses import dataclass

from gear.catalogue.checklists import Checklist
from gear.catalogue.wear import WearMeasure

ANY_STRENGTH = ("working_load_limit_n", "breaking_strength_n")
RATING_FIELDS = (*ANY_STRENGTH, "vertical_rating_n", "choker_rating_n", "basket_rating_n")


@dataclass(frozen=True, slots=True)
class LifeRule:
    """How long a class may serve where the maker says nothing; None where no such end is set."""

    years_from_manufacture: int | None
    years_from_first_use: int | None
    source: str


@dataclass(frozen=True, slots=True)
class OverloadRule:
    """The share of its limit above which a peak counts as an overload: out of use until it is examined."""

    share_ratio: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GearClass:
    """One class of gear. Every field has to be said: a class that leaves one out does not start the program.

    code: kept with items and in records for ever, at most 20 characters.
    kind: the kind of item in the mechanics, empty for an assembly whose parts stand in the positions.
    icon: its drawing in the sprite.
    is_accessory: whether it is a lifting accessory, which hangs between the load and the machine or the stem.
    is_installed: whether it is put together or mounted in a place, so that a report says if that was done correctly.
    design_factor: the least breaking strength over working load that may be used; a company may be stricter.
    ratings: columns of which one at least is needed before it carries load; none where it carries none.
    facts: columns it has beside its ratings and those that every item has.
    constructions: (code, words) of the ways it is made.
    measures: what an examiner measures, with the limits.
    life, overload: what holds where the maker and the company say nothing.
    roles: positions of the load path it may stand in, by their names in `jobs.mechanics.roles`.
    materials: those it is made of where one is named; materials_refused: those of them that it may not be.
    checklist: the points of an examination, in the version in force.
    """

    code: str
    name: str
    kind: str
    icon: str
    is_accessory: bool
    is_installed: bool
    design_factor: float
    ratings: tuple[str, ...]
    facts: tuple[str, ...]
    constructions: tuple[tuple[str, str], ...]
    measures: tuple[WearMeasure, ...]
    life: LifeRule
    overload: OverloadRule
    roles: tuple[str, ...]
    materials: tuple[str, ...]
    materials_refused: tuple[str, ...]
    checklist: Checklist

    @property
    def carries_load(self) -> bool:
        """Whether it needs a rating."""
        return bool(self.ratings)

    @property
    def checklist_label(self) -> str:
        """How an inspection names the checklist: "rope 1"."""
        return f"{self.code} {self.checklist.version}"

    @property
    def materials_allowed(self) -> tuple[str, ...]:
        """Codes of the materials it may be made of."""
        return tuple(code for code in self.materials if code not in self.materials_refused)

    @property
    def is_rope(self) -> bool:
        """Whether it has a length and ends: rope, tackle rope, hitch cord and eye-to-eye sling."""
        return self.kind in ("rope", "tackle_rope", "hitch_cord")
