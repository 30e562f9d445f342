"""The load path and its anchors as rows: from the positions of a check or of a plan."""

from collections.abc import Iterable

from crewlog.models import Company
from gear.catalogue.classes import BY_CODE
from jobs.mechanics.plan.path import overhaul_limit
from jobs.mechanics.plan.result import RoleUtilisation
from jobs.mechanics.roles import NOT_USED_REASONS, find_role, role_number
from jobs.models import Anchor, Assignment
from jobs.sheet_rows.rows import Alternate, AnchorRow, Hung, PathRow, Use
from jobs.sheets.candidates import classes_for
from jobs.sheets.check import PositionRow
from jobs.sheets.path_order import GROUP_TITLES
from jobs.wording.date_words import moment_words
from jobs.wording.figure import ANGLE, FORCE, LIMIT, LOAD, SHARE, Figure

ANCHOR_ICONS = {"tree": "g-tree", "stump": "g-anchor", "holdfast": "g-holdfast", "machine": "g-machine"}


def path_rows(positions: Iterable[PositionRow]) -> tuple[PathRow, ...]:
    """Every position, filled or empty, in the order of the path."""
    return tuple(path_row(row) for row in positions)


def path_row(row: PositionRow) -> PathRow:
    return PathRow(
        role=row.role,
        title=row.title,
        group=row.group,
        group_title=GROUP_TITLES[row.group],
        icon=icon_of(row),
        is_anchor=row.is_anchor,
        is_end=row.is_anchor and not role_number(row.role),
        is_optional=row.is_optional,
        hung=hung_of(row.assignment) if row.assignment is not None else None,
        load=Figure("load", row.load_n, FORCE, LOAD) if row.load_n is not None else None,
        use=use_of(row.role, row.use) if row.use is not None else None,
        findings=row.refusals,
        alternates=tuple(Alternate(a.item.tag, a.item.description) for a in row.alternates if a.item is not None),
    )


def use_of(role_name: str, use: RoleUtilisation) -> Use:
    role, over = find_role(role_name), use.overhaul_utilisation_ratio
    limit = overhaul_limit(role) if role is not None else 1.0
    return Use(
        load=Figure("load", use.load_n, FORCE, LOAD),
        capacity=Figure("capacity", use.capacity_n, FORCE, LIMIT),
        share=Figure("share of the capacity", use.utilisation_ratio, SHARE, LOAD),
        hauling_on=Figure("share while hauling on", over, SHARE, LOAD) if over is not None else None,
        hauling_on_over=over is not None and over > limit,
    )


def hung_of(held: Assignment) -> Hung:
    if held.item is not None:
        return hung_item(held)
    if held.anchor is not None:
        anchor = held.anchor
        return Hung(
            kind="anchor",
            what=anchor.name,
            sort=anchor_sort(anchor.get_kind_display(), anchor.species),
            estimate=estimate_of(anchor),
            estimated_by=str(anchor.estimated_by),
        )
    return Hung(kind="left-out", what=NOT_USED_REASONS.get(held.not_used, held.not_used))


def hung_item(held: Assignment) -> Hung:
    """An item as it is used; angles only of the use that has them."""
    item = held.item
    assert item is not None  # noqa: S101 - the caller looked
    half, choke = held.basket_half_angle_deg, held.choke_angle_deg
    is_basket = held.configuration == Assignment.Configuration.BASKET
    is_choker = held.configuration == Assignment.Configuration.CHOKER
    return Hung(
        kind="item",
        what=item.description,
        tag=item.tag,
        href=item.get_absolute_url(),
        configuration=held.get_configuration_display().lower() if held.configuration else "",
        half_angle=Figure("half angle of a basket", half, ANGLE) if is_basket and half is not None else None,
        choke_angle=Figure("angle of a choke", choke, ANGLE) if is_choker and choke is not None else None,
        loaded=held.get_loaded_display().lower() if held.loaded != Assignment.Loaded.MAJOR else "",
        examined_on=item.last_examined_on or item.pre_service_on,
        due_on=item.next_due_on,
    )


def icon_of(row: PositionRow) -> str:
    """The drawing of gear, or of what mostly does."""
    held = row.assignment
    if held is not None and held.anchor is not None:
        return ANCHOR_ICONS[held.anchor.kind]
    if row.is_anchor:
        return ANCHOR_ICONS["stump"]
    if held is not None and held.item is not None:
        return held.item.declared.icon
    return BY_CODE[classes_for(row.role)[0]].icon


def estimate_of(anchor: Anchor) -> Figure:
    return Figure("estimated strength", anchor.estimate_n, FORCE, LIMIT)


def anchor_sort(kind: str, species: str) -> str:
    """ "living tree, oak", or the kind alone where the species is not known."""
    return f"{kind}, {species}" if species else kind


def anchor_row(anchor: Anchor, company: Company, *, position: str = "") -> AnchorRow:
    return AnchorRow(
        id=anchor.pk,
        position=position,
        name=anchor.name,
        kind=anchor.get_kind_display(),
        species=anchor.species,
        estimate=estimate_of(anchor),
        made_by=str(anchor.estimated_by),
        made_at=moment_words(anchor.estimated_at, company),
        basis=anchor.basis,
        open_checks=tuple(anchor.open_checks()),
    )


def anchor_rows(positions: Iterable[PositionRow], company: Company) -> tuple[AnchorRow, ...]:
    """The anchors that a path holds on, each at its position."""
    held = [(row.title, row.assignment.anchor) for row in positions if row.assignment is not None]
    return tuple(anchor_row(anchor, company, position=title) for title, anchor in held if anchor is not None)
