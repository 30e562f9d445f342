"""The large figures of a plan: those one plans by and those one works by, from one set of quantities."""

from collections.abc import Iterable

from jobs.mechanics.plan.result import PlanResult
from jobs.models.plan import Gauge
from jobs.plans.calculation import Outcome
from jobs.plans.data import PlanData
from jobs.plans.presentation import KeyFigure
from jobs.plans.quantities import PlanQuantities, plan_quantities, wind_stop, worked_gust
from jobs.wording.counted import counted
from jobs.wording.felling import felling
from jobs.wording.figure import LENGTH, Count, Figure, Words, words

GAUGE_WORDS = {
    Gauge.NONE: "no gauge: one person, feet planted",
    Gauge.IN_LINE: "read on the load cell in the line",
    Gauge.HAULING_PART: "read on the hauling part",
}


def key_figures(plan_data: PlanData, outcome: Outcome) -> tuple[KeyFigure, ...]:
    """Every large figure; none for a plan that could not be worked out."""
    result, envelope = outcome.result, outcome.envelope
    if result is None or envelope is None:
        return ()
    quantities = plan_quantities(plan_data, result, envelope)
    return (*planned_by(plan_data, result, quantities), *worked_by(plan_data, result, quantities))


def planned_by(plan_data: PlanData, result: PlanResult, quantities: PlanQuantities) -> Iterable[KeyFigure]:
    """The numbers one came for; the span of the pre-tension is the one that every corner allows."""
    people = plan_data.plan.haulers or 1
    keep = f"{counted(people, 'person', 'people')} {'keeps' if people == 1 else 'keep'} up"
    yield KeyFigure(
        key="needed",
        label="Needed in the line",
        value=quantities.design_stem,
        note="at the stem, margins in it",
        refused_by=frozenset({"stem-bends"}),
    )
    yield KeyFigure(
        key="hand",
        label="At the hand",
        value=quantities.crew_hauling,
        note=words("{} {}", keep, quantities.kept_up),
        refused_by=frozenset({"too-few-people"}),
    )
    yield KeyFigure(
        key="aim",
        label="Pre-tension",
        value=quantities.aim or "none",
        note=words("from {} to {}", quantities.band.minimum, quantities.band.maximum)
        if quantities.aim
        else "no pre-tension is enough and within the wood",
        refused_by=frozenset({"window-empty", "gauge-band-empty", "pre-tension-needs-gauge"}),
    )
    yield KeyFigure(
        key="proof",
        label="Proof pull",
        value=quantities.proof,
        note=words("one minute, at most {}", quantities.proof_limit),
        refused_by=frozenset({"proof-pull-too-high"}),
    )
    yield resets_figure(result)


def resets_figure(result: PlanResult) -> KeyFigure:
    if result.travel is None:
        return KeyFigure(key="resets", label="Resets", value="open", note="assign the main line to know")
    haul = Figure("haul in all", result.travel.total_haul_m, LENGTH)
    resets = Count(result.travel.stages[0].resets)
    return KeyFigure(key="resets", label="Resets", value=resets, note=words("haul {} in all", haul))


def worked_by(plan_data: PlanData, result: PlanResult, quantities: PlanQuantities) -> Iterable[KeyFigure]:
    """Stop figure, people on the tail, pre-tension band, when the full pull may come on, and the wind stop."""
    plan, stop = plan_data.plan, quantities.band_read.maximum
    where = "at the stem" if plan.tension_gauge == Gauge.NONE else "on the gauge"
    yield KeyFigure(
        key="stop",
        label="Maximum before the cut",
        value=stop,
        note=f"{where}; above it the stem can split",
        stop=True,
    )
    yield KeyFigure(
        key="tail",
        label="On the tail",
        value=Count(plan.haulers or 0, "people"),
        note=words("{} between them; {} needed", quantities.crew_hauling, result.people_needed or "over 12"),
    )
    yield KeyFigure(
        key="band",
        label="Pre-tension",
        value=quantities.band_read,
        note=GAUGE_WORDS[Gauge(plan.tension_gauge)],
    )
    yield KeyFigure(key="full", label="Full pull", value=quantities.design_tackle, note=full_pull_words(result))
    yield KeyFigure(key="wind", label="Wind stop", value=wind_stop(plan_data), note=gust_words(worked_gust(plan)))


def full_pull_words(result: PlanResult) -> str:
    if result.full_pull_only_after_hinge:
        return felling("only after the back cut is finished and the cutter is clear")
    return "after the go “cutter clear, full pull”"


def gust_words(gust: Figure) -> Words:
    return words("worked for gusts of {}", gust)
