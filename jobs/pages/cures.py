"""Single changes that cure a plan, in words, each with what it would give."""

from crewlog.parts import Cure
from jobs.bundle import Bundle
from jobs.calculation import Outcome
from jobs.cures import PlanCure, plan_cures
from jobs.pages.rows import counted, sentence
from jobs.reader import Reader


def cure_rows(bundle: Bundle, outcome: Outcome) -> tuple[Cure, ...]:
    """A row for each change that would do on its own; trying one sets the figure on the working copy."""
    reader = Reader(bundle.job.company.unit_system)
    return tuple(
        Cure(
            what=change_words(cure, reader),
            gives=gives_words(cure, reader),
            verb="Try",
            name="change",
            value=f"{cure.field}={cure.value!r}",
        )
        for cure in plan_cures(bundle, outcome)
    )


def change_words(cure: PlanCure, reader: Reader) -> str:
    match cure.field:
        case "haulers":
            return f"{sentence(counted(int(cure.value), 'person', 'people'))} on the tail"
        case "attach_height_m":
            return f"Raise the line to {reader.length(cure.value)}"
        case "hinge_thickness_m":
            return f"A hinge of {reader.diameter(cure.value)}"
        case "parts":
            return f"A tackle of {int(cure.value)} parts"
        case _:
            return f"Move the anchor out to {reader.length(cure.value)}"


def gives_words(cure: PlanCure, reader: Reader) -> str:
    result = cure.outcome.result
    if result is None:
        return ""
    cautions = len(cure.outcome.cautions)
    said = f"{reader.force(result.stem_tension_n)} in the line, {reader.hand(result.hauling_force_n)} at the hand."
    return f"{said} {sentence(counted(cautions, 'caution'))}." if cautions else said
