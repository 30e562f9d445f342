"""What a job sheet says, as plain frozen data: text already in the reader's units, drawings from a plan's JSON."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Literal

from crewlog.paper.content import Mark, Signature
from jobs.drawing.figures import Formatter, MetricFormatter, PlanFigures

ADVICE = (
    "Figures are estimates, not instructions. A competent person on site decides; "
    "local law, the maker's instructions and licensed practice come first."
)
NO_FELLING_FIGURES = "No felling figures"

MAX_KEY_FIGURES = 5
PAGE_ONE_CAUTIONS = 5

BannerKind = Literal["superseded", "withdrawn", "gear-only"]
SheetKind = Literal["pull", "gear-only"]


class ContentError(ValueError):
    """The content cannot become a sheet; the message names what is missing or wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Where the job is."""

    job_reference: str
    client: str = ""
    name: str = ""
    address: str
    grid_reference: str
    access: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Emergency:
    """What is read out when it goes wrong, with the rescue plan."""

    number: str
    department: str
    meeting_point: str = ""
    signal: str
    grid_reference: str
    rescue_plan: str
    communication: str
    looked_at: str = ""  # by whom and when all of this was looked at again


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """Who does what. `people` are names as printed; a trainee's supervisor stands in `supervised_by`."""

    duty: str
    people: tuple[str, ...]
    supervised_by: str = ""
    contact: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyFigure:
    """One of the five large figures: label above, number with unit, one line of what governs."""

    label: str
    number: str
    unit: str = ""
    note: str = ""
    stop: bool = False  # the figure at which hauling stops: printed white on black


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPoint:
    """A point at which work waits for a spoken go."""

    go: str
    given_by: str = ""
    detail: str = ""


HOLD_POINTS = (
    HoldPoint(go="Proof pull done"),
    HoldPoint(go="Notch done, pre-tension read"),
    HoldPoint(go="Back cut may start"),
    HoldPoint(go="Cutter clear, full pull"),
    HoldPoint(go="Stem dead"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the work; `hold` is the number (from 1) of the hold point that follows it, if one does."""

    text: str
    who: str = ""
    hold: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFigure:
    """A figure of the plan with the margin or factor that is in it."""

    label: str
    value: str
    margin: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PathRow:
    """One position of the load path, from the stem outward. Ratios in `use` and `hauling_on` are written out."""

    position: str
    tag: str
    item: str
    last_inspection: str
    next_due: str
    capacity: str
    design_load: str
    use: str
    hauling_on: str = ""
    hauling_on_over: bool = False
    is_anchor: bool = False
    alternates: tuple[str, ...] = ()
    group: str = "Pull line"  # a new group starts a rope of its own: side line, restraint


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A caution of the plan, in order of danger."""

    title: str
    text: str
    mark: Mark = "caution"


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """A tick of the rigging checks. Empty `done_by` leaves the box open to be ticked on paper."""

    text: str
    done_by: str = ""
    done_at: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hazard:
    """A hazard with where it is and what controls it."""

    what: str
    where: str
    control: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AnchorRow:
    """An anchor with its estimate, who made it and on what basis."""

    position: str
    name: str
    kind: str
    estimate: str
    made_by: str
    basis: str
    checks: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedInput:
    """An input changed after a refusal."""

    what: str
    before: str
    after: str
    at: str
    refusal: str
    source: str
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reset:
    """One reset of the tackle in its order."""

    when: str
    text: str
    while_tipping: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulRow:
    """One step of a pull: what is done, what holds the line, the line taken in after it, and about how long."""

    number: str
    what: str
    held_by: str
    travel: str
    time: str
    while_tipping: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulTable:
    """The steps of one tackle, with the lines that stand under them."""

    title: str
    rows: tuple[HaulRow, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingLine:
    """One figure with its formula, the numbers put in, the result and the source."""

    name: str
    formula: str
    numbers: str
    result: str
    unit: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingGroup:
    """The working of one subject."""

    title: str
    lines: tuple[WorkingLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A value assumed or defaulted, with its basis."""

    name: str
    value: str
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Seal:
    """What makes the sheet checkable: hash of its snapshot, head of the record chain, address of its page."""

    snapshot_sha256: str
    chain_head: str
    mechanics_version: str
    address: str

    def __post_init__(self) -> None:
        if not re.fullmatch(r"[0-9a-f]{64}", self.snapshot_sha256):
            raise ContentError("snapshot_sha256 is not 64 hexadecimal digits")
        if not self.address.startswith(("https://", "http://")):
            raise ContentError("the sheet's address is not a web address")


@dataclass(frozen=True, slots=True, kw_only=True)
class Banner:
    """The slab at the head of a sheet that no longer stands, or that gives no felling figures."""

    kind: BannerKind
    title: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetContent:
    """Everything on one job sheet. `figures` is None on a gear-only sheet."""

    company: str
    sheet_number: str
    revision: str
    title: str
    kind: SheetKind = "pull"
    day: str
    window: str
    issued: str  # "26 November 2026, 09:14, by ... from plan revision 5"
    site: Site
    emergency: Emergency
    duties: tuple[Duty, ...]
    key_figures: tuple[KeyFigure, ...]
    load_path: tuple[PathRow, ...]
    seal: Seal
    envelope: tuple[str, ...] = ()
    hold_points: tuple[HoldPoint, ...] = HOLD_POINTS
    sequence: tuple[Step, ...] = ()
    plan_figures: tuple[PlanFigure, ...] = ()
    cautions: tuple[Caution, ...] = ()
    checks: tuple[Check, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    anchors: tuple[AnchorRow, ...] = ()
    changed_inputs: tuple[ChangedInput, ...] = ()
    resets: tuple[Reset, ...] = ()
    hauls: tuple[HaulTable, ...] = ()
    working: tuple[WorkingGroup, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    method_statement: str = ""
    signatures: tuple[Signature, ...] = ()
    banner: Banner | None = None
    figures: PlanFigures | None = None
    formatter: Formatter = field(default_factory=MetricFormatter)
    place_words: tuple[tuple[str, str], ...] = ()  # plan place -> words on the drawings

    def __post_init__(self) -> None:
        if len(self.key_figures) > MAX_KEY_FIGURES:
            raise ContentError(f"{len(self.key_figures)} key figures; page one has room for {MAX_KEY_FIGURES}")
        if not self.load_path:
            raise ContentError("a sheet needs its load path")
        if not self.duties:
            raise ContentError("a sheet needs its duties")
        if self.kind == "pull" and self.figures is None:
            raise ContentError("a pull sheet needs the figures of its plan")
        if self.kind == "gear-only" and not self.method_statement:
            raise ContentError("a gear-only sheet needs its method statement")
        last = len(self.hold_points)
        if any(step.hold is not None and not 1 <= step.hold <= last for step in self.sequence):
            raise ContentError("a step names a hold point that the sheet does not have")
