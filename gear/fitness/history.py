"""From what is recorded about an item to where it stands. Standard library only.

Evidence is read by two clocks: the day a thing is said to have happened, and its place in the chain. An examination
settles an event only when it came after it by both; an examiner cannot have known of what was entered later.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from gear.catalogue.events import EVENTS_BY_CODE, EXAMINATIONS, PASSING
from gear.fitness.defects import WHOLE, Defect
from gear.fitness.reasons import day_words
from gear.fitness.rules import (
    DECLARATION_MONTHS,
    SET_BY_INSPECTOR,
    Due,
    Interval,
    add_months,
    declaration_counts,
    life_end,
    next_due,
)

LONGEST_REASON = 200


@dataclass(frozen=True, slots=True)
class Examined:
    """One inspection that stands; `sequence` is its place in the chain, of a correction that of what it corrects."""

    sequence: int
    on: dt.date
    kind: str
    verdict: str
    marking_legible: bool = True
    findings: str = ""
    remark_due_on: dt.date | None = None
    next_due_on: dt.date | None = None
    next_due_basis: str = ""
    declaration_dated_on: dt.date | None = None
    residual_strength_ratio: float | None = None
    defects: tuple[Defect, ...] = ()

    @property
    def is_pass(self) -> bool:
        """Whether it is an examination by a competent person that passed the item."""
        return self.kind in EXAMINATIONS and self.verdict in PASSING

    @property
    def is_verdict(self) -> bool:
        """Whether it is an examination by a competent person that came to a verdict, passing or not."""
        return self.kind in EXAMINATIONS and self.verdict != "not_examined"


@dataclass(frozen=True, slots=True)
class Happened:
    """One event or alteration."""

    sequence: int
    on: dt.date
    kind: str
    description: str = ""
    recall: int | None = None
    uses: int = 0


@dataclass(frozen=True, slots=True)
class Found:
    """A failure answered in a round that its examiner has not taken back; `sequence` is that of its first word."""

    sequence: int
    on: dt.date
    because: str
    point: str = ""
    kind: str = ""  # it is no examination: it settles nothing
    verdict: str = "out_of_use"

    @property
    def defects(self) -> tuple[Defect, ...]:
        """What was found, under the point or measure it was found at."""
        return (Defect(self.point or WHOLE, self.because),)


@dataclass(frozen=True, slots=True)
class Ended:
    """A retirement, or the end of an entry that was made by mistake."""

    on: dt.date
    reason: str
    is_mistake: bool = False


@dataclass(frozen=True, slots=True)
class LifeFacts:
    """What is set and known of an item's life and intervals."""

    manufactured_on: dt.date | None = None
    first_used_on: dt.date | None = None
    is_unused: bool = False
    years_from_manufacture: int | None = None
    years_from_first_use: int | None = None
    maker_interval_months: int | None = None
    scheme: tuple[Interval, ...] = ()
    uses_end_at: int | None = None
    overload_share_ratio: float = 1.0


@dataclass(frozen=True, slots=True)
class State:
    """Where an item stands; the names are the columns that keep it."""

    retired_on: dt.date | None
    retired_because: str
    is_mistake: bool
    quarantined_on: dt.date | None
    quarantined_because: str
    examination_pending_since: dt.date | None
    examination_pending_because: str
    pre_service_on: dt.date | None
    pre_service_ends_on: dt.date | None
    last_examined_on: dt.date | None
    next_due_on: dt.date | None
    next_due_basis: str
    remark_due_on: dt.date | None
    remark: str
    life_ends_on: dt.date | None
    life_date_missing: bool
    uses_made: int
    uses_end_at: int | None
    overload_share_ratio: float
    recall_unresolved: bool
    recalled_on: dt.date | None
    marking_illegible: bool
    residual_strength_ratio: float | None


@dataclass(frozen=True, slots=True)
class _Open:
    """Something only a later examination answers; a failed one stands itself in its place."""

    sequence: int
    on: dt.date
    because: str
    is_finding: bool = False


