"""Small rows that several pages share."""

from dataclasses import dataclass

from jobs.bundle import Bundle
from jobs.finding import Finding
from jobs.models import Stem
from jobs.species import find_species

NBSP = "\u00a0"


@dataclass(frozen=True, slots=True)
class Fact:
    """A label with its value."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class NumberUnit:
    """A figure apart from its unit."""

    number: str
    unit: str


def number_unit(text: str) -> NumberUnit:
    """ "2.90 kN" as printed, split at the last no-break space."""
    number, _, unit = text.rpartition(NBSP)
    return NumberUnit(number, unit) if number else NumberUnit(text, "")


def species_word(stem: Stem) -> str:
    """ "alder", or an empty string while the species is open."""
    species = find_species(stem.species) if stem.species else None
    return species.common_name if species is not None else ""


def stem_title(stem: Stem) -> str:
    """ "Stem 7, alder"."""
    word = species_word(stem)
    return f"{stem}, {word}" if word else str(stem)


def anchor_is_in_fall_zone(bundle: Bundle) -> bool:
    """Whether the stem, falling towards the anchor, would reach it."""
    reach = max([bundle.stem.tree_height_m or 0.0, *(section.height_m for section in bundle.sections)], default=0.0)
    distance = bundle.plan.anchor_distance_m
    return distance is not None and 0 < distance < reach


NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def number_word(count: int) -> str:
    """A count in words up to ten, in figures above."""
    return NUMBERS[count] if count < len(NUMBERS) else str(count)


def counted(count: int, one: str, many: str = "") -> str:
    """ "One person", "three people"; words up to ten, figures above."""
    return f"{number_word(count)} {one if count == 1 else many or one + 's'}"


def sentence(text: str) -> str:
    """First letter a capital, the rest untouched."""
    return text[:1].upper() + text[1:]


def about_gear(finding: Finding) -> bool:
    """Whether the load path mends it rather than the plan."""
    return finding.area in ("gear", "crew", "sheet", "site")
