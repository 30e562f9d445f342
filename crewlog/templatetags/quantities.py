"""Filters that print stored figures in the reader's units: `{{ result.anchor_load_n|force:request.company }}`.

Names say the rounding: `force` and `hand_force` are loads and go up, `…_limit` are limits and go down, `…_up` and
`…_down` as named, the rest to nearest. `None` prints as "not known"; add `|or_dash` in a table.
"""

from typing import Protocol

from django.template import Library

from crewlog.quantities import display
from crewlog.quantities.units import Direction

register = Library()


class HasUnitSystem(Protocol):
    """A company, or a reader with units of their own."""

    unit_system: str


def _system(reader: HasUnitSystem | str) -> str:
    if isinstance(reader, str):
        return str(reader)
    try:
        return str(reader.unit_system)
    except AttributeError:
        raise TypeError(f"a quantity needs a company or a unit system, not {reader!r}") from None


def _number(value: object) -> float | None:
    """The stored figure; text, such as a misspelt variable resolves to, is an error rather than a blank."""
    if value is None:
        return None
    if isinstance(value, bool | str) or not hasattr(value, "__float__"):
        raise TypeError(f"a quantity must be a number, not {value!r}")
    return float(value)


def _shown(value: object, kind: str, reader: HasUnitSystem | str, direction: Direction = "nearest") -> str:
    return display.quantity_text(_number(value), kind, _system(reader), direction=direction)


@register.filter
def force(value: object, reader: HasUnitSystem | str) -> str:
    """A load [N], up."""
    return display.demand_text(_number(value), _system(reader))


@register.filter
def force_limit(value: object, reader: HasUnitSystem | str) -> str:
    """A limit, capacity or strength [N], down."""
    return display.limit_text(_number(value), _system(reader))


@register.filter
def force_measured(value: object, reader: HasUnitSystem | str) -> str:
    """A reading [N], to nearest."""
    return _shown(value, "force", reader)


@register.filter
def hand_force(value: object, reader: HasUnitSystem | str) -> str:
    """A pull of hands [N], up to 10 N."""
    return display.hand_text(_number(value), _system(reader))


@register.filter
def hand_limit(value: object, reader: HasUnitSystem | str) -> str:
    """What hands can give or hold [N], down to 10 N."""
    return display.hand_limit_text(_number(value), _system(reader))


@register.filter
def length_measured(value: object, reader: HasUnitSystem | str) -> str:
    """A length [m], to nearest."""
    return _shown(value, "length", reader)


@register.filter
def length_up(value: object, reader: HasUnitSystem | str) -> str:
    """A length to keep or to have at least [m], up."""
    return _shown(value, "length", reader, "up")


@register.filter
def length_down(value: object, reader: HasUnitSystem | str) -> str:
    """A length not to be passed [m], down."""
    return _shown(value, "length", reader, "down")


@register.filter
def diameter(value: object, reader: HasUnitSystem | str) -> str:
    """A diameter or thickness on a stem [m], to nearest."""
    return _shown(value, "diameter_stem", reader)


@register.filter
def gear_diameter(value: object, reader: HasUnitSystem | str) -> str:
    """A diameter of gear [mm], to nearest."""
    return _shown(value, "diameter_gear", reader)


@register.filter
def mass(value: object, reader: HasUnitSystem | str) -> str:
    """A mass [kg], to nearest."""
    return _shown(value, "mass", reader)


@register.filter
def density(value: object, reader: HasUnitSystem | str) -> str:
    """A density [kg/m³], to nearest."""
    return _shown(value, "density", reader)


@register.filter
def wind(value: object, reader: HasUnitSystem | str) -> str:
    """A wind speed [m/s], up: the stronger reading."""
    return _shown(value, "wind", reader, "up")


@register.filter
def wind_limit(value: object, reader: HasUnitSystem | str) -> str:
    """A wind limit [m/s], down."""
    return _shown(value, "wind", reader, "down")


@register.filter
def stress(value: object, reader: HasUnitSystem | str) -> str:
    """A stress or strength of wood [Pa], to nearest."""
    return _shown(value, "stress", reader)


@register.filter
def modulus(value: object, reader: HasUnitSystem | str) -> str:
    """A modulus of elasticity [Pa], to nearest."""
    return _shown(value, "elastic_modulus", reader)


@register.filter
def moment(value: object, reader: HasUnitSystem | str) -> str:
    """A moment [N m], to nearest."""
    return _shown(value, "moment", reader)


@register.filter
def energy(value: object, reader: HasUnitSystem | str) -> str:
    """A stored energy [J], up."""
    return _shown(value, "energy", reader, "up")


@register.filter
def area(value: object, reader: HasUnitSystem | str) -> str:
    """An area [m²], to nearest."""
    return _shown(value, "area", reader)


@register.filter
def angle(value: object) -> str:
    """An angle [degrees], to 0.1."""
    return _shown(value, "angle", "metric")


@register.filter
def slope(value: object) -> str:
    """A slope [degrees], to 0.1."""
    return _shown(value, "slope", "metric")


@register.filter
def bearing(value: object) -> str:
    """A compass bearing [degrees], three figures: 045°."""
    number = _number(value)
    if number is None:
        return display.NOT_KNOWN
    return f"{round(number) % 360:03d}°"


@register.filter
def percent_up(value: object) -> str:
    """A ratio in whole per cent, up: use of a capacity."""
    return display.percent_text(_number(value), direction="up")


@register.filter
def percent_down(value: object) -> str:
    """A ratio in whole per cent, down: what is left."""
    return display.percent_text(_number(value), direction="down")


@register.filter
def factor_down(value: object) -> str:
    """A margin or factor to 0.1, down."""
    return display.factor_text(_number(value))


@register.filter
def or_dash(text: str) -> str:
    """An en dash in place of "not known", for cells of a table."""
    return "–" if text == display.NOT_KNOWN else text