def state_of(
    *,
    examined: Sequence[Examined],
    happened: Sequence[Happened],
    ended: Ended | None,
    life: LifeFacts,
    uses_on_sheets: int = 0,
    found: Sequence[Found] = (),
) -> State:
    """Fold the records of one item into its state. Out of use since the first cause, for the newest finding."""
    takers = list(_takers(examined, happened, found))
    out = _first_unsettled(takers, examined)
    pending = _first_open(_askers(happened), examined)
    remark = _open_remark(examined)
    begun, begun_ends = _pre_service(examined, life)
    due = due_after(examined, life)
    recalled_on = _recalled_on(happened)
    end = life_end(
        years_from_manufacture=life.years_from_manufacture,
        years_from_first_use=life.years_from_first_use,
        manufactured_on=life.manufactured_on,
        first_used_on=life.first_used_on,
        is_unused=life.is_unused,
    )
    done = [e for e in examined if e.kind in EXAMINATIONS and e.verdict != "not_examined"]
    return State(
        retired_on=ended.on if ended else None,
        retired_because=ended.reason if ended else "",
        is_mistake=ended.is_mistake if ended else False,
        quarantined_on=out.on if out else None,
        quarantined_because=newest_reason(_unanswered(takers, examined), out.on) if out else "",
        examination_pending_since=pending.on if pending else None,
        examination_pending_because=pending.because if pending else "",
        pre_service_on=begun,
        pre_service_ends_on=begun_ends,
        last_examined_on=max((e.on for e in done), default=None),
        next_due_on=due.on if due else None,
        next_due_basis=due.basis if due else "",
        remark_due_on=remark.remark_due_on if remark else None,
        remark=shortened(remark.findings or "remark of the examination") if remark else "",
        life_ends_on=end.ends_on,
        life_date_missing=end.date_missing,
        uses_made=sum(h.uses for h in happened) + uses_on_sheets,
        uses_end_at=life.uses_end_at,
        overload_share_ratio=life.overload_share_ratio,
        recall_unresolved=recalled_on is not None,
        recalled_on=recalled_on,
        marking_illegible=_is_illegible(examined, happened),
        residual_strength_ratio=_residual(done),
    )


def shortened(text: str) -> str:
    """Text cut to the length of a reason's column."""
    line = " ".join(text.split()).rstrip(".")
    return line if len(line) <= LONGEST_REASON else f"{line[: LONGEST_REASON - 1]}…"


def _settles(exam: Examined, sequence: int, on: dt.date) -> bool:
    return exam.is_pass and exam.sequence > sequence and exam.on >= on


def _answers(exam: Examined, thing: _Open) -> bool:
    return exam.is_verdict and exam.sequence > thing.sequence and exam.on >= thing.on


def _unanswered(things: Iterable[_Open], examined: Sequence[Examined]) -> list[_Open]:
    """Things that no later examination answers: a pass settles them, a failure is the thing from then on."""
    return [thing for thing in things if not any(_answers(exam, thing) for exam in examined)]


def _first_open(things: Iterable[_Open], examined: Sequence[Examined]) -> _Open | None:
    """The earliest thing that no later examination answers."""
    return min(_unanswered(things, examined), key=lambda t: (t.on, t.sequence), default=None)


def _first_unsettled(things: Iterable[_Open], examined: Sequence[Examined]) -> _Open | None:
    """The earliest thing that no later pass settles."""
    unsettled = [t for t in things if not any(_settles(e, t.sequence, t.on) for e in examined)]
    return min(unsettled, key=lambda t: (t.on, t.sequence), default=None)


def newest_reason(causes: Sequence[_Open], since: dt.date) -> str:
    """The newest finding, or where nothing was found the newest event; with its day where that is not `since`."""
    newest = max(causes, key=lambda cause: (cause.is_finding, cause.sequence))
    if newest.on == since:
        return newest.because
    what, colon, rest = newest.because.partition(":")
    return shortened(f"{what} on {day_words(newest.on)}{colon}{rest}")


