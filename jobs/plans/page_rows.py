"""Small rows that several pages share."""

from dataclasses import dataclass

from jobs.models import Stem
from jobs.plans.data import PlanData
from jobs.stems.species import find_species
from jobs.wording.finding import Finding


@dataclass(frozen=True, slots=True)
class Fact:
    """A label with its value."""

    label: str
    value: str


def species_word(stem: Stem) -> str:
    """ "alder", or an empty string while the species is open."""
    species = find_species(stem.species) if stem.species else None
    return species.common_name if species is not None else ""


def stem_title(stem: Stem) -> str:
    """ "Stem 7, alder"."""
    word = species_word(stem)
    return f"{stem}, {word}" if word else str(stem)


def anchor_is_in_fall_zone(plan_data: PlanData) -> bool:
    """Whether the stem, falling towards the anchor, would reach it."""
    reach = max(
        [plan_data.stem.tree_height_m or 0.0, *(section.height_m for section in plan_data.sections)], default=0.0
    )
    distance = plan_data.plan.anchor_distance_m
    return distance is not None and 0 < distance < reach


def about_gear(finding: Finding) -> bool:
    """Whether the load path mends it rather than the plan."""
    return finding.area in ("gear", "crew", "sheet", "site")
