"""How a company's people read figures: in their units, rounded to the safe side. The last step of every output."""

import math

from crewlog.quantities.display import Printed, printed_hand, printed_percent, printed_quantity
from crewlog.quantities.kinds import Kind
from crewlog.quantities.number_style import shown
from crewlog.quantities.units import number_text
from jobs.wording.felling import felling
from jobs.wording.figure import (
    ANGLE,
    AS_IS,
    DIAMETER,
    FORCE,
    GEAR_DIAMETER,
    HAND_FORCE,
    HANDS,
    LENGTH,
    LIMIT,
    LOAD,
    MASS,
    SHARE,
    WIND,
    Band,
    Count,
    Figure,
    Part,
    Rounding,
    Words,
)

MINUTES_FROM_S = 120


class UnitFormatter:
    """Writes figures, and words that hold figures, for people who read one unit system."""

    def __init__(self, unit_system: str) -> None:
        self.unit_system = unit_system

    def printed(self, value: Figure | Band | Count | str) -> Printed:
        """Number and unit of a value, apart: the one way from a figure to print. A word stands for itself."""
        match value:
            case str():
                return Printed(value)
            case Count(number, of):
                return Printed(str(number), of)
            case Band(minimum, maximum):
                is_compound = minimum.kind.shown(self.unit_system).symbol == "ft"  # 9 ft 10 in has two units
                return _band(self.printed(minimum), self.printed(maximum), is_compound=is_compound)
        direction = value.rounding
        match value.kind.name:
            case "hand_force":
                return printed_hand(value.value, self.unit_system, direction=direction)
            case "percent":
                return printed_percent(value.value, direction=direction)
            case "ratio":
                return Printed(number_text(value.value, 1, direction))
            case "number":
                return Printed(shown(f"{value.value:g}"))
            case "duration":
                return _duration(value.value)
            case "bearing":
                return Printed(f"{value.value:03.0f}", "°")
        return printed_quantity(value.value, value.kind.name, self.unit_system, direction=direction)

    def text(self, part: Part) -> str:
        """A value, or a sentence with all its figures, as text."""
        match part:
            case str():
                return part
            case int():
                return str(part)
            case Words(template, parts):
                return felling(template).format(*map(self.text, parts))
        return self.printed(part).text

    def quantity(self, value: float, kind: Kind, rounding: Rounding = AS_IS) -> str:
        """A value of any kind, to the decimals of its unit."""
        return printed_quantity(value, kind.name, self.unit_system, direction=rounding).text

    def force(self, force_n: float) -> str:
        """Load or demand [N], rounded up."""
        return self.text(Figure("load", force_n, FORCE, LOAD))

    def force_limit(self, force_n: float) -> str:
        """Capacity or limit [N], rounded down."""
        return self.text(Figure("limit", force_n, FORCE, LIMIT))

    def aim(self, force_n: float) -> str:
        """A tension to aim for [N], rounded down: away from what the wood bears."""
        return self.force_limit(force_n)

    def hand(self, force_n: float) -> str:
        """Force at the hands [N], rounded up."""
        return self.text(Figure("pull", force_n, HAND_FORCE, LOAD, HANDS))

    def hand_limit(self, force_n: float) -> str:
        """What hands can give [N], rounded down."""
        return self.text(Figure("pull, most", force_n, HAND_FORCE, LIMIT, HANDS))

    def length(self, length_m: float, *, rounding: Rounding = AS_IS) -> str:
        """Length or distance [m]."""
        return self.text(Figure("length", length_m, LENGTH, rounding))

    def diameter(self, diameter_m: float) -> str:
        """Diameter or other small length of a stem [m]."""
        return self.text(Figure("diameter", diameter_m, DIAMETER))

    def gear_diameter(self, diameter_mm: float) -> str:
        """Diameter of gear [mm]."""
        return self.text(Figure("diameter", diameter_mm, GEAR_DIAMETER))

    def mass(self, mass_kg: float) -> str:
        return self.text(Figure("mass", mass_kg, MASS))

    def wind(self, speed_m_s: float) -> str:
        return self.text(Figure("wind", speed_m_s, WIND))

    def angle(self, angle_deg: float) -> str:
        return self.text(Figure("angle", angle_deg, ANGLE))

    def percent(self, ratio: float) -> str:
        """Share of a limit, rounded up."""
        return self.text(Figure("share", ratio, SHARE, LOAD))


def _duration(time_s: float) -> Printed:
    """Whole minutes from two minutes on, else seconds to ten; both up."""
    if time_s >= MINUTES_FROM_S:
        return Printed(str(math.ceil(time_s / 60 - 1e-9)), "min")
    return Printed(str(math.ceil(time_s / 10 - 1e-9) * 10), "s")


def _band(minimum: Printed, maximum: Printed, *, is_compound: bool) -> Printed:
    """Both ends before one unit, or each with its own where one would be misread."""
    if minimum.unit == maximum.unit and not is_compound:
        return Printed(f"{minimum.number}–{maximum.number}", maximum.unit)
    return Printed(f"{minimum.text} to {maximum.number}", maximum.unit)
