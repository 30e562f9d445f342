"""How a company's people read figures: their units, rounded to the safe side."""

import math
from collections.abc import Mapping

from crewlog.quantity_display import demand_text, hand_text, limit_text, percent_text, quantity_text
from crewlog.units import Direction

# By the ending of a fact's name: how it is read. The longest ending that fits wins.
ENDINGS = (
    ("_n_m", "moment"),
    ("_m_s", "wind"),
    ("_pa", "stress"),
    ("_kg", "mass"),
    ("_deg", "angle"),
    ("_m", "length"),
)
LIMIT_WORDS = ("capacity", "limit", "highest", "capability", "most")


class Reader:
    """Writes SI figures for people who read one unit system."""

    def __init__(self, unit_system: str) -> None:
        self.unit_system = unit_system

    def force(self, force_n: float) -> str:
        """Load or demand [N], rounded up."""
        return demand_text(force_n, self.unit_system)

    def force_limit(self, force_n: float) -> str:
        """Capacity or limit [N], rounded down."""
        return limit_text(force_n, self.unit_system)

    def aim(self, force_n: float) -> str:
        """A tension to aim for [N], rounded down: away from what the wood bears."""
        return limit_text(force_n, self.unit_system)

    def hand(self, force_n: float) -> str:
        """Force at the hands [N], rounded up."""
        return hand_text(force_n, self.unit_system)

    def hand_limit(self, force_n: float) -> str:
        """What hands can give [N], rounded down."""
        return hand_text(force_n, self.unit_system, direction="down")

    def length(self, length_m: float, *, direction: Direction = "nearest") -> str:
        return quantity_text(length_m, "length", self.unit_system, direction=direction)

    def diameter(self, diameter_m: float) -> str:
        return quantity_text(diameter_m, "diameter_stem", self.unit_system)

    def gear_diameter(self, diameter_mm: float) -> str:
        return quantity_text(diameter_mm, "diameter_gear", self.unit_system)

    def mass(self, mass_kg: float) -> str:
        return quantity_text(mass_kg, "mass", self.unit_system)

    def wind(self, speed_m_s: float) -> str:
        return quantity_text(speed_m_s, "wind", self.unit_system)

    def angle(self, angle_deg: float) -> str:
        return quantity_text(angle_deg, "angle", self.unit_system)

    def percent(self, ratio: float) -> str:
        """Share of a limit, rounded up."""
        return percent_text(ratio, direction="up")

    def fact(self, name: str, value: float | str | None, *, of_hands: bool = False) -> str:
        """A finding's figure by the ending of its name; `of_hands` reads every force as one of hands."""
        if value is None or isinstance(value, str):
            return value or "not known"
        if name.endswith("bend_ratio"):
            return f"{math.floor(value * 10 + 1e-9) / 10:.1f}"  # sheave over rope, rounded down as a strength is
        if name.endswith("_ratio"):
            return self.percent(value)
        for ending, kind in ENDINGS:
            if name.endswith(ending):
                return quantity_text(value, kind, self.unit_system)
        if name.endswith("_n"):
            hands = of_hands or "hand" in name or "hauling_force" in name
            down = any(word in name for word in LIMIT_WORDS)
            if hands:
                return self.hand_limit(value) if down else self.hand(value)
            return self.force_limit(value) if down else self.force(value)
        return f"{value:g}"

    def facts(self, facts: Mapping[str, float | str]) -> str:
        """Figures of a finding as one sentence: "Load 2.90 kN, capacity 2.40 kN."."""
        of_hands = any("hand" in name or "hauling_force" in name for name in facts)
        parts = [f"{fact_words(name)} {self.fact(name, value, of_hands=of_hands)}" for name, value in facts.items()]
        text = ", ".join(parts)
        return f"{text[:1].upper()}{text[1:]}." if text else ""


def fact_words(name: str) -> str:
    """The words of a fact's name without its unit."""
    for ending in ("_n_m", "_m_s", "_ratio", "_pa", "_kg", "_deg", "_coeff", "_n", "_m"):
        if name.endswith(ending):
            name = name.removesuffix(ending)
            break
    return name.replace("_", " ")
