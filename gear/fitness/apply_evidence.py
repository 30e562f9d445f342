"""Telling others, in the same transaction, that items may no longer be used, or not as they were."""

from collections.abc import Callable, Sequence

from crewlog.evidence import Entry
from crewlog.models import Company
from crewlog.registry import Registry
from gear.fitness.changes import Loss, Watch, watch
from gear.fitness.refresh import refresh_items
from gear.models import GearItem

Listener = Callable[[Sequence[Loss], Entry], None]
FactListener = Callable[[GearItem, GearItem, Entry], None]

# Called once with all that was lost, and the entry that brought it about. A listener that raises undoes it all.
listeners: Registry[Listener] = Registry()
# Called with an item as it was, as it is now, and the entry that changed facts of it: an item may still be fit and no
# longer carry what a paper in force says it does.
fact_listeners: Registry[FactListener] = Registry()


def apply_evidence(item: GearItem, entry: Entry) -> None:
    """Rebuild an item's state from its evidence, and tell the listeners what it is no longer fit for."""
    apply_evidence_to_all(item.company, [item], entry)


def apply_evidence_to_all(company: Company, items: Sequence[GearItem], entry: Entry) -> None:
    """The same for many items. The items still hold the state from before."""
    apply_evidence_watched(company, watch(company, items), entry)


def apply_evidence_watched(company: Company, watched: Watch, entry: Entry) -> None:
    """The same for items that were watched before facts of theirs were changed."""
    refresh_items(company, watched.items)
    losses = list(watched.losses())
    if losses:
        for listener in listeners:
            listener(losses, entry)


def tell_of_facts(before: GearItem, after: GearItem, entry: Entry) -> None:
    """Have those who lean on an item's facts look again."""
    for listener in fact_listeners:
        listener(before, after, entry)
