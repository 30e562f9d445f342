"""What a drawing is made from: a plan's input and result, and how its reader writes quantities."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

from crewlog.number_style import shown
from jobs.mechanics.line import LineResult
from jobs.mechanics.plan_input import PlanInput
from jobs.mechanics.plan_result import PlanResult
from jobs.mechanics.pull import PullResult
from jobs.mechanics.stem import StemResult
from jobs.mechanics.tackle import TackleResult
from jobs.mechanics.window import WindowResult

NBSP = "\u00a0"

WIDE_PX = 760
NARROW_PX = 328


class Formatter(Protocol):
    """Writes SI values in the reader's units, rounded to the safe side."""

    def force(self, force_n: float) -> str:
        """Load or demand, rounded up."""

    def force_limit(self, force_n: float) -> str:
        """Capacity or limit, rounded down."""

    def aim(self, force_n: float) -> str:
        """Tension to aim for, rounded down."""

    def hand(self, force_n: float) -> str:
        """Force at the hands, rounded up."""

    def length(self, length_m: float) -> str:
        """Length or distance."""

    def diameter(self, diameter_m: float) -> str:
        """Diameter or other small length."""

    def angle(self, angle_deg: float) -> str:
        """Angle."""

    def percent(self, ratio: float) -> str:
        """Share of a limit, rounded up."""


def _up(value: float) -> int:
    return math.ceil(value - 1e-9)


def _down(value: float) -> int:
    return math.floor(value + 1e-9)


class MetricFormatter:
    """Plain metric: lines in kN to two decimals, hands in N to 10, lengths in m."""

    def force(self, force_n: float) -> str:
        """Load [N] in kN, rounded up to 10 N."""
        return f"{shown(f'{_up(force_n / 10) / 100:,.2f}')}{NBSP}kN"

    def force_limit(self, force_n: float) -> str:
        """Limit [N] in kN, rounded down to 10 N."""
        return f"{shown(f'{_down(force_n / 10) / 100:,.2f}')}{NBSP}kN"

    def aim(self, force_n: float) -> str:
        """Tension to aim for [N] in kN, rounded down to 10 N."""
        return self.force_limit(force_n)

    def hand(self, force_n: float) -> str:
        """Hand force [N], rounded up to 10 N."""
        return f"{shown(f'{_up(force_n / 10) * 10:,}')}{NBSP}N"

    def length(self, length_m: float) -> str:
        """Length [m] to 0.1 m."""
        return f"{shown(f'{length_m:.1f}')}{NBSP}m"

    def diameter(self, diameter_m: float) -> str:
        """Small length [m] in cm to 0.1 cm."""
        return f"{shown(f'{diameter_m * 100:.1f}')}{NBSP}cm"

    def angle(self, angle_deg: float) -> str:
        """Angle [deg] to 0.1 degree, whole degrees without the decimal."""
        text = f"{angle_deg:.1f}"
        return f"{shown(text.removesuffix('.0'))}°"

    def percent(self, ratio: float) -> str:
        """Ratio as a whole percentage, rounded up."""
        return f"{_up(ratio * 100)}{NBSP}%"


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
    formatter: Formatter = field(default_factory=MetricFormatter)
    place_words: Mapping[str, str] = field(default_factory=dict)

    @property
    def is_narrow(self) -> bool:
        """Whether only the short labels fit."""
        return self.width_px < 480
