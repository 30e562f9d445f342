"""What a worked plan says, as plain rows of figures and words: pages and papers print these and choose among them.

No row holds text that has been rounded or put into units; `jobs.wording.unit_formatter` does that as the last step.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from jobs.wording.figure import Band, Count, Figure, Part

KeyName = Literal["needed", "hand", "aim", "proof", "resets", "stop", "tail", "band", "full", "wind"]
KeyValue = Figure | Band | Count | str

# What one looks for while planning, and what a crew works to: the plan's page, and page one of the sheet.
TO_PLAN_BY: tuple[KeyName, ...] = ("needed", "hand", "aim", "proof", "resets")
TO_WORK_BY: tuple[KeyName, ...] = ("stop", "tail", "band", "full", "wind")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyFigure:
    """One of the large figures: label, value, and one line of what governs; `refused_by` are the codes against it."""

    key: KeyName
    label: str
    value: KeyValue
    note: Part = ""
    stop: bool = False  # the figure at which hauling stops: printed white on black
    refused_by: frozenset[str] = frozenset()


def chosen(figures: Iterable[KeyFigure], keys: tuple[KeyName, ...]) -> tuple[KeyFigure, ...]:
    """The figures of these names, in their order."""
    by_key = {figure.key: figure for figure in figures}
    return tuple(by_key[key] for key in keys if key in by_key)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFigure:
    """A figure of the plan with the margin or factor that is in it."""

    label: str
    value: Part
    margin: Part = ""
    note: Part = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """Tension in one part of a tackle, from the hand (1) to the becket, as it stands, lowers and is hauled."""

    stage: int  # of so many tackles, from 1
    stages: int
    number: int
    is_becket: bool
    hauling: Figure
    lowering: Figure
    cleated: Figure

    @property
    def is_hand(self) -> bool:
        return self.number == 1


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulRow:
    """One step of a pull: what is done, what holds the line, the line taken in after it, and about how long."""

    number: int
    what: Part
    held_by: str
    travel: Figure
    time: Figure
    while_tipping: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HaulTable:
    """The steps of one tackle, what they come to, and what other set-backs would."""

    title: str
    rows: tuple[HaulRow, ...]
    total: Part
    choices: tuple[Part, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reset:
    """One reset of the tackle in its order."""

    when: Part
    text: str
    while_tipping: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingLine:
    """One figure with its formula, the numbers put in, the result and the source, in SI as the mechanics write it."""

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
    """A value assumed or defaulted, in the unit it was declared in ("1" for none), with what it rests on."""

    id: str
    name: str
    value: float
    unit: str
    basis: str
    note: str
    source: str = ""
