"""The parts of a plan's form, and which columns stand in each."""

from collections.abc import Mapping

from crewlog.quantities.columns import declared_columns
from jobs.models import PullPlan

# A part begins with this column and goes on in the order of the model, up to where the next begins.
BEGINS = {
    "lay_azimuth_deg": "hinge",
    "attach_height_m": "line",
    "parts": "tackle",
    "gust_m_s": "wind",
    "backup_anchor": "holding",
    "side_line": "side",
    "restraint": "restraint",
    "attach_tolerance_m": "tolerances",
}
# What the parts are called on the page.
TITLES = {
    "hinge": "Hinge and notch",
    "line": "Line",
    "tackle": "Tackle and crew",
    "wind": "Wind",
    "holding": "Holding",
    "side": "Side line",
    "restraint": "Restraint line",
    "places": "Where people stand",
    "tolerances": "Valid while",
}


def columns_by_group() -> dict[str, tuple[str, ...]]:
    groups: dict[str, tuple[str, ...]] = {}
    group = ""
    for column in declared_columns(PullPlan):
        group = BEGINS.get(column.name, group)
        groups[group] = (*groups.get(group, ()), column.name)
    return groups


GROUPS: Mapping[str, tuple[str, ...]] = columns_by_group()
