"""The envelope of a plan: every corner of the tolerances the lead sets, and the worst of them."""

import copy
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product
from typing import Any

from jobs.mechanics.convert import from_json
from jobs.mechanics.errors import Refused
from jobs.mechanics.plan import plan as solve_plan
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.plan.result import PlanResult
from jobs.models import PullPlan

Request = dict[str, Any]
Change = Callable[[Request, float], None]


def raise_line(request: Request, by_m: float) -> None:
    request["line"]["attach_height_m"] += by_m


def move_anchor(request: Request, by_m: float) -> None:
    request["line"]["anchor"]["distance_m"] += by_m


def strengthen_gust(request: Request, by_m_s: float) -> None:
    request["wind"]["gust_m_s"] += by_m_s


def lean_more(request: Request, by_deg: float) -> None:
    request["tree"]["lean_deg"] = max(0.0, request["tree"]["lean_deg"] + by_deg)


def add_haulers(request: Request, by: float) -> None:
    request["people"] = min(12, max(1, request["people"] + int(by)))


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
    """One corner of the tolerances: what was changed, the request, and its result or refusal."""

    changes: dict[str, float]
    request: Request
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


def solve(request: Request) -> PlanResult:
    """Result of a request in JSON values. Raises Refused, FormatError or OutOfRange."""
    return solve_plan(from_json(PlanInput, request, "inputs"))


def corner_of(request: Request, changes: dict[str, float]) -> Corner:
    try:
        return Corner(changes, request, solve(request), None)
    except Refused as refusal:
        return Corner(changes, request, None, refusal)


def work_envelope(request: Request, plan: PullPlan) -> Envelope:
    """Solve the nominal request and every corner of the plan's tolerances."""
    return Envelope(tuple(corners_of(request, plan)))


def corners_of(request: Request, plan: PullPlan) -> Iterator[Corner]:
    """The request as it is, then every corner of the plan's tolerances, each solved when it is asked for."""
    yield corner_of(request, {})
    varied = axes(plan)
    for combination in product(*(steps for _, _, steps in varied)) if varied else ():
        changed = copy.deepcopy(request)
        for (_, change, _), by in zip(varied, combination, strict=True):
            change(changed, by)
        names = (name for name, _, _ in varied)
        yield corner_of(changed, dict(zip(names, combination, strict=True)))
