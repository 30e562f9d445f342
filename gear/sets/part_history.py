"""Which part was in which tackle set from when until when. Standard library only."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Move:
    """A part put into a set or taken out of it; `sequence` orders what happened on one day."""

    part: int
    assembly: int
    is_in: bool
    on: dt.date
    sequence: int


@dataclass(frozen=True, slots=True)
class Stay:
    """A part in a set from a day on; `until` is the day it was taken out, None while it is there."""

    part: int
    assembly: int
    since: dt.date
    until: dt.date | None = None

    def covers(self, day: dt.date) -> bool:
        """Whether the part was in the set when the day ended."""
        return self.since <= day and (self.until is None or day < self.until)

    def touches(self, day: dt.date) -> bool:
        """Whether the part was in the set at any hour of the day."""
        return self.since <= day and (self.until is None or day <= self.until)


class PartClashError(ValueError):
    """A move that the ones before it leave no room for; `inside` is the set the part was in then, if any."""

    def __init__(self, move: Move, inside: int | None) -> None:
        super().__init__(f"{move} does not follow: the part was in {inside}")
        self.move = move
        self.inside = inside


def first_stay(*, part: int, present: int | None, registered_on: dt.date, first: Move | None) -> Stay | None:
    """Where a part was before anything was recorded of it: in the set it was registered into.

    `first` is the first move ever entered. One that takes it out says where it had been; with none, `present` does.
    """
    if first is None:
        return Stay(part, present, registered_on) if present is not None else None
    return None if first.is_in else Stay(part, first.assembly, registered_on)


def stays_of(moves: Iterable[Move], begun: Stay | None) -> list[Stay]:
    """A part's stays in the order of days. Raises PartClashError where it would be in two sets, or leave one it is
    not in.
    """
    stays: list[Stay] = []
    open_stay = begun
    for move in sorted(moves, key=lambda m: (m.on, m.sequence)):
        if move.is_in:
            if open_stay is not None:
                raise PartClashError(move, open_stay.assembly)
            open_stay = Stay(move.part, move.assembly, move.on)
        else:
            if open_stay is None or open_stay.assembly != move.assembly or move.on < open_stay.since:
                raise PartClashError(move, open_stay.assembly if open_stay else None)
            stays.append(Stay(move.part, move.assembly, open_stay.since, move.on))
            open_stay = None
    return stays if open_stay is None else [*stays, open_stay]


def where_now(stays: Sequence[Stay]) -> int | None:
    """The set a part is in today, None for none."""
    return stays[-1].assembly if stays and stays[-1].until is None else None
