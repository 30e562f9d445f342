"""What a changed input is called, and how its old and new value read."""

from typing import Any

from django.db.models import Model

from crewlog.columns import QuantityColumn
from crewlog.quantity_kinds import Kind, kind_named
from jobs.bundle import Bundle
from jobs.figure import (
    ANGLE,
    AS_IS,
    FORCE,
    GEAR_DIAMETER,
    HAND_FORCE,
    LENGTH,
    LIMIT,
    LOAD,
    NUMBER,
    SHARE,
    Figure,
    Rounding,
    words,
)
from jobs.mechanics.roles import role_title
from jobs.models import HazardKind, PullPlan, Stem
from jobs.unit_formatter import UnitFormatter

# How figures on record of an item are called and read in a change, for every one that is watched.
RATINGS: dict[str, tuple[str, Kind, Rounding]] = {
    "working_load_limit_n": ("working load limit", FORCE, LIMIT),
    "breaking_strength_n": ("breaking strength", FORCE, LIMIT),
    "vertical_rating_n": ("vertical rating", FORCE, LIMIT),
    "choker_rating_n": ("choker rating", FORCE, LIMIT),
    "basket_rating_n": ("basket rating", FORCE, LIMIT),
    "minor_axis_strength_n": ("minor axis strength", FORCE, LIMIT),
    "residual_strength_ratio": ("residual strength", SHARE, LOAD),
    "design_factor": ("design factor", NUMBER, AS_IS),
    "diameter_mm": ("diameter", GEAR_DIAMETER, AS_IS),
    "length_m": ("length", LENGTH, AS_IS),
}
# Kinds of columns that a change reads otherwise than as they are measured.
KINDS_READ: dict[str, tuple[Kind, Rounding]] = {
    "bearing": (ANGLE, AS_IS),
    "slope": (ANGLE, AS_IS),
    "density": (NUMBER, AS_IS),
    "diameter_stem": (LENGTH, AS_IS),
    "hand_force": (HAND_FORCE, LOAD),
    "percent": (SHARE, LOAD),
}
MODELS: dict[str, type[Model]] = {"stem": Stem, "plan": PullPlan}


def path_words(path: str, bundle: Bundle) -> str:
    prefix, _, name = path.partition(".")
    rows: dict[str, Model] = {"stem": bundle.stem, "plan": bundle.plan}
    if prefix in rows:
        return str(rows[prefix]._meta.get_field(name).verbose_name).capitalize()  # type: ignore[union-attr]
    if prefix == "anchor":
        return f"{role_title(name)}: estimated strength"
    if prefix == "anchor basis":
        return f"{role_title(name)}: basis of the estimate"
    if prefix == "gear":
        return f"{role_title(name)}: what hangs there"
    if prefix == "rating":
        return f"{name}: figures on record"
    if prefix in ("hazard", "hazard control"):
        named = next((h.description for h in bundle.hazards if str(h.pk) == name), "struck out")
        return f"{prefix.capitalize()}: {named}"
    return path.replace(".", " ").replace("_", " ").capitalize()


def shown(path: str, value: Any, reader: UnitFormatter) -> str:
    """A value in the reader's words and units."""
    if value is None or value in ("", [], {}):
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return list_words(path.partition(".")[0], value, reader)
    if isinstance(value, dict):
        return ", ".join(
            reader.text(words("{} {}", RATINGS[name][0], Figure(name, value[name], *RATINGS[name][1:])))
            for name in sorted(value)
        )
    if path.startswith("anchor."):
        return reader.force_limit(value)
    if isinstance(value, int | float):
        return reader.text(Figure(path, float(value), *read_as(path)))
    return str(value).replace("_", " ")


def read_as(path: str) -> tuple[Kind, Rounding]:
    """How a figure of stem or plan is read: by the kind of its column; a count is a plain number."""
    prefix, _, name = path.partition(".")
    model = MODELS.get(prefix)
    column = model._meta.get_field(name) if model is not None else None
    if not isinstance(column, QuantityColumn):
        return NUMBER, AS_IS
    return KINDS_READ.get(column.kind, (kind_named(column.kind), AS_IS))


def list_words(kind: str, values: list[Any], reader: UnitFormatter) -> str:
    """Rows and places with a unit to each figure."""
    match kind:
        case "sections":
            return "; ".join(f"{reader.diameter(d)} at {reader.length(h)}" for h, d in values)
        case "crown parts":
            return "; ".join(
                f"{reader.mass(mass)} at {reader.length(h)}, sail {area:g}\N{NO-BREAK SPACE}m², "
                f"{reader.length(forward)} forward, {reader.length(left)} left"
                for h, mass, area, forward, left in values
            )
        case "place":
            route = f", {values[2]}" if values[2] else ""
            return f"{reader.length(values[0])}, bearing {values[1]:03.0f}°{route}"
        case "redirect":
            slope, height = reader.angle(values[2]), reader.length(values[3])
            return f"{reader.length(values[0])}, bearing {values[1]:03.0f}°, slope {slope}, {height} high"
        case "hazard":
            return f"{HazardKind(values[0]).label}, {reader.length(values[1])}, bearing {values[2]:03.0f}°"
        case _:
            return ", ".join(str(value).replace("_", " ") for value in values if value not in (None, ""))
