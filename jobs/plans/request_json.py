"""A plan's input as the JSON that a snapshot, a revision and `solve_plan` hold, and back.

What was answered is written even where it is the mechanics' own default; what nobody is asked is left out, so that a
request holds what the plan says and no more.
"""

from collections.abc import Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from typing import TYPE_CHECKING, Any

from jobs.mechanics.convert import from_json, to_json
from jobs.mechanics.hinge import Hinge
from jobs.mechanics.line import Line, Redirect, SitePoint
from jobs.mechanics.plan.input import Place, PlanInput, PlanTravel, PlanUncertainty
from jobs.mechanics.plan.result import PlanResult
from jobs.mechanics.ratings import Item
from jobs.mechanics.restraint import Restraint
from jobs.mechanics.roles import ANCHOR_KINDS
from jobs.mechanics.stem import CrownLump, Tree
from jobs.mechanics.tackle import Stage
from jobs.mechanics.wind import Wind
from jobs.mechanics.window import WindowOptions
from jobs.models.values import Json

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

PLACED = {"slope_deg", "height_m"}
LENGTHS = {"extended_length_m", "two_blocked_length_m", "setback_m"}

# Fields with a default that are answered all the same, by the class they belong to.
ANSWERED: Mapping[type, set[str]] = {
    Tree: {"bark_thickness_m", "green_density_kg_m3", "lean_deg", "lean_azimuth_deg", "tree_height_m", "decay"},
    CrownLump: {"forward_m", "left_m", "frontal_area_m2"},
    Hinge: {"notch_depth_ratio", "notch_opening_deg", "split_prone"},
    Line: {"sound_wood_height_m", "redirects"},
    SitePoint: PLACED,
    Wind: {"gust_m_s", "working_limit_m_s"},
    WindowOptions: {"method"},
    Stage: {"sheave_efficiency"},
    Place: {"exempt"},
    PlanTravel: {"slack_m", *LENGTHS},
    Restraint: {"rope", "length_m", "slack_m"},
    PlanUncertainty: {"samples", "seed", "distributions"},
    PlanInput: {entry.name for entry in fields(PlanInput)}
    - {"margins", "side_line", "uncertainty", "travel", "bollard", "restraint"},
}


def request_json(plan_input: PlanInput) -> dict[str, Json]:
    """The `plan` request that gives this input again (`read_request`), with the keys of the JSON interface."""
    written = _record(plan_input)
    first = plan_input.stages[0]
    stages = [_record(stage) for stage in plan_input.stages]
    stages[0] |= {name: to_json(getattr(first, name)) for name in ("cleat_on", *LENGTHS)}
    return written | {"stages": list[Json](stages)}


def read_request(request: object) -> PlanInput:
    """A request as the plan's input. Raises FormatError for one that this version of the mechanics does not read."""
    plan_input: PlanInput = from_json(PlanInput, request, "inputs")
    return plan_input


def results_json(result: PlanResult | None) -> dict[str, Json]:
    """A result with the keys of the JSON interface; empty where there is none."""
    return dict(to_json(result)) if result is not None else {}


def _record(owner: "DataclassInstance") -> dict[str, Json]:
    answered = ANSWERED.get(type(owner), set()) | _answered_here(owner)
    return {
        entry.name: _value(getattr(owner, entry.name))
        for entry in fields(owner)
        if entry.name in answered or not _is_default(entry, owner)
    }


def _answered_here(owner: object) -> set[str]:
    """What is answered of one thing and not of others of its class: how a sling hangs, what turns the line."""
    if isinstance(owner, Redirect):
        return {*PLACED, "efficiency" if owner.kind == "sheave" else "friction_coeff"}
    if not isinstance(owner, Item) or owner.kind in ANCHOR_KINDS:
        return set()
    asked = {"loaded"}
    if owner.kind == "sling":
        asked.add("configuration")
    return asked | ({"choke_angle_deg"} if owner.configuration == "choker" else set())


def _is_default(entry: Field[Any], owner: object) -> bool:
    value = getattr(owner, entry.name)
    if entry.default is not MISSING:
        return bool(value == entry.default)
    return entry.default_factory is not MISSING and bool(value == entry.default_factory())


def _value(value: object) -> Json:
    if isinstance(value, Mapping):
        return {key: _value(item) for key, item in value.items()}
    if isinstance(value, tuple):
        return [_value(item) for item in value]
    if is_dataclass(value) and not isinstance(value, type):
        return _record(value)
    plain: Json = to_json(value)
    return plain
