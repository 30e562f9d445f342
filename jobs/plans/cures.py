"""Single changes of a plan with which nothing of the plan itself is refused, each worked out in full."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from jobs.mechanics.inverse import LeastWhat
from jobs.plans.calculation import Outcome
from jobs.plans.data import PlanData
from jobs.plans.inverse import FIELDS, Trials, own_refusals, values_of

# What is tried, in this order. Each figure is changed one way only: up, but a hinge is made thinner.
CHANGES: tuple[LeastWhat, ...] = ("people", "attach_height", "hinge_thickness", "parts", "anchor_distance")
GRIDS = tuple(FIELDS[what] for what in CHANGES)
SAME = 1e-9  # two values nearer than this are one


@dataclass(frozen=True, slots=True)
class PlanCure:
    """One field set to one value, and what the plan comes to with it."""

    field: str
    value: float
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Search:
    """The cures that were found, and the fields whose search stopped before its end."""

    cures: tuple[PlanCure, ...] = ()
    given_up: tuple[str, ...] = ()


def plan_cures(plan_data: PlanData, outcome: Outcome) -> Search:
    """The smallest single changes that cure a worked plan; none for one that could not be worked out."""
    if outcome.result is None or not own_refusals(outcome):
        return Search()
    cures, given_up = [], []
    for what in CHANGES:
        trials = Trials(plan_data, FIELDS[what])
        found = trials.search(values_beyond(plan_data, what), with_next=False)
        if found.first is not None:
            value = found.first.value
            cures.append(PlanCure(trials.column, value, trials.outcomes[value]))
        elif found.given_up_at is not None:
            given_up.append(trials.column)
    return Search(tuple(cures), tuple(given_up))


def values_beyond(plan_data: PlanData, what: LeastWhat) -> Iterator[float]:
    """Values beyond the present one, the nearest first. No anchors where there are redirects: those would move too."""
    present = getattr(plan_data.plan, FIELDS[what])
    values: Iterable[float] | None = values_of(plan_data, what)
    if values is None or present is None or (what == "anchor_distance" and plan_data.pull_redirects):
        return
    for value in values:
        if value < present - SAME if what == "hinge_thickness" else value > present + SAME:
            yield value
