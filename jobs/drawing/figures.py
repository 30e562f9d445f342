"""What a drawing is made from: a plan's request and result, and how its reader reads quantities."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from jobs.unit_formatter import UnitFormatter

WIDE_PX = 760
NARROW_PX = 328


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFigures:
    """One plan as its JSON: the request, the result and the topics a drawing reads besides.

    inputs, results: topic ``plan``. stem, line, window, tackle, pull: results of the topics of those names for the
    same inputs (pull with a table of angles, tackle at the plan's tackle tension). A drawing whose topic is None or
    empty is left out. Lengths in m, forces in N, angles in degrees, names as in the JSON interface.
    """

    inputs: Mapping[str, Any]
    results: Mapping[str, Any]
    stem: Mapping[str, Any] = field(default_factory=dict)
    line: Mapping[str, Any] = field(default_factory=dict)
    window: Mapping[str, Any] = field(default_factory=dict)
    tackle: Mapping[str, Any] = field(default_factory=dict)
    pull: Mapping[str, Any] = field(default_factory=dict)


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
