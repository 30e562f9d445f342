"""Green wood of tree species, read from `fixtures/species.json`; standard library only.

A figure that is None is not known: what needs it is refused, and nothing is assumed in its place.
"""

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

SOURCE_FILE = Path(__file__).resolve().parents[2] / "fixtures" / "species.json"
FIGURES = ("green_density_kg_m3", "rupture_modulus_mean_pa", "elastic_modulus_mean_pa", "shear_strength_mean_pa")
STRENGTHS = FIGURES[1:]


@dataclass(frozen=True, slots=True)
class Basis:
    """Where a figure stands and how it came here: read in a copy, computed from figures read, or from memory."""

    source: str
    how_obtained: str

    @property
    def is_from_memory(self) -> bool:
        return self.how_obtained.startswith("from memory")


@dataclass(frozen=True, slots=True)
class OtherFigure:
    """What another source gives for the same species; shown beside, never used."""

    figure: str
    value: float
    basis: Basis


@dataclass(frozen=True, slots=True)
class Species:
    """Mean values of small clear green wood: density [kg/m³], moduli and shear strength parallel to grain [Pa].

    `split_prone` is None where it is not known and must be answered on the form. `basis` maps the name of each known
    figure, and "split_prone", to its source.
    """

    code: str
    common_name: str
    botanical_name: str
    other_names: tuple[str, ...]
    green_density_kg_m3: float | None
    rupture_modulus_mean_pa: float | None
    elastic_modulus_mean_pa: float | None
    shear_strength_mean_pa: float | None
    split_prone: bool | None
    basis: Mapping[str, Basis]
    other_figures: tuple[OtherFigure, ...]

    def __post_init__(self) -> None:
        for name in FIGURES:
            value = getattr(self, name)
            if value is not None and not (math.isfinite(value) and value > 0):
                raise ValueError(f"{self.code}: {name} is {value}")
            if (value is None) != (name not in self.basis):
                raise ValueError(f"{self.code}: {name} and its source do not go together")

    @property
    def lacking(self) -> tuple[str, ...]:
        """Names of the figures that are not known."""
        return tuple(name for name in FIGURES if getattr(self, name) is None)

    def range_of(self, figure: str) -> tuple[float, float] | None:
        """Lowest and highest that any of the sources gives for a figure; None where only one source does, or none."""
        own = getattr(self, figure)
        given = [other.value for other in self.other_figures if other.figure == figure]
        if own is not None:
            given.append(own)
        return (min(given), max(given)) if len(given) > 1 else None


@cache
def all_species() -> tuple[Species, ...]:
    """Every species on the list, by kind of tree and then by name ("European ash", "white ash", "beech" ...)."""
    listed = json.loads(SOURCE_FILE.read_text(encoding="utf-8"))["species"]
    return tuple(_species(entry) for entry in listed)


@cache
def _by_code() -> Mapping[str, Species]:
    return MappingProxyType({each.code: each for each in all_species()})


def find_species(code: str) -> Species | None:
    """The species of this code, or None."""
    return _by_code().get(code)


def species(code: str) -> Species:
    """The species of this code. Raises LookupError for one that is not on the list: there is no average tree."""
    found = find_species(code)
    if found is None:
        raise LookupError(f"there is no species {code!r}")
    return found


def _species(entry: Mapping[str, Any]) -> Species:
    known = {name: entry[name] for name in (*FIGURES, "split_prone") if entry[name] is not None}
    return Species(
        code=entry["code"],
        common_name=entry["common_name"],
        botanical_name=entry["botanical_name"],
        other_names=tuple(entry["other_names"]),
        **{name: float(known[name]["value"]) if name in known else None for name in FIGURES},
        split_prone=known["split_prone"]["value"] if "split_prone" in known else None,
        basis=MappingProxyType({name: _basis(figure) for name, figure in known.items()}),
        other_figures=tuple(
            OtherFigure(other["figure"], float(other["value"]), _basis(other)) for other in entry["other_figures"]
        ),
    )


def _basis(figure: Mapping[str, Any]) -> Basis:
    return Basis(source=figure["source"], how_obtained=figure["how_obtained"])
