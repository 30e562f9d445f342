"""The load path as the sheet's table prints it."""

from crewlog.models import Company
from jobs.checking import PositionRow, SheetCheck
from jobs.mechanics.plan_path import overhaul_limit
from jobs.mechanics.roles import NOT_USED_REASONS, find_role
from jobs.paper.words import moment_words, short_day, use_words
from jobs.path_order import GROUP_TITLES
from jobs.sheets.content import AnchorRow, PathRow
from jobs.unit_formatter import UnitFormatter


def path_rows(check: SheetCheck, reader: UnitFormatter) -> tuple[PathRow, ...]:
    return tuple(path_row(row, reader) for row in check.positions if row.is_filled)


def path_row(row: PositionRow, reader: UnitFormatter) -> PathRow:
    assignment, use = row.assignment, row.use
    assert assignment is not None  # noqa: S101 - the caller looked
    item, anchor = assignment.item, assignment.anchor
    over = use.overhaul_utilisation_ratio if use else None
    if item is not None:
        words = ", ".join(part for part in (item.description, use_words(assignment)) if part)
        tag, last, due = item.tag, short_day(item.last_examined_on or item.pre_service_on), short_day(item.next_due_on)
    elif anchor is not None:
        words, tag, last, due = f"{anchor.get_kind_display()}, {anchor.species}".rstrip(", "), anchor.name, "–", "–"
    else:
        words, tag, last, due = f"Left out: {NOT_USED_REASONS[assignment.not_used]}", "–", "–", "–"
    return PathRow(
        position=row.title,
        tag=tag,
        item=words,
        last_inspection=last,
        next_due=due,
        capacity=reader.force_limit(use.capacity_n) if use else "–",
        design_load=reader.force(use.load_n) if use else "–",
        use=reader.percent(use.utilisation_ratio) if use else "–",
        hauling_on=reader.percent(over) if over is not None else "",
        hauling_on_over=over is not None and over > over_limit(row),
        is_anchor=row.is_anchor,
        alternates=tuple(a.item.tag for a in row.alternates if a.item is not None),
        group=GROUP_TITLES[row.group],
    )


def over_limit(row: PositionRow) -> float:
    role = find_role(row.role)
    return overhaul_limit(role) if role is not None else 1.0


def anchor_rows(check: SheetCheck, company: Company, reader: UnitFormatter) -> tuple[AnchorRow, ...]:
    rows = []
    for row in check.positions:
        anchor = row.assignment.anchor if row.assignment else None
        if anchor is None:
            continue
        rows.append(
            AnchorRow(
                position=row.title,
                name=anchor.name,
                kind=f"{anchor.get_kind_display()}, {anchor.species}".rstrip(", "),
                estimate=reader.force_limit(anchor.estimate_n),
                made_by=f"{anchor.estimated_by}, {moment_words(anchor.estimated_at, company)}",
                basis=anchor.basis,
                checks="all three ticked" if not anchor.open_checks() else f"open: {'; '.join(anchor.open_checks())}",
            )
        )
    return tuple(rows)
