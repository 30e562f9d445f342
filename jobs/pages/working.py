"""Every figure of a plan with its formula, the values put in and its source; and every default it rests on."""

from dataclasses import dataclass

from jobs.bundle import Bundle
from jobs.calculation import Outcome
from jobs.mechanics.defaults import DEFAULTS
from jobs.mechanics.sources import SOURCES
from jobs.pages.explained import Explained, explained
from jobs.paper.working_groups import working_groups
from jobs.reader import Reader
from jobs.sheets.content import WorkingGroup
from jobs.species import Species, find_species


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingPage:
    """All that a figure of the plan can be explained by."""

    groups: tuple[WorkingGroup, ...]
    explained: Explained | None
    default_count: int
    source_count: int
    species: Species | None


def working_page(bundle: Bundle, outcome: Outcome) -> WorkingPage:
    """The working of a plan; no groups where it could not be worked out."""
    return WorkingPage(
        groups=working_groups(outcome.result) if outcome.result is not None else (),
        explained=explained(bundle, outcome, Reader(bundle.job.company.unit_system)),
        default_count=len(DEFAULTS),
        source_count=len(SOURCES),
        species=find_species(bundle.stem.species) if bundle.stem.species else None,
    )
