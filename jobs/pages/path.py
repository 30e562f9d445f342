"""The load path as rows: what hangs where, what it carries, what speaks against it."""

import math
from dataclasses import dataclass

from crewlog.parts import MarkKind
from gear.classes import BY_CODE
from gear.models import GearItem
from jobs.checking import PositionRow
from jobs.choices import classes_for
from jobs.finding import Finding
from jobs.mechanics.roles import NOT_USED_REASONS, role_number
from jobs.models import Anchor, Assignment
from jobs.path_order import GROUP_TITLES
from jobs.unit_formatter import UnitFormatter

ANCHOR_ICONS = {"tree": "g-tree", "stump": "g-anchor", "holdfast": "g-holdfast", "machine": "g-machine"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PathRow:
    """One position on the rope of the page. Ratios are of capacity, for the bar."""

    role: str
    title: str
    icon: str
    tag: str
    href: str
    what: str
    state_mark: MarkKind
    state: str
    is_refused: bool
    is_empty: bool
    is_end: bool
    is_anchor: bool
    use_ratio: float | None
    could_ratio: float | None
    could_refused: bool
    use_words: str
    use_percent: str
    could_words: str
    is_over: bool
    findings: tuple[Finding, ...]
    alternates: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PathGroup:
    """One rope of the page: the pull line, the side line or the restraint line."""

    key: str
    title: str
    rows: tuple[PathRow, ...]


def path_groups(positions: tuple[PositionRow, ...], reader: UnitFormatter) -> tuple[PathGroup, ...]:
    """The positions of each line, from the stem outward."""
    groups = []
    for key, title in GROUP_TITLES.items():
        rows = [row for row in positions if row.group == key]
        if rows:
            groups.append(PathGroup(key, title, tuple(path_row(row, reader) for row in rows)))
    return tuple(groups)


def path_row(row: PositionRow, reader: UnitFormatter) -> PathRow:
    """One position in words, with the figures of its bar."""
    held = row.assignment
    item = held.item if held is not None else None
    over = row.use.overhaul_utilisation_ratio if row.use is not None else None
    could = over if over is not None and math.isfinite(over) else None
    mark, state = state_words(row)
    return PathRow(
        role=row.role,
        title=row.title,
        icon=icon_of(row),
        tag=item.tag if item is not None else "",
        href=item.get_absolute_url() if item is not None else "",
        what=what_hangs(row, reader),
        state_mark=mark,
        state=state,
        is_refused=bool(row.refusals),
        is_empty=held is None,
        is_end=row.is_anchor and not role_number(row.role),
        is_anchor=row.is_anchor,
        use_ratio=row.use.utilisation_ratio if row.use is not None else None,
        could_ratio=could,
        could_refused=any(f.code == "over-tension-no-gauge" for f in row.refusals),
        use_words=load_words(row, reader),
        use_percent=reader.percent(row.use.utilisation_ratio) if row.use is not None else "",
        could_words=f"hauling on: {reader.percent(could)}" if could is not None and could > 1 else "",
        is_over=row.use is not None and row.use.utilisation_ratio > 1,
        findings=row.refusals,
        alternates=tuple(str(each.item or "") for each in row.alternates),
    )


def load_words(row: PositionRow, reader: UnitFormatter) -> str:
    if row.use is not None:
        return (
            f"{reader.force(row.use.load_n)} of {reader.force_limit(row.use.capacity_n)}, "
            f"{reader.percent(row.use.utilisation_ratio)}"
        )
    return f"Carries {reader.force(row.load_n)}" if row.load_n is not None else ""


def icon_of(row: PositionRow) -> str:
    """The drawing of what hangs there, or of what mostly does."""
    held = row.assignment
    if held is not None and held.anchor is not None:
        return ANCHOR_ICONS[held.anchor.kind]
    if row.is_anchor:
        return ANCHOR_ICONS["stump"]
    if held is not None and held.item is not None:
        return held.item.declared.icon
    return BY_CODE[classes_for(row.role)[0]].icon


def what_hangs(row: PositionRow, reader: UnitFormatter) -> str:
    held = row.assignment
    if held is None:
        return "May stay empty" if row.is_optional else "Nothing hangs here"
    if held.anchor is not None:
        return anchor_words(held.anchor, reader)
    if held.item is not None:
        return ", ".join(part for part in (held.item.description, use_of(held, reader)) if part)
    return f"Left out: {NOT_USED_REASONS.get(held.not_used, held.not_used)}"


def anchor_words(anchor: Anchor, reader: UnitFormatter) -> str:
    """ "Alder stump. 30 kN by J. Pellaw's estimate"."""
    estimate = reader.force_limit(anchor.estimate_n)
    return f"{anchor.name}. {estimate} by {anchor.estimated_by}'s estimate"


def use_of(held: Assignment, reader: UnitFormatter) -> str:
    words = held.get_configuration_display().lower() if held.configuration else ""
    angle = held.basket_half_angle_deg if held.configuration == "basket" else held.choke_angle_deg
    if words and angle is not None:
        words = f"{words} {reader.angle(angle)}"
    if held.loaded and held.loaded != Assignment.Loaded.MAJOR:
        words = ", ".join(part for part in (words, held.get_loaded_display().lower()) if part)
    return words


def item_words(item: GearItem) -> str:
    """Description and store place of an item, for a choice."""
    return ", ".join(part for part in (item.description, item.storage_place) if part)


def state_words(row: PositionRow) -> tuple[MarkKind, str]:
    """The verdict of a position: the first refusal says why."""
    if row.refusals:
        return "refused", code_words(row.refusals[0]) if row.assignment is not None else "Empty"
    if row.assignment is None:
        return ("open", "Optional") if row.is_optional else ("refused", "Empty")
    if row.assignment.not_used:
        return "ok", "Left out"
    return ("ok", "Fits") if row.assignment.item is not None else ("ok", "Signed")


def code_words(finding: Finding) -> str:
    """A rule's code as its words: "Inspection lapses" for an item, the code elsewhere."""
    if finding.code == "unfit":
        return finding.title.partition(": ")[2].capitalize() or "Unfit"
    return finding.code.replace("-", " ").capitalize()
