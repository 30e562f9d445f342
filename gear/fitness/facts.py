"""From rows to the plain facts that the rules judge."""

import datetime as dt
from collections.abc import Iterable
from typing import Any

from gear.catalogue.classes import BY_CODE, CLASSES
from gear.fitness.reasons import Reason
from gear.fitness.rules import ItemFacts, fitness
from gear.models import GearItem

SAME_NAME = (
    "tag",
    "retired_on",
    "retired_because",
    "is_mistake",
    "quarantined_on",
    "quarantined_because",
    "examination_pending_since",
    "examination_pending_because",
    "pre_service_on",
    "pre_service_ends_on",
    "next_due_on",
    "next_due_basis",
    "remark_due_on",
    "remark",
    "borrowed_from",
    "due_back_on",
    "life_ends_on",
    "life_date_missing",
    "permitted_uses",
    "uses_made",
    "uses_end_at",
    "recall_unresolved",
    "marking_illegible",
    "parts_expected",
)
# Columns of an item that its facts are read from; a row of them stands for the item.
COLUMNS = ("gear_class", *SAME_NAME, *sorted({name for declared in CLASSES for name in declared.ratings}))


def item_facts(item: Any, parts: Iterable[Any] | None = None) -> ItemFacts:
    """Facts of one item, or of a named row of its COLUMNS given with its parts.

    Queries the parts of a tackle set unless they are given or were prefetched.
    """
    if parts is None:
        parts = item.parts.all() if item.is_assembly else ()
    declared = BY_CODE[item.gear_class]
    return ItemFacts(
        carries_load=declared.carries_load,
        has_rating=any(getattr(item, name) is not None for name in declared.ratings),
        parts=tuple(item_facts(part, ()) for part in parts),
        **{name: getattr(item, name) for name in SAME_NAME},
    )


def item_fitness(item: GearItem, last_day: dt.date) -> tuple[Reason, ...]:
    """Why an item is not fit up to and including a day. Queries the parts of a tackle set."""
    return fitness(item_facts(item), last_day)
