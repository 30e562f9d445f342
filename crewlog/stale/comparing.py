"""Three values of each field: as it was opened, as it is stored now, as it is wanted."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from crewlog.errors import RuleBroken
from crewlog.evidence import to_plain
from crewlog.stale.authors import Change
from crewlog.stale.opened import MINE, THEIRS, Opened

Changes = Callable[[], Mapping[str, Change]]


@dataclass(frozen=True, slots=True)
class Difference:
    """One field that is stored otherwise than it is wanted. `default` is what the rule would take; empty: choose."""

    name: str
    opened: Any
    theirs: Any
    mine: Any
    default: str
    is_known: bool = True
    change: Change | None = None


class StaleEdit(RuleBroken):
    """Somebody else saved since the form was opened. Nothing is changed; `differences` say what there is to choose.

    `opened` is what the form has to carry the next time: what is stored now, and what is still to be chosen. `kept`
    names the fields that only this person touched; `beside` says what else changed that the figures rest on.
    """

    code = "stale-edit"

    def __init__(
        self,
        *,
        opened: Opened,
        differences: tuple[Difference, ...] = (),
        kept: tuple[Difference, ...] = (),
        beside: tuple[str, ...] = (),
        changes: tuple[Change, ...] = (),
    ) -> None:
        super().__init__("Somebody else saved this since you opened it. Nothing of yours is saved yet.")
        self.opened = opened
        self.differences = differences
        self.kept = kept
        self.beside = beside
        self.changes = changes


def check_opened(
    opened: Opened | None, *, theirs: Mapping[str, Any], mine: Mapping[str, Any], changes: Changes = dict
) -> None:
    """Raise StaleEdit where a save would undo what somebody stored since the form was opened.

    `theirs` is what is stored, read under the lock of the row; `mine` what is wanted, by the same names. One left out
    counts as it was shown: a single figure is set on the rest as the person saw it. `opened` None is a caller that
    showed the row to nobody, such as a command: nothing is checked.
    """
    if opened is None:
        return
    stored, wanted = to_plain(theirs), {**(opened.values or {}), **to_plain(mine)}
    differs = differences(opened, stored, wanted)
    clashes = tuple(row for row in differs if row.default != MINE or row.name in opened.asked)
    if opened.is_settled and not has_moved(opened, stored, wanted):
        return
    found = changes()
    asked = {row.name: row.opened for row in clashes}
    raise StaleEdit(
        opened=Opened(about=opened.about, values=stored, asked=asked, choices=opened.choices),
        differences=tuple(with_change(row, found) for row in clashes),
        kept=tuple(row for row in differs if row not in clashes),
        changes=tuple(found.values()),
    )


def has_moved(opened: Opened, stored: Mapping[str, Any], wanted: Mapping[str, Any]) -> bool:
    """Whether saving would put back, or write over, a value that was stored since."""
    if opened.values is None:
        return any(name in wanted and wanted[name] != value for name, value in stored.items())
    shown = opened.values
    return any(
        name in shown and shown[name] != value and name in wanted and wanted[name] != value
        for name, value in stored.items()
    )


def differences(opened: Opened, stored: Mapping[str, Any], wanted: Mapping[str, Any]) -> tuple[Difference, ...]:
    """Every field that is stored otherwise than it is wanted, in the order of the form."""
    rows = []
    for name, value in stored.items():
        if name not in wanted or (wanted[name] == value and name not in opened.asked):
            continue
        is_known = opened.values is not None and (name in opened.asked or name in opened.values)
        shown = opened.shown(name)
        default = ""
        if is_known and wanted[name] == shown:
            default = THEIRS
        elif is_known and value == shown:
            default = MINE
        rows.append(Difference(name, shown, value, wanted[name], default, is_known))
    return tuple(rows)


def with_change(row: Difference, changes: Mapping[str, Change]) -> Difference:
    return Difference(row.name, row.opened, row.theirs, row.mine, row.default, row.is_known, changes.get(row.name))
