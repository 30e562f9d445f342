"""The envelope of a plan: every corner of the tolerances the lead sets, and the worst of them."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import product

from jobs.mechanics.errors import Refused
from jobs.mechanics.plan import plan as solve_plan
from jobs.mechanics.plan_input import PlanInput
from jobs.mechanics.plan_result import PlanResult
from jobs.models import PullPlan
from jobs.plans.inputs_at import InputsAt

Change = Callable[[PlanInput, float], PlanInput]


def raise_line(asked: PlanInput, by_m: float) -> PlanInput:
    line = asked.line
    return replace(asked, line=replace(line, attach_height_m=line.attach_height_m + by_m))


def move_anchor(asked: PlanInput, by_m: float) -> PlanInput:
    anchor = asked.line.anchor
    with InputsAt("inputs.line.anchor").made():
        moved = replace(anchor, distance_m=anchor.distance_m + by_m)
    return replace(asked, line=replace(asked.line, anchor=moved))


def strengthen_gust(asked: PlanInput, by_m_s: float) -> PlanInput:
    """A gust that is not known stays so, and is refused."""
    gust_m_s = asked.wind.gust_m_s
    if gust_m_s is None:
        return asked
    return replace(asked, wind=replace(asked.wind, gust_m_s=gust_m_s + by_m_s))


def lean_more(asked: PlanInput, by_deg: float) -> PlanInput:
    return replace(asked, tree=replace(asked.tree, lean_deg=max(0.0, asked.tree.lean_deg + by_deg)))


def add_haulers(asked: PlanInput, by: float) -> PlanInput:
    return replace(asked, people=min(12, max(1, asked.people + int(by))))


def axes(plan: PullPlan) -> list[tuple[str, Change, tuple[float, ...]]]:
    """What may differ on the day, and by how much; a gust only grows."""
    listed: list[tuple[str, Change, tuple[float, ...]]] = [
        ("attach", raise_line, (-plan.attach_tolerance_m, plan.attach_tolerance_m)),
        ("anchor", move_anchor, (-plan.anchor_tolerance_m, plan.anchor_tolerance_m)),
        ("gust", strengthen_gust, (plan.gust_tolerance_m_s,)),
        ("lean", lean_more, (-plan.lean_tolerance_deg, plan.lean_tolerance_deg)),
        ("haulers", add_haulers, (-float(plan.hauler_tolerance), float(plan.hauler_tolerance))),
    ]
    return [axis for axis in listed if any(axis[2])]


@dataclass(frozen=True, slots=True)
class Corner:
    """One corner of the tolerances: what was changed, what it was worked from, and its result or refusal."""

    changes: dict[str, float]
    plan_input: PlanInput
    result: PlanResult | None
    refused: Refused | None

    @property
    def stem_tension_n(self) -> float:
        return self.result.stem_tension_n if self.result is not None else float("inf")


@dataclass(frozen=True, slots=True)
class Envelope:
    """All corners with the nominal one first. The governing one needs the greatest tension, or is refused."""

    corners: tuple[Corner, ...]

    @property
    def nominal(self) -> Corner:
        return self.corners[0]

    @property
    def governing(self) -> Corner:
        return max(self.corners, key=lambda corner: corner.stem_tension_n)

    def results(self) -> Iterator[PlanResult]:
        return (corner.result for corner in self.corners if corner.result is not None)

    @property
    def lowest_tension_n(self) -> float:
        """The pre-tension that is enough in every corner."""
        return max(result.lowest_tension_n for result in self.results())

    @property
    def highest_tension_n(self) -> float:
        """The pre-tension that no corner allows to be passed."""
        return min(result.highest_tension_n for result in self.results())

    @property
    def aim_tension_n(self) -> float | None:
        """The pre-tension to aim for: a third of the way up what every corner allows; None where that is empty."""
        low, high = self.lowest_tension_n, self.highest_tension_n
        return None if low > high else low + (high - low) / 3


def corner_of(asked: PlanInput, changes: dict[str, float]) -> Corner:
    """One corner worked out. Raises OutOfRange for figures that cannot be reckoned with; a refusal is its answer."""
    try:
        return Corner(changes, asked, solve_plan(asked), None)
    except Refused as refusal:
        return Corner(changes, asked, None, refusal)


def work_envelope(asked: PlanInput, plan: PullPlan) -> Envelope:
    """Solve the plan as written and every corner of its tolerances."""
    return Envelope(tuple(corners_of(asked, plan)))


def corners_of(asked: PlanInput, plan: PullPlan) -> Iterator[Corner]:
    """The plan as written, then every corner of its tolerances, each solved when it is asked for."""
    yield corner_of(asked, {})
    varied = axes(plan)
    for combination in product(*(steps for _, _, steps in varied)) if varied else ():
        changed = asked
        for (_, change, _), by in zip(varied, combination, strict=True):
            changed = change(changed, by)
        names = (name for name, _, _ in varied)
        yield corner_of(changed, dict(zip(names, combination, strict=True)))
