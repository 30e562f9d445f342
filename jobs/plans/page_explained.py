"""Why a plan shows two figures where one might be looked for, what its tackle rests on, and its pull in steps."""

from dataclasses import dataclass
from math import prod

from crewlog.dates import short_day
from crewlog.quantities.units import number_text
from jobs.efficiency.pages import fall_words, interval_words, kept_words
from jobs.mechanics.defaults import CREW_ADVERSE_FACTOR, DEFAULTS
from jobs.mechanics.measured import efficiency_fall
from jobs.mechanics.plan.result import PlanResult, PlanWorking
from jobs.mechanics.tackle import rule_of_thumb_advantage
from jobs.models import EfficiencyMeasurement
from jobs.models.plan import EfficiencyOrigin, Gauge
from jobs.plans.calculation import Outcome
from jobs.plans.data import PlanData
from jobs.plans.hauls import haul_tables, times_words
from jobs.plans.page_rows import Fact
from jobs.plans.presentation import HaulTable
from jobs.plans.quantities import PlanQuantities, plan_quantities
from jobs.wording.figure import Part
from jobs.wording.unit_formatter import UnitFormatter

SAME_RATIO = 5e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class EfficiencyNote:
    """Where the plan's sheave efficiency comes from; `offer` is the measurement it could take instead."""

    words: str
    fall: str = ""
    tag: str = ""
    offer: int | None = None
    offer_words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionRow:
    """One rule of friction: the advantage and the pull it gives, and what it is used for."""

    rule: str
    advantage: str
    hand: str
    used_for: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained:
    """The explanations of a plan that could be worked out."""

    apart: tuple[Fact, ...]
    friction: tuple[FrictionRow, ...]
    hauls: tuple[HaulTable, ...]
    times: Part
    write: UnitFormatter


def explained(plan_data: PlanData, outcome: Outcome, write: UnitFormatter) -> Explained | None:
    """The explanations of a worked plan, or None for one that could not be worked out."""
    result, envelope = outcome.result, outcome.envelope
    if result is None or result.working is None or envelope is None:
        return None
    quantities = plan_quantities(plan_data, result, envelope)
    return Explained(
        apart=(hand_fact(quantities, result.working, write), *gauge_facts(plan_data, result, quantities, write)),
        friction=friction_rows(result, result.working, write),
        hauls=haul_tables(result),
        times=times_words(),
        write=write,
    )


def hand_fact(quantities: PlanQuantities, working: PlanWorking, write: UnitFormatter) -> Fact:
    """Why the pull at the hand stands twice: for the gear, and as the crew's task."""
    gear, crew = write.text(quantities.hauling), write.text(quantities.crew_hauling)
    margin = working.plan.margins.adverse_factor
    return Fact(
        f"{gear} or {crew} at the hand",
        f"{gear} is what gear and anchors are sized for: {margin:g} times what holds the stem back, the hinge at its "
        f"strongest and fully plastic. {crew} is the crew's task, by which people are counted: "
        f"{CREW_ADVERSE_FACTOR:g} times, the hinge breaking as in a bending test. The crew must manage the second; "
        "the gear must bear the first.",
    )


def gauge_facts(
    plan_data: PlanData, result: PlanResult, quantities: PlanQuantities, write: UnitFormatter
) -> tuple[Fact, ...]:
    """Why the band on the gauge is not the one at the stem."""
    if result.gauge_band_n is None or result.working is None:
        return ()
    stem, gauge = write.text(quantities.band), write.text(quantities.band_read)
    efficiency = result.working.situation.geometry.line_efficiency
    kept = kept_words(efficiency)
    where = (
        "and on the hauling part, where the tackle divides it"
        if plan_data.plan.tension_gauge == Gauge.HAULING_PART
        else "in the line at the tackle"
    )
    why = (
        f"The cell sits {where}; {kept} of the tension is left after the redirects. Friction may help or "
        "hinder, so the lowest reading is raised by it and the highest lowered: "
        "the band on the gauge is the narrower. Work to the gauge's."
    )
    if efficiency == 1.0 and plan_data.plan.tension_gauge == Gauge.IN_LINE:
        why = f"The cell sits {where}, and nothing turns the line between: both bands are one."
    return (Fact(f"{stem} at the stem, {gauge} on the gauge", why),)


