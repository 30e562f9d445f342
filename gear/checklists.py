"""Checklists by class. Standard library only."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Point:
    """One point of a checklist; `code` never changes its meaning within a version."""

    code: str
    words: str
    hint: str
    source: str


@dataclass(frozen=True, slots=True)
class Checklist:
    """The points of one class in one version."""

    gear_class: str
    version: int
    points: tuple[Point, ...]

    @property
    def label(self) -> str:
        return f"{self.gear_class} {self.version}"


CHECKLISTS: dict[str, Checklist] = {}
