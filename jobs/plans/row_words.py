"""Child rows of a form in words, for the comparison of two saves."""

from collections.abc import Mapping, Sequence

from jobs.models import Place, Redirect
from jobs.models.values import Json
from jobs.plans.labels import list_words
from jobs.wording.unit_formatter import UnitFormatter


def rows_words(name: str, rows: Sequence[Mapping[str, Json]], write: UnitFormatter) -> str:
    """Sizes, crown parts, redirects or places, each figure with its unit."""
    if not rows:
        return "none"
    match name:
        case "sections":
            return list_words("sections", [[row["height_m"], row["diameter_m"]] for row in rows], write)
        case "crown_parts":
            names = ("height_m", "mass_kg", "frontal_area_m2", "forward_m", "left_m")
            return list_words("crown parts", [[row[each] for each in names] for row in rows], write)
        case "places":
            return "; ".join(place_words(row, write) for row in rows)
        case "redirects":
            return "; ".join(redirect_words(row, write) for row in rows)
        case _:
            raise ValueError(f"no words for rows named {name!r}")


def place_words(row: Mapping[str, Json], write: UnitFormatter) -> str:
    where = list_words("place", [row["distance_m"], row["azimuth_deg"], row["escape_route"]], write)
    return f"{Place.Kind(str(row['place'])).label}: {where}"


def redirect_words(row: Mapping[str, Json], write: UnitFormatter) -> str:
    where = list_words("redirect", [row["distance_m"], row["azimuth_deg"], row["slope_deg"], row["height_m"]], write)
    line = "Side line" if row["line"] == Redirect.Line.SIDE else "Line"
    return f"{line} {row['number']}: {Redirect.Kind(str(row['kind'])).label.lower()}, {where}"
