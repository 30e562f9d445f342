"""Figures as pages and paper print them: the one place of rounding, always to the safe side.

Rule: loads, demands and the share of a capacity used are rounded up; limits, strengths and margins down; measured
figures to nearest. Lines and gear in kN to 0.01 (that is 10 N), hands in N to 10; in US customary both in whole lbf.
`None` prints as "not known". Number and unit are joined by a no-break space.
"""

from dataclasses import dataclass

from crewlog.quantities.kinds import kind_named
from crewlog.quantities.number_style import shown
from crewlog.quantities.typed import NBSP, joined
from crewlog.quantities.units import Direction, check_unit_system, number_text, round_to

NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Printed:
    """A quantity as it is printed: its number and its unit, two fields that nobody has to take apart again."""

    number: str
    unit: str = ""

    @property
    def text(self) -> str:
        """Both on one line."""
        return joined(self.number, self.unit)


def printed_quantity(
    value: float | None, kind_name: str, unit_system: str, *, direction: Direction = "nearest"
) -> Printed:
    """A stored value of any kind for readers of this unit system, rounded in the given direction."""
    check_unit_system(unit_system)
    if value is None:
        return Printed(NOT_KNOWN)
    unit = kind_named(kind_name).shown(unit_system)
    figure = unit.from_stored(value)
    if unit.symbol == "ft":
        return _feet_and_inches(figure, direction)
    return Printed(number_text(figure, unit.decimals(figure), direction), unit.symbol)


def printed_hand(force_n: float | None, unit_system: str, *, direction: Direction = "up") -> Printed:
    """A pull of hands: N to 10, or whole lbf."""
    check_unit_system(unit_system)
    if force_n is None or unit_system == "us":
        return printed_quantity(force_n, "hand_force", unit_system, direction=direction)
    return Printed(number_text(force_n, -1, direction), "N")


def printed_percent(ratio: float | None, *, direction: Direction) -> Printed:
    """A ratio in whole per cent."""
    return Printed(NOT_KNOWN) if ratio is None else Printed(number_text(ratio * 100, 0, direction), "%")


def quantity_text(value: float | None, kind_name: str, unit_system: str, *, direction: Direction = "nearest") -> str:
    """A stored value of any kind for readers of this unit system, rounded in the given direction."""
    return printed_quantity(value, kind_name, unit_system, direction=direction).text


def demand_text(force_n: float | None, unit_system: str) -> str:
    """A load or a demand: kN to 0.01 up, or whole lbf up."""
    return quantity_text(force_n, "force", unit_system, direction="up")


def limit_text(force_n: float | None, unit_system: str) -> str:
    """A limit, capacity or strength: kN to 0.01 down, or whole lbf down."""
    return quantity_text(force_n, "force", unit_system, direction="down")


def hand_text(force_n: float | None, unit_system: str, *, direction: Direction = "up") -> str:
    """A pull of hands: N to 10 up, or whole lbf up."""
    return printed_hand(force_n, unit_system, direction=direction).text


def hand_limit_text(force_n: float | None, unit_system: str) -> str:
    """What hands can give or a holder can hold: N to 10 down, or whole lbf down."""
    return hand_text(force_n, unit_system, direction="down")


def percent_text(ratio: float | None, *, direction: Direction) -> str:
    """A ratio in whole per cent: use of a capacity "up", a share left "down"."""
    return printed_percent(ratio, direction=direction).text


def factor_text(factor: float | None, *, direction: Direction = "down", decimals: int = 1) -> str:
    """A factor or margin, down unless said otherwise: 1.999 prints as 1.9."""
    return NOT_KNOWN if factor is None else number_text(factor, decimals, direction)


def _feet_and_inches(feet: float, direction: Direction) -> Printed:
    """Whole inches as feet and inches; the direction counts on the signed value."""
    inches = int(round_to(feet * 12, "1", direction))
    sign, (whole_feet, rest) = "-" if inches < 0 else "", divmod(abs(inches), 12)
    if not whole_feet:
        return Printed(f"{sign}{rest}", "in")
    if not rest:
        return Printed(f"{sign}{shown(f'{whole_feet:,}')}", "ft")
    return Printed(f"{sign}{joined(shown(f'{whole_feet:,}'), 'ft')}{NBSP}{rest}", "in")
