"""Defects that examinations found and no later one has answered. Standard library only.

A later examination passes the item only with what was mended and by whom, or with a test that shows no defect.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from gear.catalogue.events import EXAMINATIONS, PASSING

WHOLE = "finding"  # a defect that was written of the whole item, at no point
MENDED, RETESTED = "mended", "retested"
CURES = ((MENDED, "Mended"), (RETESTED, "A test shows no defect"))


@dataclass(frozen=True, slots=True)
class Defect:
    """One thing found; `key` is the point or measure it was found at."""

    key: str
    words: str


@dataclass(frozen=True, slots=True)
class Cure:
    """How a defect was answered: what was mended and by whom, or which test shows that there is none."""

    how: str
    words: str
    by: str = ""  # a person's id
    firm: str = ""

    @property
    def is_whole(self) -> bool:
        """Whether it says all it has to."""
        if self.how == RETESTED:
            return bool(self.words.strip())
        return self.how == MENDED and bool(self.words.strip()) and bool(self.by or self.firm.strip())


def defects_in(
    *, answers: Iterable[Mapping[str, Any]], measures: Iterable[Mapping[str, Any]], verdict: str, findings: str
) -> tuple[Defect, ...]:
    """What one inspection found wrong, from its rows as signed."""
    found = [Defect(a["point"], f"{a['words']}: {a['saw']}") for a in answers if a["answer"] != "good"]
    found += [Defect(m["measure"], f"{m['label']}: past its limit") for m in measures if not m["passes"]]
    if not found and verdict in ("remark", "out_of_use"):
        found.append(Defect(WHOLE, findings or "see the inspection"))
    return tuple(found)


def open_defects(examined: Sequence[Any]) -> tuple[Defect, ...]:
    """Defects of inspections that no later passing examination settles, the newest words for each point.

    `examined` are those that stand, as gear/fitness/history.py has them.
    """
    open_ones: dict[str, Defect] = {}
    for row in sorted(examined, key=lambda each: each.sequence):
        later = (each for each in examined if each.sequence > row.sequence and each.on >= row.on)
        if any(each.kind in EXAMINATIONS and each.verdict in PASSING for each in later):
            continue
        open_ones |= {defect.key: defect for defect in row.defects}
    return tuple(open_ones.values())


def uncured(defects: Iterable[Defect], found_again: Iterable[str], cures: Mapping[str, Cure]) -> tuple[Defect, ...]:
    """Open defects that an examination neither found again nor says the cure of."""
    again = set(found_again)
    return tuple(d for d in defects if d.key not in again and not (d.key in cures and cures[d.key].is_whole))
