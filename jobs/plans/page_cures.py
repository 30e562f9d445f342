"""Single changes that cure a plan, in words, each with what it would give."""

from dataclasses import dataclass

from crewlog.web.ui_rows import Cure
from jobs.plans.calculation import Outcome
from jobs.plans.cures import PlanCure, Search, plan_cures
from jobs.plans.data import PlanData
from jobs.wording.counted import counted, sentence
from jobs.wording.unit_formatter import UnitFormatter

FIELD_WORDS = {
    "haulers": "people on the tail",
    "attach_height_m": "line height",
    "hinge_thickness_m": "hinge",
    "parts": "parts of the tackle",
    "anchor_distance_m": "distance of the anchor",
}


@dataclass(frozen=True, slots=True)
class CuresPage:
    """Changes that would do on their own, and what to say where none was found."""

    cures: tuple[Cure, ...]
    none_words: str


def cures_page(plan_data: PlanData, outcome: Outcome) -> CuresPage:
    """What the search for single changes found; trying one sets the figure on the working copy."""
    write = UnitFormatter(plan_data.job.company.unit_system)
    search = plan_cures(plan_data, outcome)
    return CuresPage(cure_rows(search, write), none_words(search))


def none_words(search: Search) -> str:
    if search.given_up:
        fields = ", ".join(FIELD_WORDS[field] for field in search.given_up)
        return (
            f"No single change was found. The search of {fields} stopped before its end: "
            "there may be one among the values that were not worked out."
        )
    return (
        "No single change of line height, people, hinge, parts or anchor cures all of it. "
        "It takes two, or another way down."
    )


def cure_rows(search: Search, write: UnitFormatter) -> tuple[Cure, ...]:
    return tuple(
        Cure(
            what=change_words(cure, write),
            gives=gives_words(cure, write),
            verb="Try",
            name="change",
            value=f"{cure.field}={cure.value!r}",
        )
        for cure in search.cures
    )


def change_words(cure: PlanCure, write: UnitFormatter) -> str:
    match cure.field:
        case "haulers":
            return f"{sentence(counted(int(cure.value), 'person', 'people'))} on the tail"
        case "attach_height_m":
            return f"Raise the line to {write.length(cure.value)}"
        case "hinge_thickness_m":
            return f"A hinge of {write.diameter(cure.value)}"
        case "parts":
            return f"A tackle of {int(cure.value)} parts"
        case _:
            return f"Move the anchor out to {write.length(cure.value)}"


def gives_words(cure: PlanCure, write: UnitFormatter) -> str:
    result = cure.outcome.result
    if result is None:
        return ""
    cautions = len(cure.outcome.cautions)
    said = f"{write.force(result.stem_tension_n)} in the line, {write.hand(result.crew_hauling_force_n)} at the hand."
    return f"{said} {sentence(counted(cautions, 'caution'))}." if cautions else said
