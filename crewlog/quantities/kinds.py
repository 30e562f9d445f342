"""The kinds of quantity a person types or reads: stored unit, units accepted, unit shown, natural bounds.

Conversion factors come from the registry's exact definitions (international yard and pound agreement of 1959,
international knot, standard gravity 9.806 65 m/s²).
"""

from dataclasses import dataclass
from functools import cache

from crewlog.quantities.parse import Vocabulary
from crewlog.quantities.units import Unit, check_unit_system, factor_between

WHICH_TON = "Which ton: write t (1000 kg), short ton (2000 lb) or long ton (2240 lb)."
ASKED_BACK = {"ton": WHICH_TON, "tons": WHICH_TON, "T": WHICH_TON}  # T stands on shackles for either ton


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of quantity.

    `stored` names the unit of the stored float; `metric` and `us` the symbols shown; `min_value` and `max_value` are in
    the stored unit and catch slips of the hand, a field's own bounds come on top.
    """

    name: str
    stored: str
    units: tuple[Unit, ...]
    metric: str
    us: str
    max_value: float
    min_value: float = 0.0
    fractions: bool = False
    feet_and_inches: bool = False

    def unit(self, symbol: str) -> Unit:
        return next(unit for unit in self.units if unit.symbol == symbol)

    def shown(self, unit_system: str) -> Unit:
        """The unit of a bare number and of output for readers of this unit system."""
        return self.unit(self.us if check_unit_system(unit_system) == "us" else self.metric)

    @property
    def has_masses(self) -> bool:
        return any(unit.symbol == "t" for unit in self.units)


def _unit(
    symbol: str, name: str, stored: str, *spellings: str, places: tuple[tuple[float, int], ...] = ((0.0, 2),)
) -> Unit:
    return Unit(symbol, factor_between(name, stored), spellings, places)


def _masses(stored: str, times: str, *, marked: bool) -> tuple[Unit, ...]:
    """Kilogram, tonne, pound and the two named tons, as masses or as the weights they are marked for."""
    tenth, whole = ((100.0, 0), (0.0, 1)), ((0.0, 0),)
    table = (
        ("kg", "kilogram", ("kgs", "kilogram", "kilograms"), whole if marked else tenth),
        ("t", "metric_ton", ("tonne", "tonnes", "metric ton", "metric tons", "metric tonne"), ((0.0, 3),)),
        ("lb", "pound", ("lbs", "pound", "pounds"), whole if marked else tenth),
        ("short ton", "short_ton", ("short tons", "US ton", "US tons"), ((0.0, 3),)),
        ("long ton", "long_ton", ("long tons", "UK ton", "UK tons"), ((0.0, 3),)),
    )
    return tuple(
        Unit(symbol, factor_between(name + times, stored), spellings, places, marked_load=marked)
        for symbol, name, spellings, places in table
    )


WHOLE = ((0.0, 0),)
ONE = ((0.0, 1),)
METRES = ((10.0, 1), (0.0, 2))
DEGREES = ("deg", "degs", "degree", "degrees", "º")
PER_CENT = ("percent", "per cent", "pct")

FORCE_UNITS = (
    _unit("N", "newton", "newton", "newton", "newtons", places=WHOLE),
    _unit("kN", "kilonewton", "newton", "kilonewton", "kilonewtons"),
    _unit("daN", "decanewton", "newton", places=WHOLE),
    _unit("lbf", "pound_force", "newton", places=WHOLE),
    _unit("kip", "kip", "newton", "kips", places=((0.0, 3),)),
    *_masses("newton", " * standard_gravity", marked=True),
)


def _lengths(stored: str, *, fine: bool) -> tuple[Unit, ...]:
    return (
        _unit("m", "metre", stored, "metre", "metres", "meter", "meters", places=((0.0, 3),) if fine else METRES),
        _unit("cm", "centimetre", stored, "centimetre", "centimetres", "centimeter", "centimeters", places=ONE),
        _unit("mm", "millimetre", stored, "millimetre", "millimetres", "millimeter", "millimeters", places=ONE),
        _unit("ft", "foot", stored, "feet", "foot", "'", places=((0.0, 2),)),
        _unit("in", "inch", stored, "inch", "inches", '"', places=((0.0, 2),)),
    )


KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("force", "newton", FORCE_UNITS, "kN", "lbf", max_value=1e7, fractions=True),
        Kind("hand_force", "newton", FORCE_UNITS, "N", "lbf", max_value=1e5, fractions=True),
        Kind("length", "metre", _lengths("metre", fine=False), "m", "ft", 10_000, fractions=True, feet_and_inches=True),
        Kind(
            "offset",  # a length with a side: forward or back, left or right, above or below
            "metre",
            _lengths("metre", fine=False),
            "m",
            "ft",
            max_value=1_000,
            min_value=-1_000,
            fractions=True,
            feet_and_inches=True,
        ),
        Kind(
            "diameter_stem", "metre", _lengths("metre", fine=True), "cm", "in", 20, fractions=True, feet_and_inches=True
        ),
        Kind("diameter_gear", "millimetre", _lengths("millimetre", fine=True), "mm", "in", 2_000, fractions=True),
        Kind(
            "mass",
            "kilogram",
            (*_masses("kilogram", "", marked=False), _unit("g", "gram", "kilogram", "gram", "grams", places=WHOLE)),
            "kg",
            "lb",
            max_value=1e6,
            fractions=True,
        ),
        Kind(
            "density",
            "kilogram / metre ** 3",
            (
                _unit("kg/m³", "kilogram / metre ** 3", "kilogram / metre ** 3", "kg/m3", places=WHOLE),
                _unit("lb/ft³", "pound / foot ** 3", "kilogram / metre ** 3", "lb/ft3", "lbs/ft3", "pcf", places=ONE),
            ),
            "kg/m³",
            "lb/ft³",
            max_value=3_000,
        ),
        Kind("angle", "degree", (Unit("°", 1.0, DEGREES, ONE),), "°", "°", max_value=360, min_value=-360),
        Kind("bearing", "degree", (Unit("°", 1.0, DEGREES, WHOLE),), "°", "°", max_value=360),
        Kind(
            "slope",
            "degree",
            (Unit("°", 1.0, DEGREES, ONE), Unit("%", 1.0, PER_CENT, ONE, gradient=True)),
            "°",
            "°",
            max_value=89,
            min_value=-89,
        ),
        Kind(
            "wind",
            "metre / second",
            (
                _unit("m/s", "metre / second", "metre / second", "m/sec", "ms⁻¹", places=ONE),
                _unit("km/h", "kilometre / hour", "metre / second", "kmh", "kph", "km/hr", places=ONE),
                _unit("mph", "mile / hour", "metre / second", "mi/h", places=ONE),
                _unit("kn", "knot", "metre / second", "kt", "kts", "knot", "knots", places=ONE),
            ),
            "m/s",
            "mph",
            max_value=100,
        ),
        Kind("percent", "ratio", (Unit("%", 0.01, PER_CENT, WHOLE),), "%", "%", max_value=100),
        Kind("ratio", "ratio", (Unit("", 1.0), Unit("%", 0.01, PER_CENT, WHOLE)), "", "", max_value=100),
        Kind("number", "number", (Unit("", 1.0),), "", "", max_value=1e6),
        Kind(
            "stress",
            "pascal",
            (
                _unit("MPa", "megapascal", "pascal", "N/mm2", "N/mm²", places=ONE),
                _unit("GPa", "gigapascal", "pascal"),
                _unit("psi", "pound_force_per_square_inch", "pascal", places=WHOLE),
            ),
            "MPa",
            "psi",
            max_value=1e12,
        ),
        Kind(
            "elastic_modulus",
            "pascal",
            (
                _unit("GPa", "gigapascal", "pascal"),
                _unit("MPa", "megapascal", "pascal", "N/mm2", "N/mm²", places=WHOLE),
                _unit("psi", "pound_force_per_square_inch", "pascal", places=WHOLE),
            ),
            "GPa",
            "psi",
            max_value=1e12,
        ),
        Kind(
            "area",
            "metre ** 2",
            (
                _unit("m²", "metre ** 2", "metre ** 2", "m2", "sq m", places=((0.0, 2),)),
                _unit("ft²", "foot ** 2", "metre ** 2", "ft2", "sq ft", places=ONE),
            ),
            "m²",
            "ft²",
            max_value=10_000,
        ),
        Kind(
            "stiffness",
            "newton / metre",
            (
                _unit("kN/m", "kilonewton / metre", "newton / metre"),
                _unit("N/m", "newton / metre", "newton / metre", places=WHOLE),
                _unit("lbf/in", "pound_force / inch", "newton / metre", places=ONE),
            ),
            "kN/m",
            "lbf/in",
            max_value=1e9,
        ),
        Kind(
            "moment",
            "newton * metre",
            (
                _unit("kN m", "kilonewton * metre", "newton * metre", "kNm"),
                _unit("lbf ft", "pound_force * foot", "newton * metre", "ft lbf", places=WHOLE),
            ),
            "kN m",
            "lbf ft",
            max_value=1e9,
            min_value=-1e9,
        ),
        Kind(
            "energy",
            "joule",
            (
                _unit("kJ", "kilojoule", "joule"),
                _unit("J", "joule", "joule", places=WHOLE),
                _unit("ft lbf", "pound_force * foot", "joule", places=WHOLE),
            ),
            "kJ",
            "ft lbf",
            max_value=1e9,
        ),
        Kind(
            "duration",
            "second",
            (_unit("s", "second", "second", "second", "seconds", places=WHOLE), _unit("min", "minute", "second")),
            "s",
            "s",
            max_value=1e6,
        ),
        Kind(
            "months",
            "month",
            (
                Unit("months", 1.0, ("month", "mo"), WHOLE),
                Unit("years", 12.0, ("year", "y", "yr", "yrs"), ONE),
            ),
            "months",
            "months",
            max_value=1_200,
        ),
    )
}

EXAMPLES = {
    "force": {"metric": "12.5 kN", "us": "2700 lbf"},
    "hand_force": {"metric": "250 N", "us": "55 lbf"},
    "length": {"metric": "9.5 m", "us": "32 ft 6 in"},
    "offset": {"metric": "0.3 m", "us": "1 ft 2 in"},
    "diameter_stem": {"metric": "45 cm", "us": "14 in"},
    "diameter_gear": {"metric": "12 mm", "us": "5/8 in"},
    "mass": {"metric": "40 kg", "us": "90 lb"},
    "density": {"metric": "900 kg/m³", "us": "56 lb/ft³"},
    "slope": {"metric": "4° or 7 %", "us": "4° or 7 %"},
    "wind": {"metric": "6 m/s", "us": "13 mph"},
    "area": {"metric": "12 m²", "us": "130 ft²"},
    "stress": {"metric": "45 MPa", "us": "6500 psi"},
    "elastic_modulus": {"metric": "8 GPa", "us": "1200000 psi"},
}


def kind_named(name: str) -> Kind:
    if name not in KINDS:
        raise ValueError(f"{name!r} is no kind of quantity: {', '.join(KINDS)}")
    return KINDS[name]


@cache
def vocabulary(name: str, unit_system: str) -> Vocabulary:
    """What a box of this kind understands for a reader of this unit system."""
    kind = kind_named(name)
    shown = kind.shown(unit_system)
    spellings = {spelling: unit.symbol for unit in kind.units for spelling in (unit.symbol, *unit.spellings)}
    example = (
        EXAMPLES.get(name, {}).get(unit_system) or f"12{' ' if shown.symbol not in ('°', '') else ''}{shown.symbol}"
    )
    return Vocabulary(
        spellings={spelling: symbol for spelling, symbol in spellings.items() if spelling},
        default=shown.symbol,
        example=example,
        fractions=kind.fractions,
        feet_and_inches=kind.feet_and_inches,
        asked_back=ASKED_BACK if kind.has_masses else {},
    )
