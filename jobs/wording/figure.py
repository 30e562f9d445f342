"""A figure as a value: its quantity, the side it is rounded to, and where it is read. Words that hold figures.

Plain data, standard library and kinds of quantity only: what screens and papers print is made of it, and
`jobs.wording.unit_formatter` turns it into text as the last step.
"""

from dataclasses import dataclass
from enum import StrEnum

from crewlog.quantities.kinds import Kind, kind_named
from crewlog.quantities.units import Direction

FORCE = kind_named("force")
HAND_FORCE = kind_named("hand_force")
LENGTH = kind_named("length")
DIAMETER = kind_named("diameter_stem")
GEAR_DIAMETER = kind_named("diameter_gear")
MASS = kind_named("mass")
WIND = kind_named("wind")
ANGLE = kind_named("angle")
BEARING = kind_named("bearing")
SHARE = kind_named("percent")
FACTOR = kind_named("ratio")
NUMBER = kind_named("number")
MOMENT = kind_named("moment")
STRESS = kind_named("stress")
ENERGY = kind_named("energy")
AREA = kind_named("area")
DURATION = kind_named("duration")


Rounding = Direction
LOAD: Rounding = "up"
LIMIT: Rounding = "down"
AS_IS: Rounding = "nearest"  # what was measured or set


class At(StrEnum):
    """Where a figure is read or holds; most figures of gear and ground have no such place."""

    NOWHERE = ""
    STEM = "at the stem"
    TACKLE = "at the tackle"
    GAUGE = "on the gauge"
    HANDS = "at the hands"


NOWHERE, STEM, TACKLE, GAUGE, HANDS = At.NOWHERE, At.STEM, At.TACKLE, At.GAUGE, At.HANDS


@dataclass(frozen=True, slots=True)
class Figure:
    """One quantity: what it is, its value in the stored unit of its kind, how it is rounded, where it is read."""

    name: str
    value: float
    kind: Kind
    rounding: Rounding = AS_IS
    at: At = NOWHERE


@dataclass(frozen=True, slots=True)
class Band:
    """From a minimum to a maximum, printed as one figure: "0.41–2.69 kN"."""

    minimum: Figure
    maximum: Figure


@dataclass(frozen=True, slots=True)
class Count:
    """So many of something: "4 people"; without a word the number alone."""

    number: int
    of: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """A sentence with figures in it: `template` has a {} for each of `parts`, which are formatted last."""

    template: str
    parts: "tuple[Part, ...]"


Part = str | int | Figure | Band | Count | Words


def words(template: str, *parts: Part) -> Words:
    """A sentence of constant words and figures. What people typed is a part, never the template."""
    return Words(template, parts)
