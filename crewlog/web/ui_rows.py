"""What the shared parts of a page take: frozen rows, so that a page cannot pass half of one."""

from dataclasses import dataclass
from typing import Literal

MarkKind = Literal["ok", "due", "over", "out", "gone", "refused", "caution", "open"]


@dataclass(frozen=True, slots=True)
class Figure:
    """One number of a figures strip. `number` and `unit` are already worded and rounded to the safe side."""

    label: str
    number: str
    unit: str = ""
    note: str = ""
    is_wrong: bool = False


@dataclass(frozen=True, slots=True)
class Jump:
    """A link to the place on the page that a verdict speaks of."""

    href: str
    words: str


@dataclass(frozen=True, slots=True)
class Cure:
    """What would cure a finding, and what it would give. With `name` it is a button, with `href` a link."""

    what: str
    gives: str = ""
    verb: str = "Try"
    name: str = ""
    value: str = ""
    href: str = ""


@dataclass(frozen=True, slots=True)
class FindingRow:
    """One finding as a page shows it: refused, caution or ok, a title, one sentence with figures, its cures."""

    kind: MarkKind
    title: str
    why: str
    cures: tuple[Cure, ...] = ()
    id: str = ""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a register's head; `href` makes it a link that sorts."""

    label: str
    is_end: bool = False
    href: str = ""
    sorted: Literal["", "ascending", "descending"] = ""


@dataclass(frozen=True, slots=True)
class Place:
    """One place of the navigation: URL name, word, icon."""

    name: str
    word: str
    icon: str
