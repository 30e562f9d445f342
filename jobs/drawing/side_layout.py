"""Where everything of the side view stands: what the view and its labels are both drawn from."""

from dataclasses import dataclass
from itertools import pairwise

from jobs.drawing.geometry import Spot
from jobs.drawing.scene import Bounds, Point
from jobs.mechanics.plan.input import PlanInput


@dataclass(frozen=True, slots=True)
class SideLayout:
    """Where everything of the side view stands, in metres; `px` is one design pixel in metres."""

    plan: PlanInput
    bounds: Bounds
    px: float
    height_m: float
    stem_top: Point
    attach: Point
    hinge: Point
    path: tuple[Spot, ...]
    profile: tuple[Point, ...]
    crew: tuple[Point, ...]
    rows: int
    floor: float

    def ground_at(self, x: float) -> float:
        """Height of the drawn ground at x."""
        return ground_level(self.profile, x)

    @property
    def legs(self) -> list[Point]:
        """The line from the stem to the anchor."""
        return [self.attach, *(s.side for s in self.path)]


def ground_level(profile: tuple[Point, ...], x: float) -> float:
    for (x1, z1), (x2, z2) in pairwise(profile):
        if x <= x2:
            return z1 + (z2 - z1) * (x - x1) / (x2 - x1) if x2 > x1 else z2
    return profile[-1][1]
