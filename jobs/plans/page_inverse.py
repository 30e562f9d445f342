"""A question asked backwards, with its answer in words and the figures that result."""

from dataclasses import dataclass

from crewlog.web.ui_rows import Figure
from jobs.mechanics.inverse import WORKED_IN_FULL, LeastWhat, Tried
from jobs.mechanics.tackle import MAX_PARTS, MIN_PARTS
from jobs.plans.code_words import codes_words
from jobs.plans.data import PlanData
from jobs.plans.inverse import Asked, with_value
from jobs.plans.key_figures import key_figures
from jobs.plans.page import figure_strip
from jobs.plans.page_rows import Fact
from jobs.plans.quantities import plan_quantities
from jobs.wording.counted import counted, sentence
from jobs.wording.unit_formatter import UnitFormatter

QUESTIONS: dict[LeastWhat, str] = {
    "attach_height": "Lowest line",
    "anchor_distance": "Nearest anchor",
    "parts": "Fewest parts",
    "people": "Fewest people",
    "hinge_thickness": "Thickest hinge",
}
NOUNS: dict[LeastWhat, str] = {
    "attach_height": "line height",
    "anchor_distance": "anchor distance",
    "parts": "tackle",
    "people": "crew",
    "hinge_thickness": "hinge thickness",
}
GRIDS: dict[LeastWhat, str] = {
    "attach_height": "every tenth of a metre from a metre above the hinge to the highest sound wood",
    "anchor_distance": "every whole metre up to four heights of the tree",
    "parts": f"{MIN_PARTS} to {MAX_PARTS} parts",
    "people": "1 to 12 people on the tail",
    "hinge_thickness": "every whole millimetre between too thick and too thin",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedPage:
    """What the page of a question shows."""

    what: LeastWhat
    title: str
    grid: str
    is_open: bool
    is_given_up: bool
    answer: str
    against: str
    change: str
    figures: tuple[Figure, ...]
    facts: tuple[Fact, ...]


def asked_page(plan_data: PlanData, asked: Asked) -> AskedPage:
    """Lay an answer out in the units of the job's company."""
    write = UnitFormatter(plan_data.job.company.unit_system)
    found = asked.value is not None and asked.outcome is not None
    return AskedPage(
        what=asked.what,
        title=QUESTIONS[asked.what],
        grid=GRIDS[asked.what],
        is_open=asked.is_open,
        is_given_up=asked.given_up_at is not None,
        answer=sentence(value_words(asked.what, asked.value, write)) if asked.value is not None else "",
        against="" if found or asked.is_open else against_words(asked, write),
        change=f"{asked.field}={asked.value!r}" if found else "",
        figures=figure_strip(key_figures(plan_data_with(plan_data, asked), asked.outcome), (), write)
        if asked.outcome
        else (),
        facts=answer_facts(plan_data_with(plan_data, asked), asked, write),
    )


def plan_data_with(plan_data: PlanData, asked: Asked) -> PlanData:
    return with_value(plan_data, asked.field, asked.value) if asked.value is not None else plan_data


def against_words(asked: Asked, write: UnitFormatter) -> str:
    if asked.given_up_at is not None:
        reached = value_words(asked.what, asked.given_up_at, write)
        return (
            f"{sentence(counted(WORKED_IN_FULL, 'value'))} pass at the worst case within the tolerances and fail "
            f"once the spread of what was measured is counted, because: {codes_words(', '.join(asked.against))}. "
            f"The search stopped at {reached}; from there on nothing was worked out. Measure better, or try a value "
            "in the plan itself."
        )
    if not asked.tried or asked.span is None:
        return "There is nothing to try between the hinge and the highest sound wood."
    least, most = (value_words(asked.what, value, write) for value in asked.span)
    return f"No {NOUNS[asked.what]} between {least} and {most} passes: {codes_words(', '.join(asked.against))}."


def value_words(what: LeastWhat, value: float, write: UnitFormatter) -> str:
    match what:
        case "people":
            return counted(int(value), "person", "people")
        case "parts":
            return counted(int(value), "part")
        case "hinge_thickness":
            return write.diameter(value)
        case _:
            return write.length(value)


def answer_facts(plan_data: PlanData, asked: Asked, write: UnitFormatter) -> tuple[Fact, ...]:
    """Tension, window, crew, resets, and the check that governs."""
    outcome = asked.outcome
    if outcome is None or outcome.result is None or outcome.envelope is None:
        return ()
    result = outcome.result
    quantities = plan_quantities(plan_data, result, outcome.envelope)
    facts = [
        Fact("Tension in the line", write.text(quantities.design_stem)),
        Fact("Pre-tension", write.text(quantities.band)),
        Fact(
            "Crew's task",
            f"{write.text(quantities.crew_hauling)} at the hand, "
            f"{counted(result.people_needed, 'person', 'people') if result.people_needed else 'over twelve people'}",
        ),
        Fact("Resets", str(result.travel.stages[0].resets) if result.travel else "open: assign the main line to know"),
    ]
    if asked.before is not None:
        facts.append(Fact("Governs", neighbour_words(asked.before, asked.what, write)))
    else:
        facts.append(Fact("Governs", "nothing: the first value tried already passes"))
    if asked.after is not None:
        facts.append(Fact("One step on", neighbour_words(asked.after, asked.what, write)))
    return tuple(facts)


def neighbour_words(tried: Tried, what: LeastWhat, write: UnitFormatter) -> str:
    value = value_words(what, tried.value, write)
    return f"{value}: {codes_words(', '.join(tried.codes))}" if tried.codes else f"{value}: passes too"
