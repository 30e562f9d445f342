"""Tags that rows name of other items: the set a part belongs to, and what an item was cut from."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice

from gear.catalogue.classes import TACKLE_SET
from gear.lists.faults import Fault
from gear.lists.limits import MAX_GENERATIONS
from gear.lists.reading import Plan, ReadRow
from gear.lists.source import Row
from gear.models import GearItem

Lookup = Callable[[Iterable[str]], Mapping[str, GearItem]]
CHUNK = 500


@dataclass(frozen=True, slots=True)
class Named:
    """One tag that a row names."""

    row: Row
    own: str
    own_class: str
    name: str
    tag: str


@dataclass(slots=True)
class References:
    """What the rows of a list name of each other and of the register."""

    plan: Plan
    classes: dict[str, str] = field(default_factory=dict)  # class by tag of every row
    named: list[Named] = field(default_factory=list)

    def seen(self, read: ReadRow) -> None:
        """Note a row and what it names."""
        own, own_class = read.tag.upper(), str(read.facts.get("gear_class", ""))
        self.classes.setdefault(own, own_class)
        for name, tag in read.references.items():
            if tag:
                self.named.append(Named(read.row, own, own_class, name, tag.upper()))

    def faults(self, lookup: Lookup) -> Iterator[Fault]:
        """Tags that are nowhere, sets that are none, and rings. One query for each 500 names."""
        rest = iter(self.named)
        while chunk := list(islice(rest, CHUNK)):
            found = lookup(named.tag for named in chunk if named.tag not in self.classes)
            for named in chunk:
                words = self._fault_of(named, found)
                if words:
                    yield self.plan.fault(named.row, named.name, words)
        yield from self._rings()

    def _rings(self) -> Iterator[Fault]:
        waits: dict[str, list[str]] = {}
        for named in self.named:
            if named.tag in self.classes:
                waits.setdefault(named.own, []).append(named.tag)
        deep = depths(waits)
        for named in self.named:
            if deep.get(named.own, 0) > MAX_GENERATIONS:
                words = f"These rows refer to each other in a circle, or more than {MAX_GENERATIONS} deep."
                yield self.plan.fault(named.row, named.name, words)

    def _fault_of(self, named: Named, found: Mapping[str, GearItem]) -> str:
        if named.tag in self.classes:
            other_class = self.classes[named.tag]
        elif named.tag in found:
            other_class = found[named.tag].gear_class
        else:
            return "No item here and no row of this list has this tag. Tags of another company are not known here."
        if named.name == "assembly" and named.own_class == TACKLE_SET:
            return "A tackle set cannot be a part of another."
        if named.name == "assembly" and other_class != TACKLE_SET:
            return "This is no tackle set. Only a tackle set has parts."
        return ""


def depths(waits: Mapping[str, Sequence[str]]) -> dict[str, int]:
    """By tag, how long a chain of others it waits for; more than the limit in a ring. Only tags that wait count."""
    depth = dict.fromkeys(waits, 0)
    for _ in range(MAX_GENERATIONS + 1):
        before = dict(depth)
        for own, others in waits.items():
            depth[own] = max((1 + before.get(other, 0) for other in others), default=0)
        if depth == before:
            break
    return depth
