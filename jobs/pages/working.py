"""Every figure of a plan with its formula, the values put in and its source; and every default it rests on."""

from dataclasses import dataclass

from jobs.bundle import Bundle
from jobs.calculation import Outcome
from jobs.mechanics.code import Code
from jobs.mechanics.codes import CODES
from jobs.mechanics.defaults import DEFAULTS, Default
from jobs.mechanics.sources import SOURCES, Source
from jobs.paper.working_groups import working_groups
from jobs.sheets.content import WorkingGroup
from jobs.species import Species, find_species


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingPage:
    """All that a figure of the plan can be explained by."""

    groups: tuple[WorkingGroup, ...]
    defaults: tuple[Default, ...]
    sources: tuple[Source, ...]
    species: Species | None
    panel_codes: tuple[Code, ...]


def working_page(bundle: Bundle, outcome: Outcome) -> WorkingPage:
    """The working of a plan; no groups where it could not be worked out."""
    return WorkingPage(
        groups=working_groups(outcome.result) if outcome.result is not None else (),
        defaults=tuple(DEFAULTS.values()),
        sources=tuple(SOURCES.values()),
        species=find_species(bundle.stem.species) if bundle.stem.species else None,
        panel_codes=tuple(code for code in CODES if code.is_panel),
    )
