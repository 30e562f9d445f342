"""A measure of wear in words, in the company's units."""

from crewlog.quantities.display import quantity_text
from gear.catalogue.wear import WearMeasure

KIND_OF_UNIT = {"mm": "diameter_gear", "m": "length", "%": "percent"}


def past_words(measure: WearMeasure, value: float, new: float | None, unit_system: str) -> str:
    """Diameter 12.5 mm, limit at least 12.6 mm. Rounded away from the limit, so that the two never read alike."""
    kind = KIND_OF_UNIT[measure.unit]
    min_value = measure.min_value(new)
    if min_value is not None and value < min_value:
        found = quantity_text(value, kind, unit_system, direction="down")
        limit = f"at least {quantity_text(min_value, kind, unit_system, direction='up')}"
    else:
        found = quantity_text(value, kind, unit_system, direction="up")
        limit = f"at most {quantity_text(measure.max_value or 0.0, kind, unit_system, direction='down')}"
    return f"{measure.label} {found}, limit {limit}"
