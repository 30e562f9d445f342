"""What a changed input is called, and how its old and new value read."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.db.models import Model

from crewlog.models.fields import column_of
from crewlog.quantities.columns import DeclaredColumn, QuantityColumn, declared_columns
from crewlog.quantities.display import quantity_text
from gear.models import GearItem
from jobs.mechanics.roles import NOT_USED_REASONS, role_title
from jobs.models import HazardKind, PullPlan, Stem
from jobs.models.values import Json
from jobs.plans.data import PlanData
from jobs.wording.felling import felling
from jobs.wording.unit_formatter import UnitFormatter

# Declared columns by the path of the input that they are.
COLUMNS = {
    f"{prefix}.{column.name}": column
    for prefix, model in (("stem", Stem), ("plan", PullPlan))
    for column in declared_columns(model)
}
RATINGS = {column.name: column for column in declared_columns(GearItem)}


def path_words(path: str, plan_data: PlanData) -> str:
    prefix, _, name = path.partition(".")
    rows: dict[str, Model] = {"stem": plan_data.stem, "plan": plan_data.plan}
    if prefix in rows:
        return felling(str(column_of(rows[prefix], name).verbose_name).capitalize())
    if prefix == "anchor":
        return f"{role_title(name)}: estimated strength"
    if prefix == "anchor basis":
        return f"{role_title(name)}: basis of the estimate"
    if prefix == "gear":
        return f"{role_title(name)}: gear"
    if prefix == "rating":
        return f"{name}: figures on record"
    if prefix in ("hazard", "hazard control"):
        named = next((h.description for h in plan_data.hazards if str(h.pk) == name), "struck out")
        return f"{prefix.capitalize()}: {named}"
    return path.replace(".", " ").replace("_", " ").capitalize()


def shown(path: str, value: Json, write: UnitFormatter) -> str:
    """A value in the reader's words and units."""
    if value is None or value in ("", [], {}):
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return f"left out: {NOT_USED_REASONS[value]}" if value in NOT_USED_REASONS else value.replace("_", " ")
    if isinstance(value, Mapping):
        return ", ".join(rating_words(name, value[name], write) for name in sorted(value))
    if isinstance(value, Sequence):
        return list_words(path.partition(".")[0], value, write)
    if path.startswith("anchor."):
        return write.force_limit(value)
    return figure_words(COLUMNS.get(path), value, write)


def rating_words(name: str, value: Json, write: UnitFormatter) -> str:
    """A figure on record of an item: "breaking strength 52.00 kN"."""
    column = RATINGS.get(name)
    words = column.words if column is not None else name.replace("_", " ")
    figure = figure_words(column, value, write) if isinstance(value, int | float) else str(value)
    return f"{words} {figure}"


def figure_words(column: DeclaredColumn[Any, Any] | None, value: float, write: UnitFormatter) -> str:
    """A figure in the unit of its column's kind. Forces of gear are strengths, rounded down; pulls of hands up.

    A bearing is read to a tenth, so that a small change of it is seen. A count, and what no column declares any more,
    is a plain number.
    """
    match column.kind if isinstance(column, QuantityColumn) else "number":
        case "number":
            return f"{value:g}"
        case "force":
            return write.force_limit(value)
        case "hand_force":
            return write.hand(value)
        case "percent" | "ratio":
            return write.percent(value)
        case "bearing":
            return write.angle(value)
        case kind:
            return quantity_text(value, kind, write.unit_system)


def numbers(row: Json) -> tuple[float, ...]:
    """The figures of a row. Raises TypeError for what is none."""
    if not isinstance(row, Sequence) or isinstance(row, str):
        raise TypeError("a row of figures expected")
    return tuple(number(value) for value in row)


def number(value: Json) -> float:
    if isinstance(value, int | float):
        return float(value)
    raise TypeError(f"a figure expected, not {value!r}")


def list_words(kind: str, values: Sequence[Json], write: UnitFormatter) -> str:
    """Rows and places with a unit to each figure, in the order in which `jobs.sheets.changes` watches them."""
    match kind:
        case "sections":
            return "; ".join(f"{write.diameter(d)} at {write.length(h)}" for h, d in map(numbers, values))
        case "crown parts":
            return "; ".join(
                f"{write.mass(mass)} at {write.length(h)}, sail {area:g}\N{NO-BREAK SPACE}m², "
                f"{write.length(forward)} forward, {write.length(left)} left"
                for h, mass, area, forward, left in map(numbers, values)
            )
        case "place":
            (distance_m, azimuth_deg), route = numbers(values[:2]), values[2]
            return f"{write.length(distance_m)}, bearing {azimuth_deg:03.0f}°" + (f", {route}" if route else "")
        case "redirect":
            distance_m, azimuth_deg, slope_deg, height_m = numbers(values)
            slope, height = write.angle(slope_deg), write.length(height_m)
            return f"{write.length(distance_m)}, bearing {azimuth_deg:03.0f}°, slope {slope}, {height} high"
        case "hazard":
            distance_m, bearing_deg = numbers(values[1:3])
            return f"{HazardKind(str(values[0])).label}, {write.length(distance_m)}, bearing {bearing_deg:03.0f}°"
        case _:
            return ", ".join(str(value).replace("_", " ") for value in values if value not in (None, ""))
