"""The load path on a page: what hangs where, what it carries, what speaks against it, in the reader's words."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from crewlog.web.ui_rows import MarkKind
from gear.models import GearItem
from jobs.sheet_rows.rows import PathRow
from jobs.sheets.path_order import GROUP_TITLES
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter


@dataclass(frozen=True, slots=True, kw_only=True)
class PathLine:
    """A row of the path as its page prints it. Ratios are of capacity, for the bar."""

    row: PathRow
    what: str
    state_mark: MarkKind
    state: str
    use_words: str
    use_percent: str
    could_ratio: float | None
    could_words: str
    alternates: tuple[str, ...]

    @property
    def use_ratio(self) -> float | None:
        return self.row.use.share.value if self.row.use is not None else None

    @property
    def is_over(self) -> bool:
        return self.use_ratio is not None and self.use_ratio > 1

    @property
    def could_refused(self) -> bool:
        return any(finding.code == "over-tension-no-gauge" for finding in self.row.findings)

    @property
    def is_refused(self) -> bool:
        return bool(self.row.findings)

    @property
    def is_empty(self) -> bool:
        return self.row.hung is None

    @property
    def tag(self) -> str:
        return self.row.hung.tag if self.row.hung is not None else ""


@dataclass(frozen=True, slots=True)
class PathGroup:
    """One rope of the page: the pull line, the side line or the restraint line."""

    key: str
    title: str
    rows: tuple[PathLine, ...]


def path_groups(rows: Iterable[PathRow], write: UnitFormatter) -> tuple[PathGroup, ...]:
    """The positions of each line, from the stem outward."""
    lines = [path_line(row, write) for row in rows]
    groups = [
        PathGroup(key, title, tuple(line for line in lines if line.row.group == key))
        for key, title in GROUP_TITLES.items()
    ]
    return tuple(group for group in groups if group.rows)


def path_line(row: PathRow, write: UnitFormatter) -> PathLine:
    """One position in words, with the figures of its bar."""
    hauling_on = row.use.hauling_on if row.use is not None else None
    could = hauling_on if hauling_on is not None and math.isfinite(hauling_on.value) else None
    mark, state = state_words(row)
    return PathLine(
        row=row,
        what=what_hangs(row, write),
        state_mark=mark,
        state=state,
        use_words=load_words(row, write),
        use_percent=write.text(row.use.share) if row.use is not None else "",
        could_ratio=could.value if could is not None else None,
        could_words=f"hauling on: {write.text(could)}" if could is not None and could.value > 1 else "",
        alternates=tuple(f"{each.tag} {each.description}" for each in row.alternates),
    )


def load_words(row: PathRow, write: UnitFormatter) -> str:
    if row.use is not None:
        return f"{write.text(row.use.load)} of {write.text(row.use.capacity)}, {write.text(row.use.share)}"
    return f"Carries {write.text(row.load)}" if row.load is not None else ""


def what_hangs(row: PathRow, write: UnitFormatter) -> str:
    hung = row.hung
    if hung is None:
        return "May stay empty" if row.is_optional else "Not assigned"
    if hung.estimate is not None:
        return f"{hung.what}. {write.text(hung.estimate)} by {hung.estimated_by}'s estimate"
    if hung.kind == "item":
        return ", ".join(part for part in (hung.what, hung.use_words) if part)
    return f"Left out: {hung.what}"


def item_words(item: GearItem) -> str:
    """Description and store place of an item, for a choice."""
    return ", ".join(part for part in (item.description, item.storage_place) if part)


def state_words(row: PathRow) -> tuple[MarkKind, str]:
    """The verdict of a position: the first refusal says why."""
    if row.findings:
        return "refused", rule_words(row.findings[0]) if row.hung is not None else "Empty"
    if row.hung is None:
        return ("open", "Optional") if row.is_optional else ("refused", "Empty")
    if row.hung.kind == "left-out":
        return "ok", "Left out"
    return ("ok", "Fits") if row.hung.kind == "item" else ("ok", "Signed")


def rule_words(finding: Finding) -> str:
    """A rule's code as its words; for an unfit item the reason: "Inspection lapses"."""
    return str(finding.facts.get("reason") or finding.code.replace("-", " ")).capitalize()