def _takers(examined: Iterable[Examined], happened: Iterable[Happened], found: Iterable[Found]) -> Iterable[_Open]:
    """Events, verdicts and failures answered in a round that take an item out of use."""
    for failure in found:
        yield _Open(failure.sequence, failure.on, shortened(f"Failed: {failure.because}"), is_finding=True)
    for event in happened:
        kind = EVENTS_BY_CODE[event.kind]
        if kind.quarantines:
            yield _Open(event.sequence, event.on, shortened(f"{kind.short}: {event.description}"))
    for exam in examined:
        if exam.verdict in ("out_of_use", "retire"):
            words = shortened(f"Failed: {exam.findings or 'see the inspection'}")
            yield _Open(exam.sequence, exam.on, words, is_finding=True)


def _askers(happened: Iterable[Happened]) -> Iterable[_Open]:
    """Events and alterations that ask for an examination."""
    for event in happened:
        kind = EVENTS_BY_CODE[event.kind]
        if kind.requires_examination:
            yield _Open(event.sequence, event.on, shortened(f"{kind.short}: {event.description}"))


def _open_remark(examined: Sequence[Examined]) -> Examined | None:
    """The remark that falls due first and that no later examination settles."""
    remarks = [e for e in examined if e.remark_due_on is not None]
    unsettled = [r for r in remarks if not any(_settles(e, r.sequence, r.on) for e in examined if e is not r)]
    return min(unsettled, key=lambda r: (r.remark_due_on or r.on, r.sequence), default=None)


def _starts_service(exam: Examined, life: LifeFacts) -> bool:
    """Whether it is a passed thorough examination, or a declaration that counts as the one before first use."""
    if exam.kind == "declaration":
        dated = exam.declaration_dated_on or exam.on
        return exam.verdict in PASSING and declaration_counts(
            dated_on=dated, first_used_on=life.first_used_on, is_unused=life.is_unused
        )
    return exam.kind == "thorough" and exam.verdict in PASSING


def _pre_service(examined: Iterable[Examined], life: LifeFacts) -> tuple[dt.date | None, dt.date | None]:
    """The first day it may serve, and the last one where an unused item rests on a declaration alone."""
    starts = [e for e in examined if _starts_service(e, life)]
    if not starts:
        return None, None
    begun = min(e.on for e in starts)
    if not life.is_unused or any(e.kind == "thorough" for e in starts):
        return begun, None
    return begun, max(add_months(e.declaration_dated_on or e.on, DECLARATION_MONTHS) for e in starts)


def due_after(examined: Iterable[Examined], life: LifeFacts) -> Due | None:
    """The next due date after what has been examined; None where nothing counts or nothing sets an interval."""
    passed = [e for e in examined if e.verdict in PASSING]
    base = max((e.on for e in passed if _starts_service(e, life)), default=None)
    if base is None:
        return None
    shorter = [
        e.next_due_on
        for e in passed
        if e.next_due_on is not None and e.next_due_basis == SET_BY_INSPECTOR and e.on >= base
    ]
    return next_due(
        examined_on=base,
        scheme=life.scheme,
        maker_months=life.maker_interval_months,
        inspector_set=min(shorter, default=None),
        interim_on=max((e.on for e in passed if e.kind == "interim"), default=None),
    )


def _recalled_on(happened: Iterable[Happened]) -> dt.date | None:
    """The day of the earliest recall that stands open."""
    opened: dict[int, Happened] = {}
    for event in sorted(happened, key=lambda h: h.sequence):
        if event.recall is None:
            continue
        if event.kind == "recall":
            opened[event.recall] = event
        elif event.kind == "recall_resolved":
            opened.pop(event.recall, None)
    return min((event.on for event in opened.values()), default=None)


def _is_illegible(examined: Sequence[Examined], happened: Iterable[Happened]) -> bool:
    """Whether the marking was found illegible and no later examination could read it."""
    found = [(h.sequence, h.on) for h in happened if h.kind == "marking_illegible"]
    found += [(e.sequence, e.on) for e in examined if not e.marking_legible]
    readers = [e for e in examined if e.marking_legible]
    return any(not any(_settles(reader, sequence, on) for reader in readers) for sequence, on in found)


def _residual(done: Iterable[Examined]) -> float | None:
    """The remaining strength the last examination that gave one set."""
    given = [e for e in done if e.residual_strength_ratio is not None]
    last = max(given, key=lambda e: (e.on, e.sequence), default=None)
    return last.residual_strength_ratio if last else None