def friction_rows(result: PlanResult, working: PlanWorking, write: UnitFormatter) -> tuple[FrictionRow, ...]:
    """The compounded loss, pessimistic and optimistic, and the linear tenth a sheave beside them."""
    task_n = result.crew_tension_n / working.situation.geometry.line_efficiency
    stages = working.tackle.stages
    thumb = prod(rule_of_thumb_advantage(stage.ideal_advantage, stage.sheave_count) for stage in stages)
    best = working.plan.best_sheave_efficiency
    planned = ", ".join(kept_words(ratio) for ratio in efficiencies(working))
    return (
        FrictionRow(
            rule=f"Compounded, sheave efficiency {planned}",
            advantage=number_text(working.tackle.hauling_advantage, 2, "down"),
            hand=write.hand(task_n / working.tackle.hauling_advantage),
            used_for="the crew's task: the pessimistic figure, so that people suffice",
        ),
        FrictionRow(
            rule=f"Compounded, sheave efficiency {kept_words(best)}",
            advantage=number_text(working.crew.best_advantage, 2, "up"),
            hand=write.hand(task_n / working.crew.best_advantage),
            used_for="loads on gear: the optimistic figure, so that what a crew could put on is not underrated",
        ),
        FrictionRow(
            rule="Linear, a tenth of the load lost at each sheave",
            advantage=number_text(thumb, 2, "down"),
            hand=write.hand(task_n / thumb),
            used_for="a rough check by the seamanship rule; no figure of the plan rests on it",
        ),
    )


def efficiencies(working: PlanWorking) -> list[float]:
    """What the plan says a sheave keeps, each figure once."""
    found: list[float] = []
    for stage in working.stages:
        given = stage.sheave_efficiency
        found += given if isinstance(given, tuple) else (given,)
    return list(dict.fromkeys(found))


def efficiency_note(plan_data: PlanData, earlier: tuple[EfficiencyMeasurement, ...] = ()) -> EfficiencyNote | None:
    """Where the plan's figure comes from, and what was measured on the tackle that hangs.

    `earlier` are the measurements of the same tackle before the last one, for the warning that it fell.
    """
    plan, measured = plan_data.plan, plan_data.measured
    if measured is None:
        return origin_note(plan_data)
    fall = efficiency_fall(
        [row.sheave_efficiency for row in earlier], measured.sheave_efficiency, measured.sheave_efficiency_high
    )
    said = (
        f"Measured on {measured.item.tag}, {short_day(measured.measured_on)}: sheave efficiency "
        f"{kept_words(measured.sheave_efficiency)}, interval {interval_words(measured)}."
    )
    low = kept_words(measured.sheave_efficiency_low, "down")
    taken = (
        plan.sheave_efficiency_origin == EfficiencyOrigin.MEASURED
        and plan.sheave_efficiency_ratio is not None
        and abs(plan.sheave_efficiency_ratio - measured.sheave_efficiency_low) < SAME_RATIO
    )
    words = f"{said} The plan takes the low end, {low}." if taken else said
    return EfficiencyNote(
        words=words,
        fall=fall_words(fall),
        tag=measured.item.tag,
        offer=None if taken else measured.pk,
        offer_words=f"Take {low}, the low end",
    )


def origin_note(plan_data: PlanData) -> EfficiencyNote | None:
    plan = plan_data.plan
    if plan.sheave_efficiency_ratio is None or not plan.sheave_efficiency_origin:
        return None
    default = DEFAULTS["sheave_efficiency"]
    kept = kept_words(plan.sheave_efficiency_ratio)
    match plan.sheave_efficiency_origin:
        case EfficiencyOrigin.MEASURED:
            words = f"Sheave efficiency {kept}, entered as measured; no measurement of this tackle is on record."
        case EfficiencyOrigin.MAKER:
            words = f"Sheave efficiency {kept}, the maker's figure."
        case _:
            words = f"Sheave efficiency {kept}, assumed. The default is {kept_words(default.value)}, {default.basis}."
    return EfficiencyNote(words=words)
