"""What a drawing is made from: a plan's input and result, and how its reader writes quantities."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from jobs.mechanics.line import LineResult
from jobs.mechanics.plan.input import PlanInput
from jobs.mechanics.plan.result import PlanResult
from jobs.mechanics.pull import PullResult
from jobs.mechanics.stem import StemResult
from jobs.mechanics.tackle import TackleResult
from jobs.mechanics.window import WindowResult
from jobs.wording.unit_formatter import UnitFormatter

WIDE_PX = 760
NARROW_PX = 328


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFigures:
    """One plan: what it was worked from, its result and the topics a drawing reads besides.

    `stem`, `line`, `window`, `tackle` and `pull` are the results of those topics for the same inputs, `pull` with a
    table of angles, `tackle` at the plan's tackle tension. Lengths in m, forces in N, angles in degrees.
    """

    inputs: PlanInput
    results: PlanResult
    stem: StemResult
    line: LineResult
    window: WindowResult
    tackle: TackleResult
    pull: PullResult


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingOptions:
    """Design width and greatest height in px, the reader's units, and words for the plan's places."""

    width_px: float = WIDE_PX
    height_px: float = 560.0
    formatter: UnitFormatter = field(default_factory=lambda: UnitFormatter("metric"))
    place_words: Mapping[str, str] = field(default_factory=dict)

    @property
    def is_narrow(self) -> bool:
        """Whether only the short labels fit."""
        return self.width_px < 480
