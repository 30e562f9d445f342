"""Everything on one job sheet as plain frozen data: rows of figures and words, drawings from a plan's JSON."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Literal

from crewlog.pdf.content import Signature
from jobs.drawing.figures import PlanFigures
from jobs.mechanics.sources import Source
from jobs.plans.presentation import Assumption, HaulTable, KeyFigure, PartRow, PlanFigure, Reset, WorkingGroup
from jobs.sheet_rows.rows import (
    AnchorRow,
    Banner,
    Caution,
    ChangedInput,
    Check,
    Duty,
    Emergency,
    Hazard,
    HoldPoint,
    PathRow,
    Site,
    Step,
    hold_points,
)
from jobs.wording.figure import Part
from jobs.wording.unit_formatter import UnitFormatter

MAX_KEY_FIGURES = 5

SheetKind = Literal["pull", "gear-only"]


class ContentError(ValueError):
    """The content cannot become a sheet; the message names what is missing or wrong."""


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
class SheetContent:
    """Everything on one job sheet. `figures` is None on a gear-only sheet; `write` is how its readers read figures."""

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
    envelope: tuple[Part, ...] = ()
    hold_points: tuple[HoldPoint, ...] = field(default_factory=hold_points)
    sequence: tuple[Step, ...] = ()
    plan_figures: tuple[PlanFigure, ...] = ()
    cautions: tuple[Caution, ...] = ()
    checks: tuple[Check, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    anchors: tuple[AnchorRow, ...] = ()
    changed_inputs: tuple[ChangedInput, ...] = ()
    parts: tuple[PartRow, ...] = ()
    resets: tuple[Reset, ...] = ()
    hauls: tuple[HaulTable, ...] = ()
    haul_times: Part = ""
    working: tuple[WorkingGroup, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    sources: tuple[Source, ...] = ()
    method_statement: str = ""
    signatures: tuple[Signature, ...] = ()
    banner: Banner | None = None
    figures: PlanFigures | None = None
    write: UnitFormatter = field(default_factory=lambda: UnitFormatter("metric"))
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
