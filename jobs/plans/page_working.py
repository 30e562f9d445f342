"""Every figure of a plan with its formula, the values put in and its source; and every default it rests on."""

from dataclasses import dataclass

from crewlog.quantities.kinds import Kind, kind_named
from jobs.mechanics.defaults import DEFAULTS
from jobs.mechanics.sources import SOURCES
from jobs.plans.calculation import Outcome
from jobs.plans.data import PlanData
from jobs.plans.page_explained import Explained, explained
from jobs.plans.presentation import WorkingGroup
from jobs.plans.working_rows import working_groups
from jobs.stems.species import Species, find_species
from jobs.wording.figure import STRESS
from jobs.wording.unit_formatter import UnitFormatter

# Title of each figure of a wood, and the kind of quantity it is shown as.
WOOD_FIGURES: dict[str, tuple[str, Kind]] = {
    "green_density_kg_m3": ("Green density", kind_named("density")),
    "rupture_modulus_mean_pa": ("Modulus of rupture", STRESS),
    "elastic_modulus_mean_pa": ("Modulus of elasticity", kind_named("elastic_modulus")),
    "shear_strength_mean_pa": ("Shear strength along the grain", STRESS),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodLine:
    """One figure of the wood as shown: the value used, where it comes from, and how far the sources lie apart."""

    title: str
    value: str
    source: str
    how_obtained: str
    sources_range: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingPage:
    """All that a figure of the plan can be explained by."""

    groups: tuple[WorkingGroup, ...]
    explained: Explained | None
    default_count: int
    source_count: int
    species: Species | None
    wood: tuple[WoodLine, ...]


def working_page(plan_data: PlanData, outcome: Outcome) -> WorkingPage:
    """The working of a plan; no groups where it could not be worked out."""
    write = UnitFormatter(plan_data.job.company.unit_system)
    wood = find_species(plan_data.stem.species) if plan_data.stem.species else None
    return WorkingPage(
        groups=working_groups(outcome.result) if outcome.result is not None else (),
        explained=explained(plan_data, outcome, write),
        default_count=len(DEFAULTS),
        source_count=len(SOURCES),
        species=wood,
        wood=wood_lines(wood, write) if wood is not None else (),
    )


def wood_lines(wood: Species, write: UnitFormatter) -> tuple[WoodLine, ...]:
    """The figures of a species: "not known" where no source gives one."""
    return tuple(_wood_line(wood, name, write) for name in WOOD_FIGURES)


def _wood_line(wood: Species, name: str, write: UnitFormatter) -> WoodLine:
    title, kind = WOOD_FIGURES[name]
    value, basis, span = getattr(wood, name), wood.basis.get(name), wood.range_of(name)
    apart = ""
    if span is not None and span[0] < span[1]:
        low, high = (write.quantity(end, kind) for end in span)
        apart = f"Sources give {low} to {high}."
    return WoodLine(
        title=title,
        value="not known" if value is None else write.quantity(value, kind),
        source=basis.source if basis is not None else "",
        how_obtained=basis.how_obtained if basis is not None else "",
        sources_range=apart,
    )
