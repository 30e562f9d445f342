"""Conversions between the units people read and the units stored; the only user of pint.

One registry, asked once at import for the fixed factors of the table below. Text typed by people is read by
`crewlog.quantities.parse` and never reaches it.
"""

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

import pint

from crewlog.quantities.number_style import shown

UNIT_SYSTEMS = ("metric", "us")
Direction = Literal["up", "down", "nearest"]
SAME = 1e-9  # two figures this close, relatively, are equal: the tolerance of every comparison with a limit

# Decimal keeps the exact definitions exact: 1 lbf = 4.448 221 615 260 5 N
_registry: pint.UnitRegistry[Decimal] = pint.UnitRegistry(non_int_type=Decimal)


def factor_between(unit: str, stored_unit: str) -> float:
    """Factor from one unit to another, both named by constants of this package, never by typed text."""
    if unit == stored_unit:
        return 1.0
    quantity = _registry.Quantity(Decimal(1), _registry.parse_units(unit))
    return float(quantity.to(stored_unit).magnitude)


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit a quantity may be typed or shown in.

    `factor` turns it into the stored unit of its kind; `gradient` marks the one that is no factor: a slope in per
    cent against degrees. `marked_load` marks a mass standing for its weight. `places` are decimals on paper, as
    (from this magnitude, decimals), the first that applies.
    """

    symbol: str
    factor: float
    spellings: tuple[str, ...] = ()
    places: tuple[tuple[float, int], ...] = ((0.0, 2),)
    marked_load: bool = False
    gradient: bool = False

    def to_stored(self, value: float) -> float:
        return math.degrees(math.atan(value / 100)) if self.gradient else value * self.factor

    def from_stored(self, value: float) -> float:
        return 100 * math.tan(math.radians(value)) if self.gradient else value / self.factor

    def decimals(self, value: float) -> int:
        """Decimals on paper for a value of this size, in this unit."""
        return next((decimals for lower, decimals in self.places if abs(value) >= lower), self.places[-1][1])


def check_unit_system(unit_system: str) -> str:
    if unit_system not in UNIT_SYSTEMS:
        raise ValueError(f"unit_system is {unit_system!r}, not one of {', '.join(UNIT_SYSTEMS)}")
    return unit_system


def round_to(value: float, step: str, direction: Direction) -> Decimal:
    """Whole multiple of `step` (a decimal as text, such as "0.01") at or beyond the value in the given direction.

    A value within SAME of a multiple is that multiple, so that noise of the last bit does not move a printed figure.
    Raises ValueError for a value that is not finite.
    """
    if not math.isfinite(value):
        raise ValueError(f"cannot print {value}")
    size = Decimal(step)
    steps = value / float(size)
    nearest = Decimal(steps).to_integral_value(rounding=ROUND_HALF_UP)
    if direction == "nearest" or abs(steps - float(nearest)) <= SAME * max(1.0, abs(steps)):
        return (nearest + 0) * size
    return Decimal(math.ceil(steps) if direction == "up" else math.floor(steps)) * size


def round_up_to(value: float, step: float) -> float:
    """The least whole multiple of `step` not below the value: for loads, demands, use of a capacity."""
    return float(round_to(value, str(step), "up"))


def round_down_to(value: float, step: float) -> float:
    """The greatest whole multiple of `step` not above the value: for limits, strengths, margins."""
    return float(round_to(value, str(step), "down"))


def number_text(value: float, decimals: int, direction: Direction) -> str:
    """Number with thousands set off and a fixed count of decimals, rounded in the given direction, in the style now."""
    rounded = round_to(value, str(Decimal(1).scaleb(-decimals)), direction)
    return shown(f"{rounded:,.{max(0, decimals)}f}")
