"""What a changed input is called, and how its old and new value read."""

from typing import Any

from django.db.models import Model

from crewlog.model_fields import column_of
from jobs.bundle import Bundle
from jobs.mechanics.roles import role_title
from jobs.models import HazardKind
from jobs.reader import Reader, fact_words


def path_words(path: str, bundle: Bundle) -> str:
    prefix, _, name = path.partition(".")
    rows: dict[str, Model] = {"stem": bundle.stem, "plan": bundle.plan}
    if prefix in rows:
        return str(column_of(rows[prefix], name).verbose_name).capitalize()
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


def shown(path: str, value: Any, reader: Reader) -> str:
    """A value in the reader's words and units."""
    if value is None or value in ("", [], {}):
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return list_words(path.partition(".")[0], value, reader)
    if isinstance(value, dict):
        return ", ".join(
            f"{fact_words(name.removesuffix('_mm'))} {figure_words(name, value[name], reader)}"
            for name in sorted(value)
        )
    if path.startswith("anchor."):
        return reader.force_limit(value)
    if isinstance(value, int | float):
        return figure_words(path.rsplit(".", 1)[-1], float(value), reader)
    return str(value).replace("_", " ")


def figure_words(name: str, value: float, reader: Reader) -> str:
    if name.endswith("_mm"):
        return reader.gear_diameter(value)
    if name.endswith(("strength_n", "rating_n", "limit_n")):
        return reader.force_limit(value)
    return reader.fact(name, value)


def list_words(kind: str, values: list[Any], reader: Reader) -> str:
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
