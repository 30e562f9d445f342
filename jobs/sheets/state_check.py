"""The rows of issued sheets against the snapshots they were issued with."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from django.db.models import Prefetch

from crewlog.evidence import to_plain
from crewlog.evidence.bodies import bodies
from crewlog.models import Company
from jobs.models import Assignment, Duty, IssuedSheet, Sheet
from jobs.models.sheet import HANGS_AS
from jobs.models.snapshot_json import PositionJson, snapshot_of
from jobs.models.values import Json

CHUNK = 200
SHEET_COLUMNS = ("number", "revision", "day", "starts_at", "ends_at")


@dataclass(frozen=True, slots=True)
class Held:
    """What one position holds: an item as it hangs, an anchor by its name, or why it is not used; and alternates."""

    item: int | None = None
    hangs_as: Mapping[str, Json] | None = None
    anchor: str = ""
    not_used: str = ""
    alternates: tuple[str, ...] = ()


EMPTY = Held()  # a position that may stay empty, and did


def sheet_faults(company: Company) -> Iterator[str]:
    """Issued sheets whose day, window, gear or people are not those they were issued with. Queries grow by chunk."""
    issues = (
        IssuedSheet.objects.filter(record__company=company)
        .defer("pdf")
        .select_related("record", "sheet")
        .prefetch_related(
            Prefetch(
                "sheet__assignments", Assignment.objects.select_related("item", "anchor").order_by("role", "rank")
            ),
            Prefetch("sheet__duties", Duty.objects.order_by("duty", "pk")),
        )
        .order_by("pk")
    )
    renamed = former_anchor_names(company)
    for issue in issues.iterator(chunk_size=CHUNK):
        place = f"record {issue.record.sequence}: sheet {issue.sheet.number}, revision {issue.sheet.revision}"
        for what in one_sheet(issue, renamed):
            yield f"{place}, {what}"


def former_anchor_names(company: Company) -> dict[int, set[str]]:
    """Names that an anchor had before somebody changed them on record: a sheet knows its anchors by name."""
    found: dict[int, set[str]] = {}
    for _, said in bodies(company, "jobs.anchor-changed"):
        if "name" in said.get("changes", {}):
            found.setdefault(said["row"], set()).add(said["changes"]["name"][0])
    return found


def one_sheet(issue: IssuedSheet, renamed: Mapping[int, set[str]]) -> Iterator[str]:
    try:
        said = snapshot_of(issue)
        said_sheet, said_path, said_duties = said["sheet"], said["load_path"], said["duties"]
    except (KeyError, TypeError, ValueError):
        yield "was issued with a snapshot that cannot be read"
        return
    for name in SHEET_COLUMNS:
        value = to_plain(getattr(issue.sheet, name))
        if value != said_sheet.get(name):
            yield f"has the {name} {value}, but was issued with {said_sheet.get(name)}"
    said_positions = {row["role"]: position_said(row) for row in said_path}
    issued = {role: holds for role, holds in said_positions.items() if holds != EMPTY}
    hangs = positions_now(issue.sheet, issued, renamed)
    for role in sorted(hangs.keys() | issued.keys()):
        if hangs.get(role) != issued.get(role):
            yield f"does not hold at {role} what it was issued with"
    duties = {plain_duty(d.duty, d.person_id, d.supervisor_id) for d in issue.sheet.duties.all()}
    if duties != {plain_duty(d["duty"], d["person"], d["supervisor"]) for d in said_duties}:
        yield "does not name the people it was issued with"


def positions_now(sheet: Sheet, issued: Mapping[str, Held], renamed: Mapping[int, set[str]]) -> dict[str, Held]:
    """What the rows say of each position, as a snapshot would; an anchor by the name it was issued under."""
    found: dict[str, Held] = {}
    for row in sheet.assignments.all():
        held = found.get(row.role, EMPTY)
        if row.rank:
            alternates = (row.item.tag,) if row.item else ()
            held = replace(held, alternates=held.alternates + alternates)
        elif row.item is not None:
            held = replace(held, item=row.item_id, hangs_as={name: getattr(row, name) for name in HANGS_AS})
        elif row.anchor is not None:
            before = issued.get(row.role, EMPTY).anchor
            held = replace(held, anchor=before if before in renamed.get(row.anchor_id or 0, ()) else row.anchor.name)
        else:
            held = replace(held, not_used=row.not_used)
        found[row.role] = held
    return found


def position_said(row: PositionJson) -> Held:
    """The same of a snapshot's position."""
    held = Held(alternates=tuple(row.get("alternates", ())))
    if "item" in row:
        return replace(held, item=row["item"]["id"], hangs_as=row["as"])
    if "anchor" in row:
        return replace(held, anchor=row["anchor"]["name"])
    return replace(held, not_used=row.get("not_used", ""))


def plain_duty(duty: str, person: object, supervisor: object) -> tuple[str, str, str]:
    return (duty, str(person), str(supervisor) if supervisor else "")
