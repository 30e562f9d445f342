"""Telling others, in the same transaction, that an item may no longer be used."""

from collections.abc import Callable, Sequence

from crewlog.evidence import Entry
from crewlog.models import Company
from gear.facts import item_fitness
from gear.models import GearItem
from gear.reasons import Reason
from gear.services.state import refresh_items

Listener = Callable[[GearItem, str, Entry], None]

# Called with the item, the reason in words, and the entry that brought it about. A listener that raises undoes it all.
listeners: list[Listener] = []


def settle(item: GearItem, entry: Entry) -> None:
    """Rebuild an item's state from its evidence, and tell the listeners what it is no longer fit for."""
    settle_all(item.company, [item], entry)


def settle_all(company: Company, items: Sequence[GearItem], entry: Entry) -> None:
    """The same for many items. The items still hold the state from before."""
    today = company.today()
    before = {item.pk: {reason.code for reason in item_fitness(item, today)} for item in items}
    refresh_items(company, items)
    for item in items:
        new = [reason for reason in item_fitness(item, today) if reason.code not in before[item.pk]]
        if new:
            announce(item, new, entry)


def told_once(reasons: Sequence[Reason]) -> list[Reason]:
    """What took an item out of use also asks for an examination; saying the first says the second."""
    is_out = any(reason.code == "quarantined" for reason in reasons)
    return [reason for reason in reasons if not (is_out and reason.code == "examination-pending")]


def announce(item: GearItem, reasons: Sequence[Reason], entry: Entry) -> None:
    """Tell every listener about an item, and about the tackle set it is a part of."""
    words = " ".join(reason.words for reason in told_once(reasons))
    for listener in listeners:
        listener(item, words, entry)
        if item.assembly is not None:
            listener(item.assembly, f"Part {item.tag}: {words}", entry)
