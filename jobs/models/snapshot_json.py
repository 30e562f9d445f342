"""What a snapshot holds, key by key: the JSON an issued sheet rests on. `jobs.sheets.snapshot` writes it.

Keys that came later are missing in snapshots issued before them, so a reader asks for those with `get`.
"""

import json
from typing import NotRequired, TypedDict, cast

from jobs.models import IssuedSheet
from jobs.models.values import Json

LimitsJson = dict[str, dict[str, float]]


class WindowJson(TypedDict):
    """The sheet itself; days and times as ISO 8601."""

    number: str
    revision: int
    day: Json
    starts_at: Json
    ends_at: Json


class JobJson(TypedDict):
    """The job on its day of issue."""

    reference: str
    site: str
    first_day: Json
    last_day: Json


class UseJson(TypedDict):
    """Load against capacity in one position [N]."""

    load_n: float
    capacity_n: float
    utilisation_ratio: float
    overhaul_utilisation_ratio: float | None


ItemJson = TypedDict(
    "ItemJson",
    {
        "id": int,
        "tag": str,
        "class": str,
        "description": str,
        "serial": str,
        "facts": dict[str, Json],
        "last_examined_on": Json,
        "reasons": list[str],
    },
)


class AnchorJson(TypedDict):
    """An anchor with a person's estimate of what it bears."""

    name: str
    kind: str
    estimate_n: float
    estimated_by: Json
    estimated_at: Json
    basis: str


PositionJson = TypedDict(
    "PositionJson",
    {
        "role": str,
        "load_n": float | None,
        "use": NotRequired[UseJson],
        "item": NotRequired[ItemJson],
        "as": NotRequired[dict[str, Json]],
        "anchor": NotRequired[AnchorJson],
        "not_used": NotRequired[str],
        "alternates": NotRequired[list[str]],
    },
)


class DutyJson(TypedDict):
    """Who does what, by opaque id."""

    duty: str
    person: Json
    supervisor: Json


class HazardJson(TypedDict):
    """Something near the stem."""

    kind: str
    distance_m: float
    bearing_deg: float
    control: str


class FigureJson(TypedDict):
    """A figure as it was printed, in words and units."""

    label: str
    number: str
    unit: str
    note: str
    stop: bool


class SnapshotJson(TypedDict):
    """Everything; `request` and `as_written` are requests of the topic `plan`, read with `read_request`."""

    format: int
    sheet: WindowJson
    job: JobJson
    lead: Json
    gear_fit_until: Json
    mechanics_version: str
    request: Json
    results: Json
    corner: dict[str, float]
    as_written: Json
    band_n: dict[str, float]
    figures: NotRequired[list[FigureJson]]
    reading_limits: NotRequired[LimitsJson]
    cautions: list[dict[str, Json]]
    load_path: list[PositionJson]
    duties: list[DutyJson]
    hazards: list[HazardJson]
    changes: NotRequired[list[dict[str, Json]]]
    looked_at_again: NotRequired[list[str]]


def snapshot_of(issue: IssuedSheet) -> SnapshotJson:
    """The snapshot a sheet was issued with. Raises ValueError for text that is no JSON."""
    return cast(SnapshotJson, json.loads(issue.snapshot))
