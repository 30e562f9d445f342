"""Questions asked backwards of a plan: the least of one figure with which nothing of the plan itself is refused.

The values are those of the mechanics, judged at every corner of the tolerances. One that passes there is worked again
with the study of its spread, so that an answer is one that holds. Gear on the load path is judged apart.
"""

import copy
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

from jobs.mechanics.convert import FormatError
from jobs.mechanics.errors import MechanicsError
from jobs.mechanics.findings.codes import find_code
from jobs.mechanics.inverse import LeastWhat, Search, Tried, grid, search
from jobs.mechanics.plan.result import PlanResult
from jobs.plans.calculation import Outcome, calculate
from jobs.plans.completeness import form_findings
from jobs.plans.data import PlanData
from jobs.plans.to_mechanics import to_plan_input
from jobs.plans.tolerances import corners_of

NAMED_AGAINST = 3  # codes named where nothing passes

# Each question with the column of the plan that its answer sets, and what makes a value of that column.
FIELDS: dict[LeastWhat, str] = {
    "attach_height": "attach_height_m",
    "anchor_distance": "anchor_distance_m",
    "parts": "parts",
    "people": "haulers",
    "hinge_thickness": "hinge_thickness_m",
}
COUNTS = ("parts", "people")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The answer, or None with what stood against every value, the most frequent first."""

    what: LeastWhat
    field: str
    value: float | None = None
    outcome: Outcome | None = None
    before: Tried | None = None
    after: Tried | None = None
    against: tuple[str, ...] = ()
    tried: int = 0
    span: tuple[float, float] | None = None  # least and most of the values of the question
    is_open: bool = False  # the plan has open answers and cannot be worked out at all
    given_up_at: float | None = None  # first value that passes at every corner and was not worked in full any more


@dataclass(frozen=True, slots=True)
class Trials:
    """One figure of a plan with its judges. `outcomes` keeps what each value worked in full came to."""

    plan_data: PlanData
    column: str
    outcomes: dict[float, Outcome] = field(default_factory=dict)

    def at_corners(self, value: float) -> Tried:
        """What fails of the plan itself with one value, the spread left out."""
        codes = first_fails(with_value(self.plan_data, self.column, value))
        return Tried(value, not codes, codes)

    def in_full(self, value: float) -> Tried:
        """What is refused of the plan itself with one value, worked with the study of its spread."""
        outcome = self.outcomes[value] = calculate(with_value(self.plan_data, self.column, value))
        codes = own_refusals(outcome)
        return Tried(value, not codes, codes)

    def search(self, values: Iterable[float], *, with_next: bool) -> Search:
        """The first of the values that holds in full."""
        return search(values, self.at_corners, self.in_full, with_next=with_next)


def ask(plan_data: PlanData, what: LeastWhat) -> Asked:
    """Ask a plan backwards. Never raises for what a person typed."""
    name = FIELDS[what]
    values = values_of(plan_data, what)
    if values is None:
        return Asked(what=what, field=name, is_open=True)
    values = list(values)
    trials = Trials(plan_data, name)
    found = trials.search(values, with_next=True)
    if found.first is None:
        against = found.against[:NAMED_AGAINST]
        span = (min(values), max(values)) if values else None
        return Asked(
            what=what, field=name, against=against, tried=found.tried, span=span, given_up_at=found.given_up_at
        )
    value = found.first.value
    return Asked(
        what=what,
        field=name,
        value=value,
        outcome=trials.outcomes[value],
        before=found.before,
        after=found.after,
        tried=found.tried,
    )


def values_of(plan_data: PlanData, what: LeastWhat) -> Iterable[float] | None:
    """Values of a question in the order they are tried, as its column holds them; None for a plan with open answers."""
    if form_findings(plan_data):
        return None
    try:
        start = to_plan_input(plan_data, with_uncertainty=False)
    except (FormatError, MechanicsError):
        return None
    as_column: Callable[[float], float] = int if what in COUNTS else float
    return map(as_column, grid(start, what))


def with_value(plan_data: PlanData, name: str, value: float) -> PlanData:
    """The same data with one figure of its plan changed, nothing saved."""
    plan = copy.copy(plan_data.plan)
    setattr(plan, name, value)
    return replace(plan_data, plan=plan)


def own_refusals(outcome: Outcome) -> tuple[str, ...]:
    """Codes that refuse the plan itself; the load path has cures of its own."""
    return tuple(f.full_code for f in outcome.refusals if f.area in ("stem", "plan"))


def first_fails(plan_data: PlanData) -> tuple[str, ...]:
    """What fails of the plan itself at the first corner of its tolerances where anything does; the spread left out."""
    try:
        for corner in corners_of(to_plan_input(plan_data, with_uncertainty=False), plan_data.plan):
            if corner.refused is not None:
                return (corner.refused.code,)
            if corner.result is not None and (failing := own_fails(corner.result)):
                return tuple(failing)
    except (MechanicsError, FormatError) as error:
        return (str(error),)
    return ()


def own_fails(result: PlanResult) -> list[str]:
    """Codes of a result that fail the plan itself."""
    codes = [(text, find_code(text)) for text in result.codes]
    return [text for text, code in codes if code is not None and code.kind == "fail" and code.subject != "role"]
