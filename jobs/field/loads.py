"""From the readings of a day to what each item carried, through the plan as it was issued."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from gear.loads.services import Load
from gear.models import GearItem, LoadSource
from jobs.mechanics.plan.measured import loads_at_tension, max_tension_from_hand
from jobs.mechanics.roles import find_role, role_title
from jobs.models import Assignment, IssuedSheet, Reading, ReadingKind
from jobs.models.snapshot_json import snapshot_of
from jobs.plans.request_json import read_request
from jobs.wording.unit_formatter import UnitFormatter

AT_GAUGE = ("tension_gauge", "gauge_connector")
HANGS = {ReadingKind.LINE: "in_line", ReadingKind.HAND: "on_hauling_part"}


@dataclass(frozen=True, slots=True)
class Peak:
    """The greatest tension at the tackle that the readings show, the reading it comes from, and how."""

    tension_n: float
    reading: Reading
    words: str


class IssuedPath:
    """The load path of a sheet as it was issued, with what each position could bear."""

    def __init__(self, issue: IssuedSheet) -> None:
        snapshot = snapshot_of(issue)
        self.plan = read_request(snapshot["request"])
        self.capacity_n = {row["role"]: row["use"]["capacity_n"] for row in snapshot["load_path"] if "use" in row}
        hung = {row["role"]: row["item"]["id"] for row in snapshot["load_path"] if "item" in row}
        self.gauge_id: int | None = hung.get("tension_gauge")

    def reads_itself(self, role: str, reading: Reading) -> bool:
        """Whether a reading is of this position's own load: the line where it was read, and what hangs at the cell."""
        if role == "main_line":
            return reading.kind == ReadingKind.LINE
        at_cell = reading.gauge_id == self.gauge_id and self.plan.tension_gauge == HANGS[ReadingKind(reading.kind)]
        return at_cell and role in AT_GAUGE


def peak_of(path: IssuedPath, readings: Iterable[Reading], write: UnitFormatter) -> Peak | None:
    """The reading that shows the greatest tension; a pull on the tail counts for the most it can have made."""
    peaks = [peak_from(path, reading, write) for reading in readings]
    return max(peaks, key=lambda p: (p.tension_n, p.reading.kind == ReadingKind.LINE), default=None)


def peak_from(path: IssuedPath, reading: Reading, write: UnitFormatter) -> Peak:
    with_cell = f"with {reading.gauge.tag}" + (
        f", which was not fit: {reading.gauge_unfit}" * bool(reading.gauge_unfit)
    )
    if reading.kind == ReadingKind.LINE:
        return Peak(reading.force_n, reading, f"Line read at {write.force(reading.force_n)} {with_cell}")
    max_n = max_tension_from_hand(path.plan, reading.force_n)
    words = f"Tail read at {write.hand(reading.force_n)} {with_cell}: at most {write.force(max_n)} at the tackle"
    return Peak(max_n, reading, words)


def loads_of_day(path: IssuedPath, used: Sequence[Assignment], peak: Peak | None) -> list[Load]:
    """What each used item carried. Side line and restraint are not measured by a reading of the main line."""
    carried_n = loads_at_tension(path.plan, peak.tension_n) if peak is not None else {}
    return [load_of(path, row, row.item, carried_n=carried_n, peak=peak) for row in used if row.item is not None]


def load_of(
    path: IssuedPath, row: Assignment, item: GearItem, *, carried_n: dict[str, float], peak: Peak | None
) -> Load:
    title, role = role_title(row.role), find_role(row.role)
    if peak is None or role is None or role.group != "pull" or row.role not in carried_n:
        return Load(item=item, source=LoadSource.NOT_MEASURED, position=title)
    limit_n, rated = path.capacity_n.get(row.role), ""
    if row.rank > 0:
        limit_n, rated = item.working_limit_n, "; share of its rating, before knots and bends"
    if path.reads_itself(row.role, peak.reading):
        return Load(
            item=item,
            source=LoadSource.MEASURED,
            position=title,
            peak_n=peak.reading.force_n,
            limit_n=limit_n,
            gauge=peak.reading.gauge,
            basis=f"{peak.words}{rated}.",
        )
    return Load(
        item=item,
        source=LoadSource.DERIVED,
        position=title,
        peak_n=carried_n[row.role],
        limit_n=limit_n,
        basis=f"{peak.words}; worked out by the issued plan, while hauling{rated}.",
    )
