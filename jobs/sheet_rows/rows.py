"""What a sheet says, as plain rows of figures and words: screens and papers print these and choose among them."""

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from crewlog.pdf.content import Mark
from jobs.wording.felling import felling
from jobs.wording.figure import Figure, Part
from jobs.wording.finding import Finding

BannerKind = Literal["superseded", "withdrawn", "gear-only"]
HungKind = Literal["item", "anchor", "left-out"]


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
class DutyPerson:
    """Somebody in a duty; `place` is their place among the holders of the sheet."""

    name: str
    is_trainee: bool = False
    supervisor: str = ""
    is_competent: bool = True
    place: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """One duty: its full title, the few words of page one, who holds it, and what speaks against that."""

    key: str
    title: str
    short: str
    people: tuple[DutyPerson, ...]
    skill: str = ""
    contact: str = ""
    is_needed: bool = True
    findings: tuple[Finding, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Names as paper prints them."""
        return tuple(f"{each.name} (trainee)" if each.is_trainee else each.name for each in self.people)

    @property
    def supervised_by(self) -> str:
        """Who trains, each once."""
        return ", ".join(sorted({each.supervisor for each in self.people if each.supervisor}))


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPoint:
    """A point at which work waits for a spoken go."""

    go: str
    given_by: str = ""
    detail: str = ""


def hold_points() -> tuple[HoldPoint, ...]:
    """The hold points of a pull in the words of felling in force."""
    return (
        HoldPoint(go="Proof pull done"),
        HoldPoint(go=felling("Notch done, pre-tension read")),
        HoldPoint(go=felling("Back cut may start")),
        HoldPoint(go="Cutter clear, full pull"),
        HoldPoint(go="Stem dead"),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the work; `hold` is the number (from 1) of the hold point that follows it, if one does."""

    text: Part
    who: str = ""
    hold: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """What hangs in a position: an item with its use, an anchor with its estimate, or the reason for nothing."""

    kind: HungKind
    what: str  # description of an item, name of an anchor, reason it is left out
    tag: str = ""
    href: str = ""
    sort: str = ""  # of an anchor: "living tree, oak"
    configuration: str = ""
    half_angle: Figure | None = None  # of a basket
    choke_angle: Figure | None = None
    loaded: str = ""  # where not along its major axis
    examined_on: dt.date | None = None
    due_on: dt.date | None = None
    estimate: Figure | None = None
    estimated_by: str = ""

    @property
    def use_words(self) -> str:
        """How an item is used, as page and paper say it: "basket, 20° a leg"; empty where there is one way only."""
        parts = [self.configuration]
        if self.half_angle is not None:
            parts.append(f"{self.half_angle.value:.0f}° a leg")
        if self.choke_angle is not None:
            parts.append(f"choke {self.choke_angle.value:.0f}°")
        if self.loaded:
            parts.append(f"loaded {self.loaded}")
        return ", ".join(part for part in parts if part)


@dataclass(frozen=True, slots=True)
class Alternate:
    """An item that may hang in a position instead."""

    tag: str
    description: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """What a position carries of what it may, and what hauling on would make of it."""

    load: Figure
    capacity: Figure
    share: Figure
    hauling_on: Figure | None = None
    hauling_on_over: bool = False  # past what the role allows


@dataclass(frozen=True, slots=True, kw_only=True)
class PathRow:
    """One position of the load path, from the stem outward. `load` is known of an empty position too."""

    role: str
    title: str
    group: str  # key of the rope it hangs on
    group_title: str
    icon: str = ""
    is_anchor: bool = False
    is_end: bool = False  # where a rope ends
    is_optional: bool = False
    hung: Hung | None = None
    load: Figure | None = None
    use: Use | None = None
    findings: tuple[Finding, ...] = ()
    alternates: tuple[Alternate, ...] = ()


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
    """A hazard, where it is seen from the stump, what controls it; `power_line` says how a line is made safe."""

    kind: str
    description: str
    where: Part
    control: str
    power_line: str = ""

    @property
    def control_words(self) -> str:
        """How a power line is made safe stands before what else controls it."""
        return ". ".join(part for part in (self.power_line, self.control) if part)


@dataclass(frozen=True, slots=True, kw_only=True)
class AnchorRow:
    """An anchor with its estimate, who made it, when and on what basis; `open_checks` are those not ticked."""

    name: str
    kind: str
    species: str = ""
    estimate: Figure
    made_by: str
    made_at: str = ""
    basis: str
    open_checks: tuple[str, ...] = ()
    position: str = ""
    id: int = 0

    @property
    def checks_words(self) -> str:
        """What was looked at, as page and paper say it."""
        return f"Open: {'; '.join(self.open_checks)}" if self.open_checks else "All three ticked"


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
class Banner:
    """The slab at the head of a sheet that no longer stands, or that gives no felling figures."""

    kind: BannerKind
    title: str
    text: str
