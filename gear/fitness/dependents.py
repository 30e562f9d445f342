"""Sheets that depend on an item from today on: other apps say which list it, and for which day."""

import datetime as dt
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass

from crewlog.models import Company
from crewlog.registry import Registry


@dataclass(frozen=True, slots=True)
class DependentSheet:
    """A sheet in force that lists an item for a day, today or later."""

    item_id: int
    day: dt.date
    title: str
    url: str


Supplier = Callable[[Company], list[DependentSheet]]

suppliers: Registry[Supplier] = Registry()


def dependents_of(company: Company) -> dict[int, list[DependentSheet]]:
    """A company's sheets in force by the item they list. A fixed number of queries."""
    found = defaultdict(list)
    for supplier in suppliers:
        for sheet in supplier(company):
            found[sheet.item_id].append(sheet)
    return dict(found)
