"""Whether a figure passes, said while it is typed."""

from typing import Any

from crewlog.quantities.number_style import decimal_mark
from crewlog.quantities.parse import QuantityTextError
from crewlog.quantities.typed import read_quantity
from gear.catalogue.wear import WearMeasure
from gear.examinations.measure_words import KIND_OF_UNIT
from gear.models import GearItem


def measure_says(item: GearItem, measure: WearMeasure, typed: str, unit_system: str) -> dict[str, Any]:
    """Whether a measure as typed passes, or why it cannot be read."""
    says: dict[str, Any] = {"name": measure.name, "typed": typed.strip()}
    if not typed.strip():
        return says
    try:
        read = read_quantity(typed, KIND_OF_UNIT[measure.unit], unit_system, mark=decimal_mark())
    except QuantityTextError as error:
        return says | {"fault": error.message}
    return says | {"passes": measure.passes(read.value, when_new(item, measure)), "has_limit": measure.has_limit}


def when_new(item: GearItem, measure: WearMeasure) -> float | None:
    """The item's own figure that a measure is compared with; None where there is none or it is unknown."""
    return getattr(item, measure.of) if measure.of else None
