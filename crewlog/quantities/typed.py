"""Typed quantities turned into stored floats, and stored floats turned back into text for a box.

Reading is strict (`parse`), conversion by fixed factors (`units`), limits are checked in the stored unit and stated in
the unit typed.
"""

import math
from dataclasses import dataclass
from fractions import Fraction

from crewlog.quantities.kinds import Kind, kind_named, vocabulary
from crewlog.quantities.number_style import COMMA, POINT, shown
from crewlog.quantities.parse import QuantityTextError, TypedQuantity, parse_quantity_text
from crewlog.quantities.units import SAME, Direction, Unit, check_unit_system, number_text, round_to

NBSP = "\u00a0"
SIXTEENTHS_TO_A_FOOT = 192
SIGNIFICANT = 4


@dataclass(frozen=True, slots=True)
class Limits:
    """Bounds in the stored unit of a kind; `exclusive` keeps the lower bound itself out. `noun` ends the sentence."""

    min_value: float | None = None
    max_value: float | None = None
    exclusive: bool = False
    noun: str = ""


NO_LIMITS = Limits()


@dataclass(frozen=True, slots=True)
class Quantity:
    """What was typed and what it is worth in the stored unit of its kind."""

    value: float
    text: str
    kind: str
    unit: str
    bare: bool

    def echo(self) -> str:
        """Typed text with its value in the metric unit beside it: "2700 lbf = 12.01 kN"; rounded to nearest.

        A marked load is named with its mass: "1,000 kg = 9.81 kN". A number already in that unit comes alone.
        """
        kind = kind_named(self.kind)
        typed_unit, metric = kind.unit(self.unit), kind.shown("metric")
        worth = with_unit(self.value, metric, "nearest")
        if typed_unit is metric:
            return worth
        if typed_unit.marked_load:
            mass = typed_unit.from_stored(self.value)
            decimals = next(d for d in range(4) if d == 3 or math.isclose(mass, round(mass, d), rel_tol=1e-12))
            return f"{number_text(mass, decimals, 'nearest')}{NBSP}{typed_unit.symbol} = {worth}"
        typed = joined(self.text, typed_unit.symbol) if self.bare else self.text
        return f"{typed} = {worth}"


def read_quantity(
    text: str, kind_name: str, unit_system: str, *, limits: Limits = NO_LIMITS, mark: str = POINT
) -> Quantity:
    """Read typed text; a bare number is in the unit shown to readers of `unit_system`.

    `mark` is how numbers are written: boxes of pages give that of the company, lists have a decimal point.
    Raises QuantityTextError with a message that says what would be right.
    """
    kind = kind_named(kind_name)
    typed = parse_quantity_text(text, vocabulary(kind_name, check_unit_system(unit_system)), comma=mark == COMMA)
    unit = kind.unit(typed.terms[0].unit)
    value = _stored(typed, kind)
    check_limits(value, kind, unit, limits=limits)
    return Quantity(value=value, text=typed.text, kind=kind_name, unit=unit.symbol, bare=typed.bare)


def _stored(typed: TypedQuantity, kind: Kind) -> float:
    first, *others = typed.terms
    amount: Fraction = first.amount
    if others:  # feet and inches: add in inches, where both are exact
        amount = amount * 12 + others[0].amount
    unit = kind.unit(others[0].unit if others else first.unit)
    value = unit.to_stored(float(amount))
    return -value if typed.negative and value else value


def check_limits(value: float, kind: Kind, unit: Unit, *, limits: Limits) -> None:
    """Raise QuantityTextError when the stored value is outside the kind's or the box's bounds."""
    min_value = kind.min_value if limits.min_value is None else max(limits.min_value, kind.min_value)
    max_value = kind.max_value if limits.max_value is None else min(limits.max_value, kind.max_value)
    slack_below, slack_above = SAME * max(1.0, abs(min_value)), SAME * max(1.0, abs(max_value))
    noun = f" of {limits.noun}" if limits.noun else ""
    if limits.exclusive and limits.min_value is not None and value <= min_value:
        raise QuantityTextError("below-minimum", f"More than {limit_in(min_value, unit, 'up')}{noun}.")
    if value < min_value - slack_below:
        raise QuantityTextError("below-minimum", f"At least {limit_in(min_value, unit, 'up')}{noun}.")
    if value > max_value + slack_above:
        raise QuantityTextError("above-maximum", f"At most {limit_in(max_value, unit, 'down')}{noun}.")


def limit_in(value: float, unit: Unit, direction: Direction) -> str:
    """A bound in the unit typed, rounded into the allowed range and within 1 %, so that the figure named passes."""
    exact = unit.from_stored(value)
    decimals = next(
        (d for d in range(9) if abs(float(_places(exact, d, direction)) - exact) <= 0.01 * abs(exact) + 1e-12), 9
    )
    return joined(number_text(exact, decimals, direction), unit.symbol)


def _places(value: float, decimals: int, direction: Direction) -> str:
    return str(round_to(value, f"1e-{decimals}", direction))


def joined(number: str, symbol: str) -> str:
    """Number and unit on one line: a no-break space between, none before the degree sign."""
    if not symbol:
        return number
    return f"{number}°" if symbol == "°" else f"{number}{NBSP}{symbol.replace(' ', NBSP)}"


def with_unit(value: float, unit: Unit, direction: Direction) -> str:
    """A stored value on paper in the given unit, with that unit's decimals."""
    figure = unit.from_stored(value)
    return joined(number_text(figure, unit.decimals(figure), direction), unit.symbol)


def input_text(value: float, kind_name: str, unit_system: str) -> str:
    """A stored value as the text of a box, without its unit, such that reading it back gives the figure shown.

    One decimal more than on paper, and at least four figures; feet and inches to a sixteenth of an inch.
    """
    unit = kind_named(kind_name).shown(unit_system)
    figure = unit.from_stored(value)
    if not math.isfinite(figure):
        raise ValueError(f"cannot show {value}")
    if unit.symbol == "ft":
        return _feet_text(figure)
    decimals = unit.decimals(figure) + 1
    if figure:
        decimals = max(decimals, SIGNIFICANT - 1 - math.floor(math.log10(abs(figure))))
    text = f"{round_to(figure, f'1e-{min(decimals, 12)}', 'nearest'):f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else shown(text)


def _feet_text(feet: float) -> str:
    """Feet and inches to a sixteenth, as a rigger writes them: "39 ft 4 3/8 in", "4 3/8 in", "32"."""
    sixteenths = int(round_to(abs(feet) * SIXTEENTHS_TO_A_FOOT, "1", "nearest"))
    if sixteenths == 0:
        return "0"
    whole_feet, rest = divmod(sixteenths, SIXTEENTHS_TO_A_FOOT)
    inches, part = divmod(rest, 16)
    inch_text = " ".join(
        text for text in (str(inches) if inches else "", str(Fraction(part, 16)) if part else "") if text
    )
    sign = "-" if feet < 0 else ""
    if not rest:
        return f"{sign}{whole_feet}"
    return f"{sign}{whole_feet} ft {inch_text} in" if whole_feet else f"{sign}{inch_text} in"
